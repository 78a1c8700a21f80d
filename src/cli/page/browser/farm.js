// The farm: its fields with their figures, one open at a time, and the order for all of them.

import { ask } from './server.js';
import { asked, byId, el, figure, replace } from './elements.js';
import { save } from './saving.js';

/** @typedef {import('./main.js').Page} Page */

let asking = false;
let again = false;

/**
 * @param {Page} page
 * @param {any} state
 */
export async function show(page, state) {
  const place = byId('farm');
  place.hidden = !state.farm;
  if (!state.farm) return;
  if (place.childElementCount === 0) paint(page, state, null);
  again = true;
  if (asking) return;
  asking = true;
  while (again) {
    again = false;
    const answer = await ask('/api/farm');
    if (answer.ok && !again) paint(page, page.now(), answer.value);
  }
  asking = false;
}

/**
 * @param {Page} page
 * @param {any} state
 * @param {any} figures
 */
function paint(page, state, figures) {
  const { farm } = state;
  const found = (/** @type {string} */ file) => figures?.totals.fields.find((/** @type {any} */ field) => field.file === file);
  const rows = farm.fields.map((/** @type {any} */ field, /** @type {number} */ i) => {
    const of = found(field.file);
    const isOpen = state.job?.name === field.name;
    const told = !figures ? 'adding up' : of?.error ? of.error : '';
    const total = of?.total ?? of;
    const amount = (/** @type {any} */ value) => (typeof value === 'number' ? figure(value) : '');
    return el('tr', {}, el('td', {}, el('button', { type: 'button', id: `field-${i}`, 'aria-current': isOpen ? 'true' : null, disabled: !field.has_file, click: () => open(page, field.file) }, field.name)),
      el('td', { class: 'number' }, amount(total?.acres ?? total?.hectares)), el('td', { class: 'number' }, amount(total?.tons ?? total?.tonnes)), el('td', {}, told));
  });
  const order = (figures?.order ?? []).map((/** @type {string} */ line) => el('p', {}, line));
  const before = figures?.is_changed ? [el('p', { class: 'small' }, 'As saved, without your changes here:'), ...figures.saved_order.map((/** @type {string} */ line) => el('p', { class: 'small' }, line))] : [];
  const open_ = byId('farm').querySelector('details')?.open ?? true;
  replace(byId('farm'), el('details', { open: open_ }, el('summary', {}, `${farm.name}: ${farm.fields.length} fields`), el('div', { class: 'beside', tabindex: 0, role: 'region', 'aria-label': 'Fields and order of the farm' },
    el('div', { class: 'wide' }, el('table', {}, el('thead', {}, el('tr', {}, el('th', {}, 'Field'), el('th', { class: 'number' }, 'Area'), el('th', { class: 'number' }, 'Tons'), el('th', {}, el('span', { class: 'unseen' }, 'Note')))), el('tbody', {}, ...rows))),
    el('div', { id: 'farm-order', 'aria-live': 'polite' }, ...order, ...before))));
}

/**
 * Opens another field or job; changes that are not saved are asked about.
 * @param {Page} page
 * @param {string} name
 */
export async function open(page, name) {
  let answer = await ask('/api/open', { name });
  if (answer.value.unsaved) {
    const choice = await asked('There are changes that are not saved', [], [{ text: 'Save', value: 'save', first: true }, { text: 'Drop them', value: 'drop' }, { text: 'Stay', value: '' }]);
    if (choice === '' || (choice === 'save' && !await save(page))) return;
    answer = await ask('/api/open', { name, drop: choice === 'drop' });
  }
  if (answer.ok) page.show(answer.value); else page.trouble(answer.value.error);
}
