// The page: what it shows, and how changes go to the program and come back.

import { ask } from './server.js';
import { byId, el, replace } from './elements.js';
import * as areas from './areas.js';
import * as breaks from './breaks.js';
import * as farm from './farm.js';
import * as map from './map.js';
import * as samples from './samples.js';
import * as saving from './saving.js';
import * as settings from './settings.js';
import * as start from './start.js';

/**
 * What every part of the page may do.
 * @typedef {{
 *   now: () => any, shown: () => any, show: (state: any) => void, trial: (edit: any) => void,
 *   edit: (edit: any) => Promise<boolean>, again: () => void, say: (text: string) => void,
 *   announce: (text: string) => void, trouble: (text: string) => void, wrote: () => void, over: () => void,
 * }} Page
 */

/** How often the program is told that the page is still open, in milliseconds. */
const SIGN = 20_000;

/** @type {any} what the program said last */
let state = null;
let isOver = false;

/** @type {Page} */
const page = { now: () => state, shown: () => state?.job?.shown, show, trial, edit, again, say, announce, trouble, wrote, over };

/** @param {any} next */
function show(next) {
  state = next;
  calm();
  const { job } = state;
  document.title = job ? `${job.is_changed ? '* ' : ''}${job.name} - landplaster` : 'landplaster';
  byId('job-name').textContent = job?.name ?? 'landplaster';
  byId('job-file').textContent = job ? `${job.file}${job.is_changed ? ', not saved' : ''}` : '';
  byId('actions').hidden = !job;
  byId('others').hidden = !job || Boolean(state.farm);
  byId('plan').hidden = !job;
  start.show(page, state);
  farm.show(page, state);
  if (!job) return;
  button('undo', job.undo, 'Undo');
  button('redo', job.redo, 'Redo');
  /** @type {HTMLButtonElement} */ (byId('save')).disabled = !job.is_changed;
  parts(job.shown);
}

/** @param {any} shown */
function parts(shown) {
  map.show(shown);
  breaks.show(shown, false);
  heed(shown);
  samples.show(page, shown);
  areas.show(page, shown);
  areas.showPile(page, shown);
  settings.show(page, shown);
  const { tons_are: tonsAre } = shown.units;
  replace(byId('told-list'), ...shown.told.map((/** @type {string} */ line) => el('li', {}, line)), tonsAre && el('li', {}, tonsAre));
}

/** @param {any} shown */
function heed(shown) {
  const { warnings } = shown.totals;
  const lines = warnings.map((/** @type {any} */ warning) => el('li', { class: warning.gravity === 'stop' ? 'stop' : null }, warning.text));
  byId('heed').hidden = lines.length === 0;
  replace(byId('heed-list'), ...lines);
}

/**
 * @param {string} id
 * @param {string | null} what
 * @param {string} name
 */
function button(id, what, name) {
  const made = /** @type {HTMLButtonElement} */ (byId(id));
  made.disabled = what === null;
  made.title = what === null ? '' : `${name}: ${what}`;
  made.setAttribute('aria-label', what === null ? name : `${name}: ${what}`);
}

// Changes. Of trials only the latest counts: one is on its way, one waits.

let isFlying = false;
/** @type {any} */
let waiting = null;
/** Trials of an older time than the last change are dropped. */
let time = 0;
/** When the map was drawn last, and how long it may be behind the figures, in milliseconds. */
let drawn = 0;
const SLOWEST = 150;

/** @param {any} change */
async function trial(change) {
  waiting = change;
  if (isFlying) return;
  isFlying = true;
  while (waiting) {
    const next = waiting;
    const from = time;
    waiting = null;
    const answer = await ask('/api/try', next);
    if (from !== time) continue;
    if (answer.ok && answer.value.tried) {
      const { tried } = answer.value;
      const shown = { ...state.job.shown, ...tried, pile: tried.pile && { ...tried.pile, at: state.job.shown.pile?.at } };
      breaks.show(shown, true);
      heed(shown);
      if (next.do === 'pile') areas.tellPile(shown);
      // The map takes longer: while figures come fast it comes when it can.
      if (waiting && performance.now() - drawn < SLOWEST) continue;
      const map_ = await ask(`/api/tried?sure=${map.isOn('sure')}`);
      if (from === time && map_.ok && map_.value.map) map.show({ ...shown, map: map_.value.map });
      drawn = performance.now();
    } else if (!answer.ok) trouble(answer.value.error);
  }
  isFlying = false;
}

/**
 * @param {any} change
 * @returns {Promise<boolean>}
 */
async function edit(change) {
  return told(await late('/api/edit', change));
}

/**
 * @param {string} path
 * @param {any} body
 */
function late(path, body) {
  waiting = null;
  time += 1;
  return ask(path, body);
}

/** @param {import('./server.js').Answer} answer */
function told(answer) {
  if (answer.ok) { show(answer.value); return true; }
  again();
  trouble(answer.value.error);
  return false;
}

/** Shows what counts once more, in place of what was tried. */
function again() {
  waiting = null;
  time += 1;
  if (state) show(state);
}

// What is told.

/** @param {string} text */
function trouble(text) {
  byId('trouble-text').textContent = text;
  byId('trouble').hidden = false;
}

function calm() {
  byId('trouble').hidden = true;
}

/** @param {string} text */
function say(text) {
  byId('said').textContent = text;
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let saying;

/**
 * Says what moves only when it has come to rest.
 * @param {string} text
 */
function announce(text) {
  clearTimeout(saying);
  saying = setTimeout(() => say(text), 900);
}

function wrote() {
  state.is_written = true;
}

function over() {
  isOver = true;
  byId('plan').hidden = true;
  byId('start').hidden = true;
  byId('farm').hidden = true;
  byId('top').hidden = true;
}

// Beginning.

map.begin(page);
breaks.begin(page);
byId('trouble-close').addEventListener('click', calm);
byId('undo').addEventListener('click', async () => told(await late('/api/undo', {})));
byId('redo').addEventListener('click', async () => told(await late('/api/redo', {})));
byId('save').addEventListener('click', () => saving.save(page));
byId('write').addEventListener('click', () => saving.write(page));
byId('end').addEventListener('click', () => saving.end(page));
byId('others').addEventListener('click', () => farm.open(page, ''));
document.addEventListener('keydown', async (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = event.target instanceof HTMLInputElement && event.target.type !== 'checkbox';
  const key = event.key.toLowerCase();
  if (key === 's') { event.preventDefault(); saving.save(page); }
  if (typing || !state?.job) return;
  if (key === 'z' && !event.shiftKey) { event.preventDefault(); told(await late('/api/undo', {})); }
  if (key === 'y' || (key === 'z' && event.shiftKey)) { event.preventDefault(); told(await late('/api/redo', {})); }
});
window.addEventListener('beforeunload', (event) => { if (!isOver && state?.job?.is_changed) event.preventDefault(); });
setInterval(() => { if (!isOver) ask('/api/alive', {}); }, SIGN);

const first = await ask('/api/state');
if (first.ok) show(first.value); else trouble(first.value.error);
