// What is known and the soil test does not say: ground that is kept out, rates that are set; the pile.

import { byId, el, field, replace } from './elements.js';
import { drawOn, leave, scale } from './map.js';

/** @typedef {import('./main.js').Page} Page */

/**
 * @param {Page} page
 * @param {any} shown
 */
export function show(page, shown) {
  const list = (/** @type {string} */ name, /** @type {any[]} */ entries, /** @type {(entry: any) => string} */ told) => entries.map((entry, number) =>
    el('li', {}, told(entry), ' ', el('button', { type: 'button', class: 'plain', id: `${name}-${number}`, 'aria-label': `Take away: ${entry.why}`, click: () => page.edit({ do: 'remove', list: name, number }) }, 'Take away')));
  const kept = list('keep_out', shown.keep_outs, (entry) => `Kept out: ${entry.why}, ${entry.value}`);
  const set = list('set_rate', shown.set_rates, (entry) => `Rate set: ${entry.why}, ${entry.value}`);
  const all = [...kept, ...set];
  replace(byId('areas-body'), el('ul', {}, ...(all.length ? all : [el('li', {}, 'Nothing yet.')])),
    el('div', { class: 'row' }, el('button', { type: 'button', id: 'draw-keep-out', click: () => keepOut(page, shown, true) }, 'Draw an area to keep out'),
      el('button', { type: 'button', id: 'draw-line', click: () => keepOut(page, shown, false) }, 'Draw a line or point to keep from'),
      el('button', { type: 'button', id: 'draw-set-rate', click: () => setRate(page, shown) }, 'Draw an area and set its rate')),
    el('p', { class: 'small' }, 'No legal distance is built in. Check your rules. What you draw is saved beside the job.'), el('div', { id: 'area-form' }));
}

/**
 * @param {Page} page
 * @param {any} shown
 * @param {boolean} isArea
 */
async function keepOut(page, shown, isArea) {
  const corners = await drawOn(isArea ? 'An area to keep out.' : 'A line or a point to keep from.');
  if (!corners) return;
  const [distanceLabel, distance] = field('Distance', { type: 'text', id: 'area-distance', value: isArea ? `0 ${shown.units.length}` : `35 ${shown.units.length}`, required: true });
  const [whyLabel, why] = field('What it is', { type: 'text', id: 'area-why', placeholder: 'wet hole', required: true, maxlength: 80 });
  form(page, [whyLabel, distanceLabel], why, 'Keep it out', () => ({ do: 'keep-out', outline: { corners, is_area: isArea }, distance: distance.value, why: why.value }));
}

/**
 * @param {Page} page
 * @param {any} shown
 */
async function setRate(page, shown) {
  const corners = await drawOn('An area whose rate you set.');
  if (!corners) return;
  const [rateLabel, rate] = field(`Rate, ${shown.units.rate}`, { type: 'number', min: 0, step: 0.05, class: 'figure', id: 'area-rate', value: shown.tiers[0]?.rate ?? 1, required: true });
  const [whyLabel, why] = field('Why', { type: 'text', id: 'area-why', placeholder: 'old feed lot', required: true, maxlength: 80 });
  form(page, [whyLabel, rateLabel], why, 'Set the rate', () => ({ do: 'set-rate', outline: { corners, is_area: true }, rate: `${rate.value} ${shown.units.rate}`, why: why.value }));
}

/**
 * What a drawing is, asked below the map's buttons.
 * @param {Page} page
 * @param {HTMLElement[]} labels
 * @param {HTMLInputElement} first
 * @param {string} done
 * @param {() => any} edit
 */
function form(page, labels, first, done, edit) {
  const place = byId('area-form');
  const away = () => { leave(); replace(place); };
  const made = el('form', { submit: async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (await page.edit(edit())) away();
  } }, el('div', { class: 'row' }, ...labels, el('button', { class: 'first', id: 'area-done' }, done), el('button', { type: 'button', click: away }, 'Give up')));
  replace(place, made);
  /** @type {HTMLDetailsElement} */ (byId('areas')).open = true;
  first.focus();
}

/**
 * The pile: where it is, what the way costs, and moving it.
 * @param {Page} page
 * @param {any} shown
 */
export function showPile(page, shown) {
  const { pile } = shown;
  if (!pile) {
    replace(byId('pile-body'), el('p', {}, 'The job asks for no pile in the field.'),
      el('button', { type: 'button', id: 'pile-ask', click: () => page.edit({ do: 'pile', place: null }) }, 'Find the best place for a pile'));
    return;
  }
  const verdict = pile.faults.length ? el('p', { class: 'bad' }, `A pile cannot lie there: ${pile.faults.join('; ')}.`)
    : el('p', { class: 'good' }, pile.at ? 'This place meets the setbacks that the job knows.' : '');
  const step = 10 * scale();
  const move = (/** @type {string} */ text, /** @type {number} */ x, /** @type {number} */ y) => el('button', { type: 'button', id: `pile-${text}`, click: () => page.edit({ do: 'pile', place: [pile.at[0] + x * step, pile.at[1] + y * step] }) }, text);
  replace(byId('pile-body'), el('p', {}, pile.is_named ? 'The place is yours. ' : 'The place is the best one. ', `Loaded travel ${pile.travel}${against(pile)}.`), verdict,
    pile.at && el('p', { class: 'small' }, 'Drag the pile on the map, or move it by 10 m (33 ft):'),
    pile.at && el('div', { class: 'row', role: 'group', 'aria-label': 'Move the pile' }, move('north', 0, -1), move('south', 0, 1), move('west', -1, 0), move('east', 1, 0)),
    pile.is_named && el('button', { type: 'button', id: 'pile-best', click: () => page.edit({ do: 'pile', place: null }) }, 'Back to the best place'),
    el('p', { class: 'small' }, 'Pile setbacks are the job\'s own or common practice: local rules govern.'));
}

/**
 * While the pile is moved: what speaks against the place.
 * @param {any} shown
 */
export function tellPile(shown) {
  const { pile } = shown;
  if (!pile) return;
  replace(byId('readout'), el('div', { class: pile.faults.length ? 'bad' : 'good' }, pile.faults.length ? `Not here: ${pile.faults.join('; ')}.` : 'A pile may lie here.'), el('div', {}, `Loaded travel ${pile.travel}${against(pile)}.`));
}

/**
 * What the way costs against the best place.
 * @param {any} pile
 */
function against({ more_percent: more }) {
  return more === null ? '' : `, ${Math.abs(more)} % ${more < 0 ? 'less' : 'more'} than from the best place`;
}
