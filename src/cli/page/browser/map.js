// The map: layers by name, moved and sized by mouse, thumb and keys; what lies at a place; drawing.

import { ask } from './server.js';
import { byId, draw, el, fill, replace, swatch } from './elements.js';

/** @typedef {import('./main.js').Page} Page */
/** @typedef {[number, number]} Pixel */

/** @type {[string, string, boolean][]} what a layer is called, and whether it is shown at first */
const LAYERS = [
  ['rates', 'Rates', true],
  ['cec', 'CEC', false],
  ['sure', 'How sure', false],
  ['samples', 'Samples', true],
  ['keep-outs', 'Keep-outs', true],
  ['near', 'Water, wells, lanes', true],
  ['piles', 'Pile and where it may lie', true],
  ['passes', 'Passes', false],
];
/** Room above and below the frame for what stands there. */
const ABOVE = 30;
const BELOW = 30;
/** Farther than this is a drag, no tap. */
const TAP = 5;
const CLOSEST = 24;

const svg = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (byId('map')));
const box = byId('map-box');
const readout = byId('readout');
const layers = draw('g');
const marks = draw('g');
fill(svg, layers, marks);

/** @type {Page} */
let page;
/** @type {any} */
let shown = null;
/** @type {Set<string>} */
const on = new Set(LAYERS.filter(([, , first]) => first).map(([name]) => name));
/** What was drawn last in each place. @type {{ name: string, svg: string, group: SVGGElement }[]} */
let drawn = [];
let whole = { x: 0, y: 0, width: 1, height: 1 };
let view = { ...whole };

/** @param {Page} of */
export function begin(of) {
  page = of;
  const boxes = LAYERS.map(([name, text]) => el('label', {},
    el('input', { type: 'checkbox', id: `layer-${name}`, checked: on.has(name), change: (/** @type {Event} */ event) => {
      const { checked } = /** @type {HTMLInputElement} */ (event.target);
      if (checked) on.add(name); else on.delete(name);
      // Each of the two covers all ground.
      const other = name === 'cec' ? 'sure' : 'cec';
      if (checked && (name === 'cec' || name === 'sure')) {
        on.delete(other);
        /** @type {HTMLInputElement} */ (byId(`layer-${other}`)).checked = false;
      }
      toggle();
    } }), text));
  fill(byId('layers'), ...boxes);
  byId('zoom-in').addEventListener('click', () => size(1.5));
  byId('zoom-out').addEventListener('click', () => size(1 / 1.5));
  byId('zoom-all').addEventListener('click', () => look(whole));
}

/**
 * Shows a plan's map.
 * @param {any} state what is shown of the job
 */
export function show(state) {
  shown = state;
  const { map } = state;
  const all = { x: 0, y: -ABOVE, width: map.width, height: map.height + ABOVE + BELOW };
  if (all.width !== whole.width || all.height !== whole.height) {
    whole = all;
    look(whole);
  }
  const next = map.layers.map((/** @type {any} */ layer) => {
    // What is the same is not drawn again.
    const before = drawn.find((one) => one.name === layer.name && one.svg === layer.svg);
    if (before) return before;
    return { ...layer, group: group(layer.name, layer.svg) };
  });
  drawn = next;
  layers.replaceChildren(...next.map((/** @type {any} */ layer) => layer.group));
  toggle();
  if (!pull) pileHold();
}

/**
 * @param {string} name
 * @param {string} text
 */
function group(name, text) {
  const parsed = new DOMParser().parseFromString(`<svg xmlns="http://www.w3.org/2000/svg">${text}</svg>`, 'image/svg+xml');
  const made = draw('g', { 'data-layer': name });
  made.append(...[...parsed.documentElement.childNodes].map((node) => document.importNode(node, true)));
  return made;
}

/**
 * Whether a layer is shown.
 * @param {string} name
 */
export const isOn = (name) => on.has(name);

function toggle() {
  for (const { name, group: made } of drawn) {
    const always = name === 'outline' || name === 'frame';
    if (always || on.has(name)) made.removeAttribute('display'); else made.setAttribute('display', 'none');
  }
  pileHold();
  legend();
}

function legend() {
  if (!shown) return;
  const { map, totals } = shown;
  const key = (/** @type {string} */ color, /** @type {string} */ text) => el('span', { class: 'key' }, swatch(color), text);
  /** @type {Node[]} */
  const keys = [];
  if (on.has('rates')) totals.tiers.forEach((/** @type {any} */ tier, /** @type {number} */ i) => keys.push(key(map.rates[i], `${tier.rate} ${tier.rate_unit}`)));
  if (on.has('cec')) map.cec.forEach((/** @type {any} */ band) => keys.push(key(band.color, `CEC ${band.text}`)));
  if (on.has('sure')) map.sure.forEach((/** @type {any} */ band) => keys.push(key(band.color, band.text)));
  if (on.has('samples')) keys.push(el('span', { class: 'key' }, 'Dot: sample; red ring: does not fit its neighbors; cross: left out.'));
  replace(byId('legend'), ...keys);
}

// Where things are.

/** @param {{ x: number, y: number, width: number, height: number }} next */
function look(next) {
  const width = Math.min(Math.max(next.width, whole.width / CLOSEST), whole.width * 1.6);
  const height = width * whole.height / whole.width;
  view = { x: next.x + (next.width - width) / 2, y: next.y + (next.height - height) / 2, width, height };
  // Some of the field stays in sight.
  view.x = Math.min(Math.max(view.x, whole.x - width * 0.7), whole.x + whole.width - width * 0.3);
  view.y = Math.min(Math.max(view.y, whole.y - height * 0.7), whole.y + whole.height - height * 0.3);
  svg.setAttribute('viewBox', `${view.x} ${view.y} ${view.width} ${view.height}`);
  pileHold();
  sketch();
}

/**
 * @param {number} factor over 1 is closer
 * @param {Pixel} [about] what stays where it is
 */
function size(factor, about = middle()) {
  const width = Math.min(Math.max(view.width / factor, whole.width / CLOSEST), whole.width * 1.6);
  const height = width * whole.height / whole.width;
  const share = [(about[0] - view.x) / view.width, (about[1] - view.y) / view.height];
  look({ x: about[0] - share[0] * width, y: about[1] - share[1] * height, width, height });
}

/** @returns {Pixel} */
function middle() {
  return [view.x + view.width / 2, view.y + view.height / 2];
}

/**
 * @param {{ clientX: number, clientY: number }} event
 * @returns {Pixel}
 */
function place(event) {
  const matrix = svg.getScreenCTM();
  if (!matrix) return [0, 0];
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  return [at.x, at.y];
}

/** How many of the map's pixels one of the screen is. */
function perPixel() {
  return 1 / (svg.getScreenCTM()?.a || 1);
}

// Mouse and thumbs.

/** @type {Map<number, { clientX: number, clientY: number }>} */
const fingers = new Map();
let moved = 0;
/** What a finger holds: the pile, while it is moved. @type {Pixel | null} */
let pull = null;
let apart = 0;

svg.addEventListener('pointerdown', (event) => {
  if (event.button !== 0) return;
  svg.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, event);
  if (fingers.size === 1) moved = 0;
  apart = spread();
  const target = /** @type {Element} */ (event.target);
  if (target.closest('[data-hold="pile"]') && !sketching) pull = place(event);
});

svg.addEventListener('pointermove', (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) {
    if (event.pointerType === 'mouse') hover(place(event));
    if (sketching) { pointer = place(event); sketch(); }
    return;
  }
  moved += Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY);
  fingers.set(event.pointerId, event);
  if (fingers.size === 2) {
    const now = spread();
    const [a, b] = [...fingers.values()];
    if (apart > 0) size(now / apart, place({ clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 }));
    apart = now;
  } else if (pull) {
    pull = place(event);
    pileHold();
    page.trial({ do: 'pile', place: pull });
  } else if (moved > TAP) {
    const scale = perPixel();
    look({ ...view, x: view.x - (event.clientX - before.clientX) * scale, y: view.y - (event.clientY - before.clientY) * scale });
  }
});

function spread() {
  const [a, b] = [...fingers.values()];
  return a && b ? Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) : 0;
}

/** @param {PointerEvent} event */
function lifted(event) {
  if (!fingers.delete(event.pointerId)) return;
  if (pull) {
    const at = place(event);
    pull = null;
    if (event.type === 'pointerup' && moved > TAP) page.edit({ do: 'pile', place: at }); else page.again();
    return;
  }
  if (event.type !== 'pointerup' || moved > TAP) return;
  const at = place(event);
  if (sketching) { corner(at); return; }
  const sample = document.elementsFromPoint(event.clientX, event.clientY).map((found) => found.closest('[data-sample]')).find(Boolean);
  if (sample) tellSample(sample.getAttribute('data-sample') ?? ''); else tell(at);
}
svg.addEventListener('pointerup', lifted);
svg.addEventListener('pointercancel', lifted);
svg.addEventListener('dblclick', (event) => { if (sketching) { event.preventDefault(); finish(); } });
svg.addEventListener('wheel', (event) => {
  event.preventDefault();
  size(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), place(event));
}, { passive: false });

// Keys.

box.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const step = view.width / 12;
  /** @type {Record<string, () => void>} */
  const keys = {
    ArrowLeft: () => look({ ...view, x: view.x - step }),
    ArrowRight: () => look({ ...view, x: view.x + step }),
    ArrowUp: () => look({ ...view, y: view.y - step }),
    ArrowDown: () => look({ ...view, y: view.y + step }),
    '+': () => size(1.3),
    '=': () => size(1.3),
    '-': () => size(1 / 1.3),
    0: () => look(whole),
    Enter: () => { if (sketching) finish(); else aloud(); },
    ' ': () => { if (sketching) corner(middle()); else aloud(); },
    Backspace: () => { if (sketching) { sketching.corners.pop(); sketch(); } },
    Escape: () => { if (sketching) stop(null); },
  };
  const done = keys[event.key];
  if (!done) return;
  event.preventDefault();
  done();
  if (sketching) { pointer = middle(); sketch(); }
});

// What lies at a place.

let asking = false;
/** @type {Pixel | null} */
let wanted = null;

/** @param {Pixel} at */
async function hover(at) {
  wanted = at;
  if (asking) return;
  asking = true;
  while (wanted) {
    const next = wanted;
    wanted = null;
    await tell(next);
  }
  asking = false;
}

/** Tells what is in the middle to who does not see it, too. */
async function aloud() {
  await tell(middle());
  page.say(readout.textContent ?? '');
}

/** @param {Pixel} at */
async function tell(at) {
  const answer = await ask(`/api/at?x=${at[0].toFixed(2)}&y=${at[1].toFixed(2)}`);
  if (!answer.ok || !shown) return;
  const found = answer.value;
  const where = `${found.place[0]}, ${found.place[1]}`;
  if (!found.is_inside) { replace(readout, `Outside the field. ${where}`); return; }
  const error = found.likely_error ? `, likely off by ${found.likely_error}` : '';
  const odds = found.odds.map((/** @type {number} */ share, /** @type {number} */ tier) =>
    `${shown.totals.tiers[tier]?.rate ?? ''} ${shown.units.rate}: ${share} %`).join(', ');
  const zone = found.kept_out
    ? el('span', {}, el('b', {}, 'Not spread: '), found.kept_out)
    : el('span', {}, el('b', {}, `Zone ${found.zone ?? '?'}: ${found.rate ?? ''}`), ` on ${found.area ?? '?'}, ${found.mass ?? '?'}. ${found.label ?? ''}`);
  replace(readout, el('div', {}, el('b', {}, `CEC ${found.cec}`), `${error}. `, zone),
    el('div', { class: 'small' }, found.is_set || !odds ? '' : `Odds of each rate here: ${odds}. `, where));
}

/** @param {string} id */
export function tellSample(id) {
  const sample = shown?.samples.find((/** @type {any} */ one) => one.id === id);
  if (!sample) return;
  const suspect = sample.neighbors_say === null ? '' : ` Its neighbors say ${sample.neighbors_say}; with it the field takes ${sample.tons} ${shown.units.mass} more than without.`;
  replace(readout, el('div', {}, el('b', {}, `Sample ${sample.id}: CEC ${sample.cec ?? 'not known'}.`), suspect, ' ',
    el('button', { type: 'button', click: () => page.edit({ do: sample.is_out ? 'take-in' : 'leave-out', id }) }, sample.is_out ? 'Put it back' : 'Leave it out')));
}

/** The pile's handle, as large as a thumb. */
function pileHold() {
  for (const old of marks.querySelectorAll('[data-hold]')) old.remove();
  const at = pull ?? shown?.pile?.at;
  if (!at || !on.has('piles')) return;
  const r = 17 * perPixel();
  marks.append(draw('circle', { 'data-hold': 'pile', cx: at[0], cy: at[1], r, fill: '#ffd54a', 'fill-opacity': pull ? 0.7 : 0.25, stroke: '#111', 'stroke-width': 2 * perPixel(), 'stroke-dasharray': `${4 * perPixel()}`, cursor: 'move' }));
}

// Drawing.

/** @type {{ corners: Pixel[], done: (corners: Pixel[] | null) => void } | null} */
let sketching = null;
/** @type {Pixel | null} */
let pointer = null;

/**
 * Lets somebody draw.
 * @param {string} told what is drawn
 * @returns {Promise<Pixel[] | null>} its corners
 */
export function drawOn(told) {
  if (sketching) stop(null);
  svg.classList.add('draws');
  box.classList.add('draws');
  const bar = byId('drawing');
  replace(bar, el('p', {}, el('b', {}, told), ' Tap or click each corner; then Done. By keys: arrows move the map under the cross, Space sets a corner, Backspace takes one back, Enter is Done, Escape gives up.'),
    el('div', { class: 'row' }, el('button', { type: 'button', class: 'first', id: 'drawing-done', click: () => finish() }, 'Done'),
      el('button', { type: 'button', click: () => { sketching?.corners.pop(); sketch(); } }, 'Take the last corner back'),
      el('button', { type: 'button', click: () => stop(null) }, 'Give up')));
  bar.hidden = false;
  box.focus();
  box.scrollIntoView({ block: 'nearest' });
  return new Promise((resolve) => { sketching = { corners: [], done: resolve }; });
}

/** @param {Pixel} at */
function corner(at) {
  const last = sketching?.corners.at(-1);
  // A double click is one corner.
  if (last && Math.hypot(last[0] - at[0], last[1] - at[1]) < 3 * perPixel()) return;
  sketching?.corners.push(at);
  page.say(`Corner ${sketching?.corners.length}`);
  sketch();
}

function finish() {
  if (sketching) stop(sketching.corners.length > 0 ? sketching.corners : null);
}

/** @param {Pixel[] | null} corners */
function stop(corners) {
  const { done } = sketching ?? { done: () => {} };
  sketching = null;
  pointer = null;
  svg.classList.remove('draws');
  box.classList.remove('draws');
  byId('drawing').hidden = true;
  if (!corners) leave();
  done(corners);
}

/** Takes the drawing off the map. */
export function leave() {
  for (const old of marks.querySelectorAll('[data-sketch]')) old.remove();
}

function sketch() {
  if (!sketching) return;
  leave();
  const scale = perPixel();
  const all = pointer ? [...sketching.corners, pointer] : sketching.corners;
  if (all.length > 1) {
    marks.append(draw('polygon', { 'data-sketch': true, points: all.map((at) => at.join(',')).join(' '), fill: '#8a4b08', 'fill-opacity': 0.2, stroke: '#8a4b08', 'stroke-width': 2.5 * scale, 'pointer-events': 'none' }));
  }
  for (const at of sketching.corners) {
    marks.append(draw('circle', { 'data-sketch': true, cx: at[0], cy: at[1], r: 4.5 * scale, fill: '#fff', stroke: '#8a4b08', 'stroke-width': 2 * scale, 'pointer-events': 'none' }));
  }
}

/** How many of the map's pixels a meter is. */
export function scale() {
  return shown?.map.scale ?? 1;
}
