// Elements made by hand: text is only ever text.

const SVG = 'http://www.w3.org/2000/svg';

/** @typedef {Node | string | number | null | undefined | false} Child */

/**
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [attributes] functions are listeners, `true` an attribute alone
 * @param {Child[]} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  give(element, attributes, children);
  return element;
}

/**
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [attributes]
 * @param {Child[]} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function draw(tag, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  give(element, attributes, children);
  return element;
}

/**
 * @param {Element} element
 * @param {Record<string, any>} attributes
 * @param {Child[]} children
 */
function give(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'function') element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, '');
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, String(value));
  }
  fill(element, ...children);
}

/**
 * Adds children; what is not there is left out.
 * @param {Element} element
 * @param {Child[]} children
 */
export function fill(element, ...children) {
  for (const child of children) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child instanceof Node ? child : String(child));
  }
}

/**
 * Children in place of those that are there; what has the focus keeps it, by its id.
 * @param {Element} element
 * @param {Child[]} children
 */
export function replace(element, ...children) {
  const focused = document.activeElement instanceof HTMLElement && element.contains(document.activeElement)
    ? document.activeElement.id : '';
  element.replaceChildren();
  fill(element, ...children);
  if (focused) document.getElementById(focused)?.focus();
}

/**
 * The element of an id, which is in the page.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`no element ${id}`);
  return element;
}

/**
 * A field with its label above it.
 * @param {string} text
 * @param {Record<string, any>} attributes
 * @returns {[HTMLLabelElement, HTMLInputElement]}
 */
export function field(text, attributes) {
  const input = el('input', attributes);
  return [el('label', {}, text, el('br'), input), input];
}

/**
 * A color, where no style attribute may be.
 * @param {string} color
 */
export function swatch(color) {
  const box = el('span', { class: 'swatch' });
  box.style.background = color;
  return box;
}

/**
 * A number as it is printed.
 * @param {number} value
 * @param {number} decimals
 */
export function figure(value, decimals = 2) {
  return value.toLocaleString('en-US', { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
}

/**
 * A sentence of something that was asked, shown in the page's dialog.
 * @param {string} title
 * @param {Child[]} body
 * @param {{ text: string, value: string, first?: boolean }[]} choices
 * @returns {Promise<string>} the choice's value; empty where it was closed
 */
export function asked(title, body, choices) {
  const dialog = /** @type {HTMLDialogElement} */ (byId('dialog'));
  byId('dialog-title').textContent = title;
  return new Promise((resolve) => {
    const done = (/** @type {string} */ value) => { dialog.close(value); };
    const buttons = choices.map(({ text, value, first }) =>
      el('button', { type: 'button', class: first ? 'first' : null, autofocus: first, click: () => done(value) }, text));
    replace(byId('dialog-body'), ...body, el('div', { class: 'row' }, ...buttons));
    dialog.returnValue = '';
    dialog.addEventListener('close', () => resolve(dialog.returnValue), { once: true });
    dialog.showModal();
  });
}
