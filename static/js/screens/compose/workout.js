// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";
import { followLine } from "./composer/line.js";

/** A workout that is pasted: whoever points at a window sees the words that it came from, and the other way round. */

const LOOK_AGAIN_MS = 1500;
const look = document.getElementById("look");

drawWhenLifted();
followLine();
for (const kind of ["pointerover", "focusin"]) look?.addEventListener(kind, (event) => light(/** @type {Element} */ (event.target)));
for (const kind of ["pointerleave", "focusout"]) look?.addEventListener(kind, () => light(null));
look?.addEventListener("click", (event) => select(event));

followText();

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

/** Selects what stands in red in the field, so that what is typed next stands in its place. @param {MouseEvent} event */
function select(event) {
  const link = /** @type {Element} */ (event.target).closest("[data-begins]");
  const text = /** @type {HTMLTextAreaElement | null} */ (document.getElementById("text"));
  if (!link || !text) return;
  event.preventDefault();
  const signs = [...text.value]; // counted as the desk counts them: what a browser counts as two may be one
  const [begins, ends] = ["data-begins", "data-ends"].map((edge) => signs.slice(0, Number(link.getAttribute(edge))).join("").length);
  text.setSelectionRange(begins, ends);
  text.focus();
  text.scrollIntoView({ block: "nearest" });
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

/**
 * What stands in the field is what is read, whatever was lost on the way: a paste before the page's scripts had come, what a browser
 * kept over a reload, a question that the desk did not answer. While a question is under way none is asked.
 */
function followText() {
  const text = /** @type {HTMLTextAreaElement | null} */ (document.getElementById("text"));
  const form = text?.form;
  if (!text || !form) return;
  let [asked, read, under] = [text.defaultValue, text.defaultValue, 0];
  let typedMs = 0;
  form.addEventListener("input", () => (typedMs = performance.now()));
  form.addEventListener("htmx:before:request", () => {
    asked = text.value;
    under += 1;
  });
  form.addEventListener("htmx:after:swap", (event) => {
    // It comes as well for an answer of which nothing is drawn.
    if (/** @type {any} */ (event).detail.ctx.response?.status === 200) read = asked;
  });
  form.addEventListener("htmx:finally:request", () => (under -= 1));
  setInterval(() => {
    const still = under <= 0 && performance.now() - typedMs > LOOK_AGAIN_MS;
    if (still && text.value !== read && !document.hidden) text.dispatchEvent(new Event("input", { bubbles: true }));
  }, LOOK_AGAIN_MS);
}
