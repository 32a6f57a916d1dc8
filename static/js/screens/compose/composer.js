// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";
import { Drag } from "./composer/drag.js";
import { fieldsOf, History, putBack } from "./composer/history.js";
import { reveal, turn } from "./composer/folds.js";
import { followLine } from "./composer/line.js";
import { placeDiffers, placeNotes, placeWrongs, sentencesOf } from "./composer/places.js";
import { drawnAnew, focusAfter, rename, showKind } from "./composer/rows.js";
import { turnSection, whenRoomChanges } from "./composer/sections.js";
import { Strip } from "./composer/strip.js";
import { showStarts } from "./composer/windows.js";

/** The composer: the strip and the table of windows in agreement, changes taken back, warnings beside their places. */

drawWhenLifted();
const strip = new Strip();
addEventListener("resize", () => strip.draw()); // where a grip has room follows from the width
const history = new History(fieldsOf(strip.form));
/** Whether the page is left because the event is stored. */
let leaving = false;
/** What the hand has set on the toolbar; a form drawn anew is set so again. */
const tools = { snap: "5", along: true };

const drag = new Drag(strip, { step: () => Number(tools.snap), along: () => tools.along, done: (words) => changed(words, true) });

/** Something has changed: kept for taking back, and looked at by the server. @param {string} words @param {boolean} [joined] */
function changed(words, joined = false) {
  history.keep(fieldsOf(strip.form), words, joined);
  showTools();
  strip.form.dispatchEvent(new CustomEvent("composer:moved", { bubbles: true }));
}

function showTools() {
  const { undo, redo } = history.words;
  for (const [name, words] of [["undo", undo], ["redo", redo]]) {
    const button = /** @type {HTMLButtonElement} */ (strip.form.querySelector(`[data-do="${name}"]`));
    button.disabled = !words;
    button.title = words;
    button.setAttribute("aria-label", words ? `${name === "undo" ? "Undo" : "Redo"}: ${words}` : name === "undo" ? "Undo" : "Redo");
  }
  const snap = /** @type {HTMLSelectElement} */ (strip.form.querySelector("[data-role=snap]"));
  const along = /** @type {HTMLInputElement} */ (strip.form.querySelector("[data-role=along]"));
  snap.value = tools.snap;
  along.checked = tools.along;
}

/** A form on the screen: the strip takes hold of it. */
function ready() {
  for (const part of strip.form.querySelectorAll(".timeline-tools, .timeline-keys")) /** @type {HTMLElement} */ (part).hidden = false;
  placeNotes(sentencesOf("notes"));
  showTools();
  strip.showZoom();
  strip.choose(strip.chosen);
}

/** @param {string | null} fields */
async function goTo(fields) {
  if (fields === null) return;
  if (putBack(strip.form, fields)) {
    for (const select of strip.form.querySelectorAll("select")) showKind(select);
    showStarts(strip.form);
    strip.mark();
    strip.form.dispatchEvent(new CustomEvent("composer:moved", { bubbles: true }));
  } else {
    await drawAgain(fields);
  }
  showTools();
}

/** The server draws the form from these fields. @param {string} fields */
async function drawAgain(fields) {
  const body = new URLSearchParams(fields);
  body.set("do", "show");
  if (await drawnAnew(strip.form, body)) ready();
}

/** What the row buttons that were pressed still wait for: each is sent with what the one before it changed. */
let pressedBefore = Promise.resolve();

/** Takes a row button's wish; the browser itself sends what stores. @param {SubmitEvent} event */
function submit(event) {
  const form = /** @type {HTMLFormElement} */ (event.target);
  const pressed = /** @type {HTMLButtonElement | null} */ (event.submitter);
  if (form !== strip.form || pressed?.formTarget) return;
  if (!pressed || ["save", "sure"].includes(pressed.value)) {
    leaving = true;
    return;
  }
  event.preventDefault();
  const { name, value } = pressed;
  const picked = [...new FormData(form)].filter(([field]) => field.startsWith("pick-"));
  const send = () => wish([...picked, [name, value]], value);
  pressedBefore = pressedBefore.then(send, send);
}

/**
 * Posts a row button's wish and shows the answer's form.
 * @param {[string, FormDataEntryValue][]} said the button, and what was picked beside it
 * @param {string} value the button's own
 */
async function wish(said, value) {
  const body = new URLSearchParams(/** @type {any} */ (new FormData(strip.form)));
  for (const [name, what] of said) body.set(name, String(what));
  const fresh = await drawnAnew(strip.form, body);
  if (!fresh) return;
  const [verb, what, at] = value.split("-");
  if (what === "window" && at !== undefined && verb !== "remove") strip.chosen = Number(at) + (verb === "up" ? -1 : 1);
  ready();
  history.keep(fieldsOf(fresh), `${verb} ${what}`);
  showTools();
  focusAfter(fresh, value);
}

/** @type {Record<string, () => void>} */
const DO = {
  undo: () => goTo(history.undo()),
  redo: () => goTo(history.redo()),
  in: () => zoom(2),
  out: () => zoom(0.5),
  add: () => press(`add-window-${strip.chosen}`),
  copy: () => press(`copy-window-${strip.chosen}`),
  remove: () => press(`remove-window-${strip.chosen}`),
};

/** @param {number} by */
function zoom(by) {
  strip.zoom(by);
  strip.form.dispatchEvent(new CustomEvent("composer:moved", { bubbles: true }));
}

/** Presses a row button of the form, made for the purpose where there is none. @param {string} value */
function press(value) {
  const there = /** @type {HTMLButtonElement | null} */ (strip.form.querySelector(`button[name=do][value="${value}"]`));
  const button = there ?? Object.assign(document.createElement("button"), { name: "do", value, hidden: true });
  if (!there) strip.form.append(button);
  button.click();
  if (!there) button.remove();
}

/** @param {KeyboardEvent} event */
function key(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const typing = target.matches("input:not([type=checkbox]), textarea");
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !typing) {
    event.preventDefault();
    return DO[event.shiftKey ? "redo" : "undo"]();
  }
  if (!target.closest("#strip .timeline-bar") || event.ctrlKey || event.altKey || event.metaKey) return;
  const arrows = /** @type {Record<string, () => void>} */ ({
    ArrowLeft: () => drag.arrow(-1, event.shiftKey),
    ArrowRight: () => drag.arrow(1, event.shiftKey),
    ArrowUp: () => strip.choose(Math.max(0, strip.chosen - 1), { focus: true }),
    ArrowDown: () => strip.choose(strip.chosen + 1, { focus: true }),
    Home: () => strip.choose(0, { focus: true }),
    End: () => strip.choose(Infinity, { focus: true }),
    Enter: () => strip.toNumbers(),
    Delete: () => DO.remove(),
  });
  if (!arrows[event.key]) return;
  event.preventDefault();
  arrows[event.key]();
}

addEventListener("beforeunload", (event) => {
  if (history.changed && !leaving) event.preventDefault(); // the browser asks whether the changes may be lost
});
whenRoomChanges(() => strip.mark());
document.addEventListener("keydown", key);
document.addEventListener("submit", submit);
document.addEventListener("focusin", (event) => {
  if (/** @type {Element} */ (event.target).matches(".fold-line")) return; // pressing it chooses; what vanished by then could not be
  const bar = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest("#strip .timeline-bar"));
  const row = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("tr[data-window]"));
  const window = Number((bar ?? row)?.dataset.window ?? strip.chosen);
  if (window !== strip.chosen) strip.choose(window);
});
document.addEventListener("dblclick", (event) => {
  if (/** @type {Element} */ (event.target).closest("#strip .timeline-bar")) strip.toNumbers();
});
/** A line is pressed: a window is chosen, any other part and a section opens or closes. @param {Element} line */
function unfold(line) {
  if (turnSection(line)) return strip.mark();
  const part = /** @type {HTMLElement} */ (line.closest("tr, fieldset"));
  if (part.dataset.window === undefined) turn(part);
  else strip.choose(Number(part.dataset.window));
  strip.mark();
  if (part.dataset.window !== undefined) part.querySelector("select")?.focus({ preventScroll: true });
}

document.addEventListener("click", (event) => {
  const line = /** @type {Element} */ (event.target).closest(".fold-line");
  if (line) unfold(line);
  const to = /** @type {HTMLAnchorElement | null} */ (/** @type {Element} */ (event.target).closest('a[href^="#"]'));
  if (to) reveal(document.getElementById(to.hash.slice(1))); // what is wrong is led to, wherever it is folded away
  const name = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("[data-do]"))?.dataset.do;
  if (name) DO[name]?.();
});
document.addEventListener("input", (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target);
  rename(input);
  if (!/^window-\d+-(start|seconds)$/.test(input.name)) return;
  showStarts(strip.form);
  strip.draw();
  strip.say();
});
document.addEventListener("change", (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target);
  if (input.dataset.role === "snap") tools.snap = input.value;
  if (input.dataset.role === "along") tools.along = input.checked;
  if (!input.name || input.form !== strip.form) return;
  showKind(/** @type {any} */ (input));
  strip.mark();
  history.keep(fieldsOf(strip.form), (input.labels?.[0]?.textContent ?? input.name).trim());
  showTools();
  if (input.name === "members") drawAgain(fieldsOf(strip.form)); // there are other people to choose from now
});
document.addEventListener("htmx:before:swap", (event) => {
  if (drag.busy) event.preventDefault(); // the drop asks again
});
document.addEventListener("htmx:after:swap", () => {
  placeWrongs(strip.form, sentencesOf("wrongs"));
  placeNotes(sentencesOf("notes"));
  placeDiffers(sentencesOf("differs"));
  strip.showZoom();
  strip.mark();
});

followLine();
ready();
