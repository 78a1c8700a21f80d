// The job's other settings.

import { byId, el, field, replace } from './elements.js';

/** @typedef {import('./main.js').Page} Page */

/**
 * @param {Page} page
 * @param {any} shown
 */
export function show(page, shown) {
  const { settings, units } = shown;
  const set = (/** @type {string} */ key, /** @type {any} */ value) => page.edit({ do: 'set', key, value });
  const text = (/** @type {string} */ name, /** @type {string} */ key, /** @type {string | null} */ value, /** @type {string} */ usual) => {
    const [label, input] = field(name, { type: 'text', id: `set-${key}`, value: value ?? '', placeholder: usual });
    input.addEventListener('change', () => { const now = input.value.trim(); set(key, now === '' ? null : now); });
    return label;
  };
  const clean = el('input', { type: 'checkbox', id: 'set-clean', checked: settings.clean_up, change: (/** @type {Event} */ event) => set('zones.clean_up', /** @type {HTMLInputElement} */ (event.target).checked ? null : false) });
  const method = el('select', { id: 'set-method', change: () => set('surface.method', method.value === 'kriging' ? 'kriging' : null) },
    el('option', { value: 'inverse distance' }, 'inverse distance'), el('option', { value: 'kriging', selected: settings.is_kriging }, 'kriging'));
  const [headingLabel, heading] = field('Passes run (degrees from north, or longest)', { type: 'text', id: 'set-heading', value: settings.heading ?? '', placeholder: 'not by passes' });
  heading.addEventListener('change', () => {
    const now = heading.value.trim();
    const degrees = Number(now);
    set('zones.heading', now === '' ? null : Number.isFinite(degrees) ? degrees : now);
  });
  const far = units.length;
  replace(byId('settings-body'),
    el('div', { class: 'row' }, el('label', {}, clean, 'Join small and narrow zones to their neighbors')),
    el('div', { class: 'row' }, text('Smallest zone', 'zones.min_zone', settings.min_zone, '0.5 ac'), text('Narrowest zone', 'zones.min_width', settings.min_width, `the swath, or 60 ${far}`)),
    el('div', { class: 'row' }, text('Swath', 'swath', settings.swath, 'not set'), headingLabel),
    el('div', { class: 'row' }, el('label', {}, 'CEC between samples by', el('br'), method)),
    el('div', { class: 'row' }, text('A truck brings', 'order.delivery', settings.delivery, 'not set'), text('Margin', 'order.margin', settings.margin, 'none')),
    el('p', { class: 'small' }, 'An empty box leaves a setting to what is usual or to the farm file. Every other setting is in the job file.'));
}
