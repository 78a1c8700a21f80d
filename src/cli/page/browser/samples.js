// The samples: each can be left out and put back, and one that does not fit says why.

import { byId, el, replace } from './elements.js';
import { tellSample } from './map.js';

/** @typedef {import('./main.js').Page} Page */

/**
 * @param {Page} page
 * @param {any} shown
 */
export function show(page, shown) {
  const suspects = shown.samples.filter((/** @type {any} */ sample) => sample.neighbors_say !== null).length;
  const out = shown.samples.filter((/** @type {any} */ sample) => sample.is_out).length;
  const title = byId('samples').querySelector('summary');
  if (title) title.textContent = `Samples: ${shown.samples.length - out} count${out ? `, ${out} left out` : ''}${suspects ? `, ${suspects} to look at` : ''}`;
  // What does not fit comes first, then what is left out.
  const rank = (/** @type {any} */ sample) => (sample.neighbors_say !== null ? 0 : sample.is_out ? 1 : 2);
  const sorted = [...shown.samples].sort((a, b) => rank(a) - rank(b));
  const rows = sorted.map((sample, i) => {
    const note = sample.is_out ? 'left out' : sample.neighbors_say === null ? ''
      : `does not fit: its neighbors say ${sample.neighbors_say}; it makes the field ${sample.tons >= 0 ? '+' : ''}${sample.tons} ${shown.units.mass}`;
    return el('tr', {}, el('td', { class: sample.is_out ? 'out' : null }, el('button', { type: 'button', class: 'plain', click: () => tellSample(sample.id) }, sample.id || '(no name)')),
      el('td', { class: 'number' }, sample.cec === null ? '' : String(sample.cec)), el('td', { class: sample.neighbors_say === null ? null : 'suspect' }, note),
      el('td', {}, el('button', { type: 'button', id: `sample-${i}`, 'data-id': sample.id, 'aria-label': `${sample.is_out ? 'Put back' : 'Leave out'} sample ${sample.id}`, disabled: !sample.id,
        click: () => page.edit({ do: sample.is_out ? 'take-in' : 'leave-out', id: sample.id }) }, sample.is_out ? 'Put back' : 'Leave out')));
  });
  replace(byId('samples-body'), el('div', { class: 'wide' }, el('table', {}, el('thead', {}, el('tr', {}, el('th', {}, 'Sample'), el('th', { class: 'number' }, 'CEC'), el('th', {}, 'Note'), el('th', {}, el('span', { class: 'unseen' }, 'Counts')))), el('tbody', {}, ...rows))));
}
