// @ts-check
/** Making and changing elements. Text is always text: nothing here parses HTML. */

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {Node | string | number | null | undefined | false} Child */
/** @typedef {Record<string, string | number | boolean | null | undefined | Function>} Properties */

/**
 * An element. `role` becomes data-role, `on…` a listener, true an empty attribute; null, undefined and false are left out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Properties} [properties]
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, properties = {}, ...children) {
  return dress(document.createElement(tag), properties, children);
}

/**
 * An element of a drawing.
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Properties} [properties]
 * @param {...Child} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function svg(tag, properties = {}, ...children) {
  return dress(/** @type {SVGElementTagNameMap[T]} */ (document.createElementNS(SVG, tag)), properties, children);
}

/**
 * @template {Element} E
 * @param {E} element
 * @param {Properties} properties
 * @param {Child[]} children
 * @returns {E}
 */
function dress(element, properties, children) {
  for (const [name, value] of Object.entries(properties)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") element.addEventListener(name.slice(2), /** @type {EventListener} */ (value));
    else if (name === "role") element.setAttribute("data-role", String(value));
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false).map(asNode));
  return element;
}

/** @param {Child} child @returns {Node | string} */
function asNode(child) {
  return child instanceof Node ? child : String(child);
}

/** Changes a text only when it differs: an untouched text costs no layout. @param {Element} element @param {string | number} text */
export function setText(element, text) {
  const words = String(text);
  if (element.textContent !== words) element.textContent = words;
}

/** Sets or removes a data attribute. @param {Element} element @param {string} name @param {string | boolean | null | undefined} value */
export function setData(element, name, value) {
  const key = `data-${name}`;
  if (value === false || value === null || value === undefined) element.removeAttribute(key);
  else if (element.getAttribute(key) !== String(value)) element.setAttribute(key, value === true ? "" : String(value));
}

/** Puts these children in place of those before. @param {Element} parent @param {...Child} children */
export function fill(parent, ...children) {
  parent.replaceChildren(...children.filter((c) => c !== null && c !== undefined && c !== false).map(asNode));
}

/**
 * A button that says what it does.
 * @param {string} words
 * @param {() => void} act
 * @param {Properties} [properties]
 */
export function button(words, act, properties = {}) {
  return el("button", { type: "button", onclick: act, ...properties }, words);
}
