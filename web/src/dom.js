// Elements without a framework: h() for HTML, s() for SVG. Text is always set as text.

/** @typedef {Node | string | number | null | undefined | false} Child */
/** @typedef {Record<string, unknown> & {on?: Record<string, (event: any) => void>}} Props */

const kSvg = 'http://www.w3.org/2000/svg';

/** @param {Element} element @param {Props} props */
function setProps(element, props) {
  for (const [name, value] of Object.entries(props)) {
    if (name === 'on') {
      for (const [event, listener] of Object.entries(/** @type {Record<string, EventListener>} */ (value))) {
        element.addEventListener(event, listener);
      }
    } else if (value === true) {
      element.setAttribute(name, '');
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, String(value));
    }
  }
}

/** @param {Element} element @param {(Child | Child[])[]} children */
function addChildren(element, children) {
  for (const child of children.flat()) {
    if (child === null || child === undefined || child === false) continue;
    element.append(typeof child === 'number' ? String(child) : child);
  }
}

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag @param {Props | null} [props] @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, props, ...children) {
  const element = document.createElement(tag);
  if (props) setProps(element, props);
  addChildren(element, children);
  return element;
}

/**
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag @param {Props | null} [props] @param {...(Child | Child[])} children
 * @returns {SVGElementTagNameMap[K]}
 */
export function s(tag, props, ...children) {
  const element = document.createElementNS(kSvg, tag);
  if (props) setProps(element, props);
  addChildren(element, children);
  return element;
}

/** Puts new children in place of the old ones. @param {Element} element @param {...(Child | Child[])} children */
export function fill(element, ...children) {
  element.replaceChildren();
  addChildren(element, children);
  return element;
}

/** A drawing of the program's, as text, in this document. @param {string} text @returns {SVGSVGElement} */
export function drawingOf(text) {
  const parsed = new DOMParser().parseFromString(text.includes('xmlns=') ? text : text.replace('<svg', `<svg xmlns="${kSvg}"`), 'image/svg+xml').documentElement;
  if (parsed.localName !== 'svg') throw new Error('the drawing cannot be read');
  parsed.querySelectorAll('style, script').forEach((one) => one.remove());
  return /** @type {SVGSVGElement} */ (/** @type {unknown} */ (document.importNode(parsed, true)));
}

let serial = 0;
/** An identifier that no other element has. @param {string} stem */
export const uniqueId = (stem) => `${stem}-${++serial}`;

/** Said to those who listen to the page. @param {string} text */
export function announce(text) {
  const line = document.getElementById('said');
  if (line) line.textContent = text;
}

/**
 * A label with its field. @param {string} text @param {HTMLElement} control @param {string} [hint]
 */
export function field(text, control, hint) {
  if (!control.id) control.id = uniqueId('f');
  const hintId = `${control.id}-hint`;
  if (hint) control.setAttribute('aria-describedby', hintId);
  return h('div', {class: 'field'}, h('label', {for: control.id}, text), control,
    hint ? h('p', {class: 'hint', id: hintId}, hint) : null);
}

/**
 * @param {{value: string, text: string}[]} choices @param {string} chosen
 * @param {(value: string) => void} [onChange]
 */
export function select(choices, chosen, onChange) {
  const element = h('select', onChange ? {on: {change: () => onChange(element.value)}} : null,
    choices.map((one) => h('option', {value: one.value, selected: one.value === chosen}, one.text)));
  return element;
}

/**
 * One of a few, as words beside each other.
 * @param {string} legend @param {{value: string, text: string, hint?: string}[]} choices @param {string} chosen
 * @param {(value: string) => void} onChange
 */
export function oneOf(legend, choices, chosen, onChange) {
  const name = uniqueId('r');
  return h('fieldset', {class: 'one-of'}, h('legend', null, legend),
    choices.map((one) => h('label', null,
      h('input', {type: 'radio', name, value: one.value, checked: one.value === chosen,
        on: {change: () => onChange(one.value)}}),
      h('span', null, one.text, one.hint ? h('small', null, ` ${one.hint}`) : null))));
}

/** @param {string} text @param {() => void} act @param {Props} [props] */
export const button = (text, act, props) => h('button', {type: 'button', ...props, on: {click: act}}, text);
