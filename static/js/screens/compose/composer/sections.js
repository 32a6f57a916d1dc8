// @ts-check
import { el } from "../../../parts/dom.js";

/**
 * On a phone the form is the timeline and the window chosen: each other section (`data-fold`, whose words stand there unless its cards
 * have names) is one line that opens it. Where there is room all are open, and so they are without this script. A section opens by hand,
 * for what is wrong in it, and for whatever has the focus there; it closes by hand alone.
 */

const NARROW = matchMedia("(max-width: 52rem)"); // as event.css has it for the table of windows
/** The sections that stay open, by their ids; the form may be drawn anew meanwhile. @type {Set<string>} */
const held = new Set();

/** @param {() => void} again what is to be done once the width is another */
export function whenWidthChanges(again) {
  NARROW.addEventListener("change", again);
}

/** Shows each section open or as its line. @param {HTMLFormElement} form */
export function showSections(form) {
  for (const section of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-fold]"))) {
    const line = lineOf(section);
    if (needed(section, line)) held.add(section.id);
    const open = held.has(section.id);
    line.hidden = !NARROW.matches;
    line.setAttribute("aria-expanded", String(open));
    section.toggleAttribute("data-folded", NARROW.matches && !open);
    const words = wordsOf(section);
    if (line.textContent !== words) line.textContent = words;
  }
}

/** Opens the section that an element is in. @param {Element} at */
export function openSection(at) {
  const section = /** @type {HTMLElement | null} */ (at.closest("[data-fold]"));
  if (!section) return;
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

/** Whether a section has to be open: a row of a table shows by itself what is wrong in it. @param {HTMLElement} section @param {HTMLElement} line */
function needed(section, line) {
  if (section.querySelector("tr[data-window]")) return false;
  const focus = document.activeElement;
  return section.querySelector('[aria-invalid="true"]') !== null || (section.contains(focus) && focus !== line);
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
