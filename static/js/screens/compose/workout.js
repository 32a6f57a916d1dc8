// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";
import { followLine } from "./composer/line.js";

/** A workout that is pasted: whoever points at a window sees the words that it came from, and the other way round. */

const look = document.getElementById("look");

drawWhenLifted();
followLine();
for (const kind of ["pointerover", "focusin"]) look?.addEventListener(kind, (event) => light(/** @type {Element} */ (event.target)));
for (const kind of ["pointerleave", "focusout"]) look?.addEventListener(kind, () => light(null));

// What was pasted before the page's scripts had come is read as well, and what a browser kept over a reload.
addEventListener("load", () => {
  const text = /** @type {HTMLTextAreaElement | null} */ (document.getElementById("text"));
  if (text && text.value !== text.defaultValue) text.dispatchEvent(new Event("input", { bubbles: true }));
});

/** Lights what belongs together: a window's line, its words, its bars. @param {Element | null} at what is pointed at */
function light(at) {
  const line = at?.closest("[data-line]");
  const piece = at?.closest("[data-lines]");
  const bar = at?.closest("[data-window]");
  const lit = new Set(line ? [numberOf(line)] : piece ? listed(piece, "lines") : bar ? linesOfBar(bar) : []);
  const windows = new Set();
  for (const one of all("[data-line]")) {
    const on = lit.has(numberOf(one));
    one.classList.toggle("lit", on);
    if (on) for (const window of listed(one, "windows")) windows.add(window);
  }
  for (const one of all("[data-lines]")) one.classList.toggle("lit", listed(one, "lines").some((number) => lit.has(number)));
  for (const one of all("[data-window]")) one.classList.toggle("lit", windows.has(one.getAttribute("data-window")));
}

/** @param {string} kind a selector inside what was understood */
function all(kind) {
  return look ? look.querySelectorAll(kind) : [];
}

/** @param {Element} line a window's line */
function numberOf(line) {
  return line.getAttribute("data-line") ?? "";
}

/** @param {Element} one an element that names several numbers @param {"lines" | "windows"} what which ones */
function listed(one, what) {
  return (one.getAttribute(`data-${what}`) ?? "").split(" ").filter(Boolean);
}

/** The lines that a bar of the strip belongs to. @param {Element} bar a window's bar */
function linesOfBar(bar) {
  const window = bar.getAttribute("data-window") ?? "";
  return [...all("[data-line]")].filter((line) => listed(line, "windows").includes(window)).map(numberOf);
}
