// @ts-check
import { el } from "../../../parts/dom.js";

/**
 * The form is the timeline and the window chosen, with what is done in it: each other section (`data-fold`, whose words stand there
 * unless its cards have names) is one line that opens it. What stands beside the form where there is room (`data-beside`) is folded only
 * where there is none. Without this script all are open. A section opens by hand, for what is wrong in it, and for whatever has the
 * focus there; it closes by hand alone.
 */

const BESIDE = matchMedia("(min-width: 80rem)"); // as composer.css has it for the event in words
/** What shows by itself in a section that is folded: the row of the chosen window, and what is done there. */
const CHOSEN = "tr[data-window], .card[data-chosen]";
/** The sections that stay open, by their ids; the form may be drawn anew meanwhile. @type {Set<string>} */
const held = new Set();

/** @param {() => void} again what is to be done once there is room beside, or none any more */
export function whenRoomChanges(again) {
  BESIDE.addEventListener("change", again);
}

/** Shows each section open or as its line. @param {HTMLFormElement} form */
export function showSections(form) {
  for (const section of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-fold]"))) {
    const line = lineOf(section);
    if (needed(section, line)) held.add(section.id);
    const [open, folds] = [held.has(section.id), section.dataset.beside === undefined || !BESIDE.matches];
    line.hidden = !folds;
    line.setAttribute("aria-expanded", String(open));
    section.toggleAttribute("data-folded", folds && !open);
    const words = wordsOf(section);
    if (line.textContent !== words) line.textContent = words;
  }
}

/** Opens the section that an element is in, unless it shows there by itself. @param {Element} at */
export function openSection(at) {
  const section = /** @type {HTMLElement | null} */ (at.closest("[data-fold]"));
  if (!section || at.closest(CHOSEN)) return;
  held.add(section.id);
  section.toggleAttribute("data-folded", false);
}

/** The line of a section was pressed. @param {Element} line @returns {boolean} whether it was one */
export function turnSection(line) {
  const section = /** @type {HTMLElement | null} */ (line.parentElement);
  if (!section || section.dataset.fold === undefined) return false;
  if (!held.delete(section.id)) held.add(section.id);
  return true;
}

/** Whether a section has to be open. @param {HTMLElement} section @param {HTMLElement} line */
function needed(section, line) {
  const focus = document.activeElement;
  const there = [...section.querySelectorAll('[aria-invalid="true"]'), ...(focus && section.contains(focus) ? [focus] : [])];
  return there.some((one) => one !== line && !one.closest(CHOSEN));
}

/** A section's line, made when it is first needed. @param {HTMLElement} section @returns {HTMLButtonElement} */
function lineOf(section) {
  const there = /** @type {HTMLButtonElement | null} */ (section.querySelector(":scope > .fold-line"));
  if (there) return there;
  const line = el("button", { type: "button", class: "fold-line section-line" });
  const title = section.querySelector(":scope > h2");
  if (title) title.after(line);
  else section.prepend(line);
  return line;
}

/** What a section's line says: the names of its cards, else its own words. @param {HTMLElement} section */
function wordsOf(section) {
  const names = [...section.querySelectorAll(':scope > .card > .knobs input[name$="-name"]')];
  return names.map((one) => /** @type {HTMLInputElement} */ (one).value).filter(Boolean).join(", ") || (section.dataset.fold ?? "");
}
