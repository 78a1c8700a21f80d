// Rates and breaks: how many acres lie at which CEC, with a handle at each break, and what it comes to.

import { ask } from './server.js';
import { byId, draw, el, field, figure, replace, swatch } from './elements.js';

/** @typedef {import('./main.js').Page} Page */
/** @typedef {{ of: number | null, end: number | null, rate: number, was: number | null }} Tier */

const HEIGHT = 208;
const TOP = 20;
/** Where the axis lies, and the handles' middles. */
const AXIS = 152;
const HOLD = 188;
const SIDE = 14;
/** The least between two breaks. */
const STEP = 0.1;

/** @type {Page} */
let page;
/** @type {any} */
let shown = null;
/** The tiers as they are being changed. @type {Tier[]} */
let tiers = [];
/** Which handle is held, and by which finger. @type {{ number: number, pointer: number } | null} */
let held = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let later;

/** @type {HTMLElement} */
let figures;
/** @type {SVGSVGElement} */
let chart;
const bars = draw('g');
const grips = draw('g');
/** @type {HTMLElement} */
let rows;

/** @param {Page} of */
export function begin(of) {
  page = of;
  figures = el('dl', { id: 'figures' });
  chart = draw('svg', { id: 'chart', role: 'group', 'aria-label': 'Acres by CEC, with the breaks between rates' }, bars, grips);
  rows = el('tbody');
  const fit = fitForm();
  replace(byId('breaks'), figures, el('h2', {}, 'Where the breaks lie'), chart,
    el('p', { class: 'small' }, 'Bars: ground at each CEC. Drag a handle, or use the arrow keys on it.'),
    el('div', { class: 'wide' }, el('table', {}, el('caption', { class: 'unseen' }, 'Rates'), el('thead', {}, el('tr', {}, el('th', {}, 'CEC up to'), el('th', { id: 'head-rate' }, 'Rate'),
      el('th', { class: 'number', id: 'head-area' }, 'Acres'), el('th', { class: 'number', id: 'head-mass' }, 'Tons'), el('th', {}, el('span', { class: 'unseen' }, 'Take away')))), rows)),
    el('div', { class: 'row' }, el('button', { type: 'button', id: 'add-tier', click: add }, 'Add a break')), fit);
  new ResizeObserver(() => paint()).observe(chart);
}

/**
 * Shows a plan; while a break is moved the handles stay where they are held.
 * @param {any} state
 * @param {boolean} isTrial
 */
export function show(state, isTrial) {
  shown = state;
  // What is being moved stays as it is held.
  if (!isTrial && !held && !later) {
    tiers = state.tiers.map((/** @type {any} */ tier, /** @type {number} */ of) => ({ of, end: tier.end, rate: tier.rate, was: tier.rate }));
  }
  byId('head-rate').textContent = `Rate, ${state.units.rate}`;
  byId('head-area').textContent = state.units.area;
  byId('head-mass').textContent = state.units.mass;
  tell();
  paint();
  table(isTrial);
}

function tell() {
  const { totals, units, clear_percent: clear } = shown;
  const fact = (/** @type {string} */ name, /** @type {string} */ value, main = false) =>
    el('div', { class: main ? 'main' : null }, el('dt', {}, name), el('dd', {}, value));
  const all = totals.total;
  const mass = all.tons ?? all.tonnes;
  const area = all.acres ?? all.hectares;
  const { order } = totals;
  const ordered = order?.planned?.tons_ordered ?? order?.planned?.tonnes_ordered;
  const trucks = order?.planned?.trucks;
  replace(figures, fact(`${capital(units.mass)} to spread`, figure(mass), true), fact(`on ${units.area}`, figure(area), true),
    ordered !== undefined && fact('to order', figure(ordered)), trucks !== undefined && trucks !== null && fact('trucks', String(trucks)),
    order?.loads && fact('spreader loads', String(order.loads.count)),
    order?.money?.variable && fact('money', figure(order.money.variable.total)),
    clear !== null && fact('clearly in its rate', `${clear} %`));
  page.announce(`${figure(mass)} ${units.mass} on ${figure(area)} ${units.area}${trucks ? `, ${trucks} trucks` : ''}`);
}

/** @param {string} text */
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// The chart.

/** What the chart goes from and to, in CEC: all ground and all breaks. */
function range() {
  const { from, step, areas } = shown.by_cec;
  const ends = tiers.flatMap((tier) => tier.end ?? []);
  const low = Math.min(from, ...ends) - 1;
  const high = Math.max(from + step * areas.length, ...ends) + 1;
  return { low: Math.max(low, 0), high };
}

function paint() {
  const width = chart.clientWidth;
  if (!shown || width === 0) return;
  chart.setAttribute('viewBox', `0 0 ${width} ${HEIGHT}`);
  const { low, high } = range();
  const x = (/** @type {number} */ cec) => SIDE + (cec - low) / (high - low) * (width - 2 * SIDE);
  const { from, step, areas } = shown.by_cec;
  const most = Math.max(...areas, 1e-9);
  const color = (/** @type {number} */ cec) => {
    const found = tiers.findIndex((tier) => tier.end === null || cec < tier.end);
    return shown.map.rates[found] ?? '#ddd';
  };
  /** @type {Node[]} */
  const parts = areas.map((/** @type {number} */ area, /** @type {number} */ i) => {
    const left = from + i * step;
    const height = area / most * (AXIS - TOP);
    return draw('rect', { x: x(left), y: AXIS - height, width: Math.max(x(left + step) - x(left) - 0.6, 0.6), height, fill: color(left + step / 2), stroke: '#3d453e', 'stroke-width': 0.5 });
  });
  parts.push(draw('path', { d: `M${SIDE} ${AXIS}H${width - SIDE}`, stroke: '#1c241f', 'stroke-width': 1.5 }));
  const tick = [1, 2, 5, 10, 20].find((every) => (high - low) / every <= width / 44) ?? 50;
  for (let at = Math.ceil(low / tick) * tick; at <= high; at += tick) {
    parts.push(draw('text', { x: x(at), y: AXIS + 14, 'text-anchor': 'middle', 'font-size': 11 }, String(at)));
  }
  parts.push(draw('text', { x: width - SIDE, y: 11, 'text-anchor': 'end', 'font-size': 11 }, `CEC, meq/100 g; highest bar ${figure(most, 1)} ${shown.units.area}`));
  bars.replaceChildren(...parts);
  if (grips.childElementCount !== tiers.length - 1) grips.replaceChildren(...tiers.slice(0, -1).map((_, number) => grip(number)));
  tiers.slice(0, -1).forEach((tier, number) => put(grips.children[number], number, x(tier.end ?? high)));
}

/**
 * Puts a handle where its break is. It is the same element all the time, so that it keeps the focus.
 * @param {Element} made
 * @param {number} number
 * @param {number} x
 */
function put(made, number, x) {
  const end = tiers[number].end ?? 0;
  const { low, high } = limits(number);
  const told = `${figure(end, 1)} CEC, between ${tiers[number].rate} and ${tiers[number + 1].rate} ${shown.units.rate}`;
  for (const [name, value] of Object.entries({ 'aria-valuemin': low, 'aria-valuemax': high, 'aria-valuenow': end, 'aria-valuetext': told, transform: `translate(${x.toFixed(1)} 0)` })) made.setAttribute(name, String(value));
  const text = made.querySelector('text');
  if (text) text.textContent = figure(end, 1);
}

/** @param {number} number */
function grip(number) {
  const made = draw('g', { id: `break-${number}`, class: 'grip', role: 'slider', tabindex: 0, 'aria-label': `Break ${number + 1}` },
    draw('rect', { x: -14, y: TOP, width: 28, height: HEIGHT - TOP, fill: '#fff', 'fill-opacity': 0 }),
    draw('path', { d: `M0 ${TOP - 4}V${AXIS}M0 ${AXIS + 17}V${HOLD - 12}`, stroke: '#1c241f', 'stroke-width': 2, 'stroke-dasharray': '5 3' }),
    draw('rect', { class: 'hold', x: -21, y: HOLD - 13, width: 42, height: 26, rx: 6, fill: '#22473c', stroke: '#fff', 'stroke-width': 1.5 }),
    draw('text', { x: 0, y: HOLD + 5, 'text-anchor': 'middle', 'font-size': 14, fill: '#fff' }));
  made.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    held = { number, pointer: event.pointerId };
    chart.setPointerCapture(event.pointerId);
    made.focus({ preventScroll: true });
  });
  made.addEventListener('keydown', (event) => {
    /** @type {Record<string, number>} */
    const steps = { ArrowLeft: -STEP, ArrowDown: -STEP, ArrowRight: STEP, ArrowUp: STEP, PageDown: -1, PageUp: 1, Home: -1e3, End: 1e3 };
    const by = steps[event.key];
    if (by === undefined) return;
    event.preventDefault();
    move(number, (tiers[number].end ?? 0) + by);
    clearTimeout(later);
    later = setTimeout(commit, 500);
  });
  made.addEventListener('blur', () => { if (later) commit(); });
  return made;
}

document.addEventListener('pointermove', (event) => {
  if (!held || event.pointerId !== held.pointer) return;
  const { low, high } = range();
  const box = chart.getBoundingClientRect();
  move(held.number, low + (event.clientX - box.left - SIDE) / (box.width - 2 * SIDE) * (high - low));
});
for (const name of ['pointerup', 'pointercancel']) {
  document.addEventListener(name, (event) => {
    if (!held || /** @type {PointerEvent} */ (event).pointerId !== held.pointer) return;
    held = null;
    if (name === 'pointerup') commit(); else page.again();
  });
}

/**
 * What a break may lie between.
 * @param {number} number
 */
function limits(number) {
  const below = tiers[number - 1]?.end ?? 0;
  const above = tiers[number + 1]?.end ?? 100;
  return { low: round(below + STEP), high: round(above - STEP) };
}

/** @param {number} value */
const round = (value) => Math.round(value * 10) / 10;

/**
 * @param {number} number
 * @param {number} to
 */
function move(number, to) {
  const { low, high } = limits(number);
  const end = round(Math.min(Math.max(to, low), high));
  if (end === tiers[number].end) return;
  tiers[number].end = end;
  paint();
  page.trial(edit());
}

function edit() {
  const rate = (/** @type {Tier} */ tier) => tier.rate === tier.was ? null : `${tier.rate} ${shown.units.rate}`;
  return { do: 'tiers', tiers: tiers.map((tier) => ({ of: tier.of, end: tier.end, rate: rate(tier) })) };
}

function commit() {
  clearTimeout(later);
  later = undefined;
  const before = shown ? page.shown()?.tiers : null;
  const same = before && before.length === tiers.length && tiers.every((tier, i) => tier.of === i && tier.end === before[i].end && tier.rate === before[i].rate);
  if (same) page.again(); else page.edit(edit());
}

// The rows.

/** @param {boolean} isTrial */
function table(isTrial) {
  const { totals, units, map } = shown;
  const amount = (/** @type {any} */ of) => [figure(of?.acres ?? of?.hectares ?? 0), figure(of?.tons ?? of?.tonnes ?? 0)];
  if (isTrial && rows.childElementCount === totals.tiers.length) {
    // What is typed into stays.
    totals.tiers.forEach((/** @type {any} */ tier, /** @type {number} */ i) => {
      const [area, mass] = amount(tier);
      const cells = rows.children[i].querySelectorAll('td.number');
      cells[0].textContent = area;
      cells[1].textContent = mass;
      const input = rows.children[i].querySelector('input.end');
      if (input instanceof HTMLInputElement && input !== document.activeElement) input.value = String(tiers[i]?.end ?? '');
    });
    return;
  }
  const made = totals.tiers.map((/** @type {any} */ tier, /** @type {number} */ i) => {
    const [area, mass] = amount(tier);
    const own = tiers[i];
    const isLast = i === tiers.length - 1;
    const changed = (/** @type {keyof Tier} */ key) => (/** @type {Event} */ event) => {
      const value = Number(/** @type {HTMLInputElement} */ (event.target).value);
      if (!Number.isFinite(value) || value < 0) { page.again(); return; }
      if (key === 'end') { const { low, high } = limits(i); own.end = round(Math.min(Math.max(value, low), high)); } else own.rate = value;
      commit();
    };
    const end = !own ? tier.label : isLast ? (i === 0 ? 'whole field' : 'and over')
      : el('input', { class: 'figure end', id: `end-${i}`, type: 'number', step: STEP, min: 0, value: own.end, 'aria-label': `Rate ${i + 1}: CEC up to`, change: changed('end') });
    const rate = !own ? String(tier.rate)
      : el('input', { class: 'figure', id: `rate-${i}`, type: 'number', step: 0.05, min: 0, value: own.rate, 'aria-label': `Rate ${i + 1}, ${units.rate}`, change: changed('rate') });
    const away = own && tiers.length > 1 && el('button', { type: 'button', class: 'plain', id: `away-${i}`, 'aria-label': `Take rate ${i + 1} away`, click: () => takeAway(i) }, '×');
    return el('tr', {}, el('td', {}, swatch(map.rates[i] ?? '#ddd'), ' ', end), el('td', {}, rate), el('td', { class: 'number' }, area), el('td', { class: 'number' }, mass), el('td', {}, away));
  });
  replace(rows, ...made);
}

/** A new break in the middle of the rate that has the most ground. */
function add() {
  const { low, high } = range();
  const area = (/** @type {number} */ i) => shown.totals.tiers[i]?.acres ?? shown.totals.tiers[i]?.hectares ?? 0;
  const number = tiers.reduce((best, _, i) => (area(i) > area(best) ? i : best), 0);
  const tier = tiers[number];
  const from = tiers[number - 1]?.end ?? low;
  const to = tier.end ?? high;
  const beside = tiers[number + 1] ?? tier;
  const rate = Math.round((tier.rate + beside.rate) / 2 * 100) / 100;
  tiers.splice(number + 1, 0, { of: null, end: tier.end, rate, was: null });
  tier.end = round((from + to) / 2);
  commit();
}

/** @param {number} number */
function takeAway(number) {
  if (number > 0) tiers[number - 1].end = tiers[number].end;
  tiers.splice(number, 1);
  commit();
}

// Make it fit.

function fitForm() {
  const [amountLabel, amount] = field('Come to', { type: 'number', min: 0, step: 'any', class: 'figure', id: 'fit-amount' });
  const unit = el('select', { id: 'fit-unit', 'aria-label': 'Of what' }, el('option', { value: 'mass' }, 'tons'), el('option', { value: 'trucks' }, 'trucks'));
  const offer = el('div', { id: 'fit-offer' });
  const find = async () => {
    const answer = await ask('/api/fit', { amount: Number(amount.value), trucks: unit.value === 'trucks' });
    if (!answer.ok) { page.trouble(answer.value.error); return; }
    const { spread, rates, ends } = answer.value;
    const shownTiers = page.shown().tiers;
    const fitted = (/** @type {(i: number) => Partial<Tier>} */ change) => shownTiers.map((/** @type {any} */ tier, /** @type {number} */ of) => ({ of, end: tier.end, rate: tier.rate, was: tier.rate, ...change(of) }));
    const way = (/** @type {string} */ text, /** @type {Tier[]} */ next, /** @type {string} */ id) => el('button', { type: 'button', id, click: () => { tiers = next; page.trial(edit()); paint(); replace(offer, told, take(), leave); } }, text);
    const told = el('p', {}, `${figure(spread)} ${shown.units.mass} to spread. `);
    const take = () => el('button', { type: 'button', class: 'first', id: 'fit-take', click: () => { replace(offer); commit(); } }, 'Take it');
    const leave = el('button', { type: 'button', click: () => { replace(offer); page.again(); } }, 'Leave it');
    replace(offer, told,
      rates && way(`Rates ${rates.join(', ')} ${shown.units.rate}`, fitted((i) => ({ rate: rates[i] })), 'fit-rates'), ' ',
      ends && ends.length > 0 && way(`Breaks ${ends.join(', ')} CEC`, fitted((i) => (i < ends.length ? { end: ends[i] } : {})), 'fit-breaks'),
      !rates && !(ends && ends.length) && 'Neither rates nor breaks come to that.');
  };
  return el('details', { id: 'fit' }, el('summary', {}, 'Make it fit'), el('p', { class: 'small' }, 'Given tons or trucks: what rates, or what breaks, come to it. Shown on the map before you take it.'),
    el('div', { class: 'row' }, amountLabel, unit, el('button', { type: 'button', id: 'fit-find', click: find }, 'Find')), offer);
}
