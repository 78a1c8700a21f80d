// Saving, writing, ending.

import { ask } from './server.js';
import { asked, byId, el, replace } from './elements.js';

/** @typedef {import('./main.js').Page} Page */

/**
 * Lines that go and come.
 * @param {{ sign: string, line: string }[]} changes
 */
function lines(changes) {
  const name = (/** @type {string} */ sign) => (sign === '-' ? 'gone' : sign === '+' ? 'come' : 'stay');
  return el('pre', { class: 'lines', tabindex: 0, 'aria-label': 'Lines of the job file' }, ...changes.map(({ sign, line }) => el('span', { class: name(sign) }, `${sign} ${line}`)));
}

/**
 * Shows what will change, and saves.
 * @param {Page} page
 * @returns {Promise<boolean>} whether it is saved
 */
export async function save(page) {
  const { value } = await ask('/api/changes');
  if (!value.changes?.length) return true;
  const told = asked(`Save ${page.now()?.job?.file}?`, [el('p', {}, 'This changes in the job file:'), lines(value.changes)],
    [{ text: 'Save', value: 'save', first: true }, { text: 'Not now', value: '' }]);
  if (await told !== 'save') return false;
  return put(page, false);
}

/**
 * @param {Page} page
 * @param {boolean} over
 * @returns {Promise<boolean>}
 */
async function put(page, over) {
  const answer = await ask('/api/save', { over });
  if (answer.ok) { page.show(answer.value); page.say('Saved.'); return true; }
  if (!answer.value.conflict) { page.trouble(answer.value.error); return false; }
  const choice = await asked('The job file was changed by somebody else', [el('p', {}, answer.value.error), el('p', {}, 'What they changed:'), lines(answer.value.conflict)],
    [{ text: 'Take theirs and lose mine', value: 'theirs' }, { text: 'Save mine over theirs', value: 'mine' }, { text: 'Do nothing', value: '', first: true }]);
  if (choice === 'mine') return put(page, true);
  if (choice === 'theirs') {
    const again = await ask('/api/reload', {});
    if (again.ok) page.show(again.value); else page.trouble(again.value.error);
  }
  return false;
}

/**
 * Writes the plan's files, after saving.
 * @param {Page} page
 */
export async function write(page) {
  if (page.now()?.job?.is_changed && !await save(page)) return;
  page.say('Writing the plan.');
  const answer = await ask('/api/write', {});
  if (!answer.ok) { page.trouble(answer.value.error); return; }
  const { value } = answer;
  page.say('Written.');
  page.wrote();
  const files = value.files ? el('p', {}, `Files: ${value.files.join(', ')}.`) : el('p', {}, `${value.fields} fields, ${value.kept} of them as they were.`);
  const failed = (value.failed ?? []).map((/** @type {string} */ text) => el('p', { class: 'bad' }, text));
  const landed = (value.landed ?? []).map((/** @type {string} */ text) => el('p', { class: 'small' }, text));
  await asked('Written', [el('p', {}, `In the folder ${value.folder}.`), ...failed, files, ...landed,
    el('p', {}, el('a', { href: '/sheet', target: '_blank', id: 'sheet-link' }, 'Open the field sheet'), ' ', el('a', { href: '/plan.zip', download: true, id: 'zip-link' }, 'All files as one zip'))],
  [{ text: 'Close', value: '', first: true }]);
}

/**
 * Ends the program; what is not saved is asked about.
 * @param {Page} page
 */
export async function end(page) {
  if (page.now()?.job?.is_changed) {
    const choice = await asked('There are changes that are not saved', [], [{ text: 'Save', value: 'save', first: true }, { text: 'End without saving', value: 'drop' }, { text: 'Stay', value: '' }]);
    if (choice === '' || (choice === 'save' && !await save(page))) return;
  }
  await ask('/api/end', {});
  page.over();
  replace(byId('trouble'), el('p', {}, 'landplaster has ended. You can close this page.'));
  byId('trouble').hidden = false;
}
