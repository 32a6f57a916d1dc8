// @ts-check
/** Names that always fit: made narrower first, so that they stay as high, then smaller. Nothing of them is ever cut off. */
import { el } from "./dom.js";

const NARROWEST = 0.72; // of its width; below that letters run together

/** A text that fits its place. @param {string} className @param {string} [words] */
export function fitted(className, words = "") {
  return el("span", { class: `fit ${className}` }, el("span", { class: "fit-words" }, words));
}

/** Changes what a fitted text says. @param {Element} place @param {string} words @returns {boolean} whether it has to be fitted anew */
export function setFitted(place, words) {
  const inner = /** @type {Element} */ (place.firstElementChild);
  if (inner.textContent === words) return false;
  inner.textContent = words;
  place.setAttribute("title", words);
  return true;
}

/** Fits all of them: first everything is measured, then everything is set. One with data-line keeps to one line. @param {Element} root */
export function fitAll(root) {
  const places = /** @type {HTMLElement[]} */ ([...root.querySelectorAll(".fit")]);
  const texts = places.map((place) => /** @type {HTMLElement} */ (place.firstElementChild));
  for (const text of texts) text.removeAttribute("style");
  const found = places.map((place, n) => ({ place, text: texts[n], room: place.clientWidth, wide: texts[n].offsetWidth }));
  for (const { place, text, room, wide } of found) {
    if (!room || wide <= room) continue;
    const part = room / wide;
    const one = part >= NARROWEST || "line" in place.dataset;
    if (one || !inTwoLines(place, text, part / NARROWEST)) inOneLine(text, part);
  }
}

/** @param {HTMLElement} text @param {number} part of its width that there is room for */
function inOneLine(text, part) {
  text.removeAttribute("style");
  text.style.transform = `scaleX(${Math.max(NARROWEST, part).toFixed(4)})`;
  if (part < NARROWEST) text.style.fontSize = `${((part / NARROWEST) * 100).toFixed(2)}%`;
}

/**
 * Where there is the height for two lines or more of smaller type, that is larger than one line that is squeezed.
 * @param {HTMLElement} place @param {HTMLElement} text @param {number} least @returns {boolean}
 */
function inTwoLines(place, text, least) {
  const high = heightFor(place);
  Object.assign(text.style, { whiteSpace: "normal", flexWrap: "wrap", maxWidth: "100%" });
  for (let size = 0.95; size > least; size -= 0.08) {
    text.style.fontSize = `${(size * 100).toFixed(0)}%`;
    if (text.offsetHeight <= high && text.scrollWidth <= place.clientWidth) return true;
  }
  return false;
}

/** The height that a text may take: its row's, less the line above it, or those below it, where it is said to be so. @param {HTMLElement} place */
function heightFor(place) {
  if ("above" in place.dataset) {
    const others = /** @type {HTMLElement[]} */ ([...(place.parentElement?.children ?? [])].filter((one) => one !== place));
    const taken = others.reduce((sum, one) => sum + one.offsetHeight, 0);
    return (place.closest("li")?.clientHeight ?? 0) * 0.94 - taken;
  }
  const above = "below" in place.dataset ? /** @type {HTMLElement} */ (place.parentElement?.firstElementChild) : null;
  const row = above ? place.closest("li") : place.parentElement;
  return (row?.clientHeight ?? 0) * 0.94 - (above?.offsetHeight ?? 0);
}
