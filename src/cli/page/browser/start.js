// Starting: files that are dropped or lie in the folder, what was understood of them, what is missing.

import { ask, upload } from './server.js';
import { byId, draw, el, field, replace } from './elements.js';
import { open } from './farm.js';

/** @typedef {import('./main.js').Page} Page */

/**
 * @param {Page} page
 * @param {any} state
 */
export function show(page, state) {
  const place = byId('start');
  place.hidden = !state.start;
  if (!state.start) return;
  const { start } = state;
  const picker = el('input', { type: 'file', multiple: true, id: 'files', 'aria-label': 'Choose files', change: () => take(page, [...(picker.files ?? [])]) });
  const drop = el('div', { id: 'drop' }, el('h2', {}, 'Drop a boundary and a soil test here'),
    el('p', {}, 'Boundary: shapefile (all of its parts), GeoJSON, KML, GeoPackage, task data. Soil test: CSV, spreadsheet, points of a map; the laboratory\'s table may be apart.'),
    el('p', {}, 'or ', picker), el('p', { class: 'small' }, `Everything stays on this computer, in the folder ${state.folder}.`));
  drop.addEventListener('dragover', (event) => { event.preventDefault(); drop.classList.add('over'); });
  drop.addEventListener('dragleave', () => drop.classList.remove('over'));
  drop.addEventListener('drop', (event) => { event.preventDefault(); drop.classList.remove('over'); take(page, [...(event.dataTransfer?.files ?? [])]); });
  const jobs = start.jobs.map((/** @type {string} */ name, /** @type {number} */ i) => el('button', { type: 'button', id: `job-${i}`, click: () => open(page, name) }, name));
  const known = start.jobs.length > 0 && el('article', {}, el('h2', {}, 'Jobs and farms in this folder'), el('div', { class: 'row' }, ...jobs));
  replace(place, known, drop, understood(page, start));
}

/**
 * @param {Page} page
 * @param {File[]} files
 */
async function take(page, files) {
  let last = null;
  let error = '';
  for (const file of files) {
    page.say(`Reading ${file.name}.`);
    const answer = await upload(file);
    if (answer.ok) last = answer.value; else { error = answer.value.error; break; }
  }
  if (last) page.show(last);
  if (error) page.trouble(error);
}

/**
 * @param {Page} page
 * @param {any} start
 */
function understood(page, start) {
  if (start.files.length === 0) return el('p', {}, start.missing ?? '');
  const roles = ['boundary', 'samples', 'laboratory'];
  const told = ['The boundary', 'The soil samples', 'The laboratory\'s results, if apart'];
  const file = (/** @type {string} */ name) => start.files.find((/** @type {any} */ one) => one.name === name);
  const selects = roles.map((role, i) => el('select', { id: `role-${role}`, 'aria-label': told[i], change: () => ways() },
    el('option', { value: '' }, role === 'laboratory' ? 'none' : 'choose'),
    ...start.files.map((/** @type {any} */ one) => el('option', { value: one.name, selected: one.role === role }, one.name))));
  const places = roles.map(() => el('div'));
  const ways = () => roles.forEach((role, i) => replace(places[i], ...reading(role, file(selects[i].value))));
  const [nameLabel, name] = field('Name of the job', { type: 'text', id: 'job-called', placeholder: 'after the field', maxlength: 100 });
  const said = el('div', { id: 'start-said', role: 'alert' });
  const begin = el('button', { type: 'button', class: 'first', id: 'start-job', click: async () => {
    const chosen = Object.fromEntries(roles.map((role, i) => [role, selects[i].value ? { file: selects[i].value, ...read(places[i]) } : null]).filter(([, value]) => value));
    if (!chosen.boundary || !chosen.samples) { replace(said, el('p', { class: 'bad' }, 'Choose a boundary and samples first.')); return; }
    const answer = await ask('/api/start', { chosen, name: name.value });
    if (answer.ok) page.show(answer.value); else replace(said, el('p', { class: 'bad' }, answer.value.error));
  } }, 'Make the job and plan it');
  ways();
  const others = start.others.map((/** @type {[string, string]} */ [path, why]) => el('li', {}, `${path}: ${why}`));
  return el('div', {}, el('div', { id: 'understood' }, el('div', {}, ...roles.map((role, i) => el('article', {}, el('h2', {}, told[i]), selects[i], places[i]))), start.picture && picture(start.picture)),
    start.missing && el('p', { class: 'bad' }, start.missing), said, el('div', { class: 'row' }, nameLabel, begin),
    others.length > 0 && el('details', {}, el('summary', {}, 'Files that are of no use here'), el('ul', {}, ...others)));
}

/**
 * What a file holds and how it is read.
 * @param {string} role
 * @param {any} file
 */
function reading(role, file) {
  if (!file) return [];
  const column = (/** @type {string} */ key, /** @type {string} */ text, /** @type {string | null} */ found) => el('label', {}, text, el('br'),
    el('select', { 'data-key': key, id: `${role}-${key}` }, el('option', { value: '' }, found ? `${found} (found)` : 'choose'), ...file.columns.map((/** @type {string} */ name) => el('option', { value: name }, name))));
  /** @type {HTMLElement[]} */
  const parts = [el('p', {}, `${file.told}.`)];
  if (role === 'boundary' && file.fields.length > 1) {
    parts.push(el('label', {}, 'Which field', el('br'), el('select', { 'data-key': 'field', id: 'boundary-field' }, el('option', { value: '' }, 'choose'), ...file.fields.map((/** @type {string} */ name) => el('option', { value: name }, name)))));
  }
  if (file.cec_unclear && role !== 'boundary') parts.push(el('p', { class: 'bad' }, file.cec_unclear));
  if (file.without_places && role !== 'laboratory') parts.push(el('p', { class: 'bad' }, file.without_places));
  const row = el('div', { class: 'row' });
  if (role !== 'boundary' && file.columns.length > 0) row.append(column('cec', 'CEC', file.cec), column('id', 'Name of the sample', file.id));
  if (role !== 'laboratory') row.append(el('label', {}, 'Coordinate system', el('br'), el('input', { type: 'text', 'data-key': 'crs', id: `${role}-crs`, placeholder: 'as the file says, or EPSG:2965' })));
  parts.push(row);
  if (file.columns.length > 0 && role !== 'boundary') {
    parts.push(el('div', { class: 'wide', tabindex: 0, role: 'region', 'aria-label': `First rows of ${file.name}` }, el('table', {}, el('caption', { class: 'small' }, 'First rows'), el('thead', {}, el('tr', {}, ...file.columns.map((/** @type {string} */ name) => el('th', {}, name || '(no name)')))),
      el('tbody', {}, ...file.first_rows.map((/** @type {string[]} */ cells) => el('tr', {}, ...cells.map((cell) => el('td', {}, cell))))))));
  }
  return parts;
}

/**
 * What was chosen about a file.
 * @param {HTMLElement} place
 */
function read(place) {
  /** @type {Record<string, string>} */
  const found = {};
  for (const input of place.querySelectorAll('[data-key]')) {
    const { value } = /** @type {HTMLInputElement} */ (input);
    if (value.trim() !== '') found[input.getAttribute('data-key') ?? ''] = value.trim();
  }
  return found;
}

/** @param {any} picture */
function picture({ width, height, outlines, points }) {
  return el('figure', {}, draw('svg', { viewBox: `0 0 ${width} ${height}`, width, height, role: 'img', 'aria-label': `Outline with ${points.length} points` },
    draw('path', { d: outlines.map((/** @type {number[][]} */ ring) => `M${ring.map((at) => at.join(' ')).join('L')}z`).join(''), fill: '#eae4d4', stroke: '#1c241f', 'stroke-width': 1.5, 'fill-rule': 'evenodd' }),
    ...points.map((/** @type {number[]} */ at) => draw('circle', { cx: at[0], cy: at[1], r: 2.4, fill: '#a3201a' }))), el('figcaption', { class: 'small' }, 'As understood'));
}
