// @ts-check
import { el } from "../../../parts/dom.js";
import { openSection, showSections } from "./sections.js";

/**
 * The parts of the form as one line each. Open are the window that is chosen, what is done in it, what somebody opened by hand,
 * and whatever had something wrong in it or the focus. These close by hand alone, a window when another is chosen: a part that
 * closed by itself once a field was left would move the button that is being pressed. Without this script all parts are open.
 */

/** The parts that stay open, by their ids; the form may be drawn anew meanwhile. @type {Set<string>} */
const held = new Set();

/** @param {HTMLFormElement} form @returns {HTMLElement[]} rows of windows, and cards that stand in no other card */
function partsOf(form) {
  return /** @type {HTMLElement[]} */ ([...form.querySelectorAll("tr[data-window], fieldset.card")].filter((one) => !one.parentElement?.closest(".card")));
}

/** Shows each part open or as its line. @param {HTMLFormElement} form @param {number} chosen the window that is chosen */
export function showFolds(form, chosen) {
  const task = /** @type {HTMLSelectElement | null} */ (form.querySelector(`[name="window-${chosen}-task"]`))?.value ?? "";
  for (const part of partsOf(form)) {
    const line = lineOf(part);
    for (const wrong of part.querySelectorAll('[aria-invalid="true"]')) openDetails(wrong);
    if (part.querySelector('[aria-invalid="true"]') || hasFocus(part, line)) held.add(part.id);
    const mine = belongs(part, chosen, task);
    part.toggleAttribute("data-chosen", mine);
    const open = mine || held.has(part.id);
    part.toggleAttribute("data-open", open);
    line.setAttribute("aria-expanded", String(open));
    const [words, note] = [wordsOf(part), noteOf(part)];
    line.toggleAttribute("data-look", note !== "");
    if (line.textContent !== words) line.textContent = words;
  }
  showSections(form);
}

/** Opens the part that an element is in, so that it can be seen and have the focus. @param {Element | null} at */
export function reveal(at) {
  if (!at) return;
  openSection(at);
  openDetails(at);
  const inside = /** @type {HTMLElement[]} */ ([]);
  for (let one = at; one; one = one.parentElement) if (one.matches("tr[data-window], fieldset.card")) inside.push(/** @type {HTMLElement} */ (one));
  const part = inside.at(-1);
  if (!part) return;
  held.add(part.id);
  part.toggleAttribute("data-open", true);
}

/** Opens what is folded away around an element. @param {Element} at */
function openDetails(at) {
  for (let one = at.closest("details"); one; one = one.parentElement?.closest("details") ?? null) one.open = true;
}

/** Another window is chosen: those before it become lines again. */
export function letGoOfWindows() {
  for (const id of held) if (id.startsWith("window-")) held.delete(id);
}

/** The line of a card was pressed: it opens or closes. @param {HTMLElement} part */
export function turn(part) {
  if (part.hasAttribute("data-open")) held.delete(part.id);
  else held.add(part.id);
}

/** @param {HTMLElement} part @param {HTMLElement} line */
function hasFocus(part, line) {
  return part.contains(document.activeElement) && document.activeElement !== line;
}

/** @param {HTMLElement} part @param {number} chosen @param {string} task the key of what is done in the chosen window */
function belongs(part, chosen, task) {
  if (part.dataset.window !== undefined) return Number(part.dataset.window) === chosen;
  const key = /** @type {HTMLInputElement | null} */ (part.querySelector('input[type=hidden][name^="task-"][name$="-key"]'));
  return key !== null && key.value === task;
}

/** A part's line, made when it is first needed. @param {HTMLElement} part @returns {HTMLButtonElement} */
function lineOf(part) {
  const there = /** @type {HTMLButtonElement | null} */ (part.querySelector(":scope > .fold-line, :scope > .fold-cell > .fold-line"));
  if (there) return there;
  const line = el("button", { type: "button", class: "fold-line" });
  if (part.matches("tr")) part.append(el("td", { class: "fold-cell", colspan: part.children.length - 1 }, line));
  else part.prepend(line);
  return line;
}

/** What a part's line says. @param {HTMLElement} part */
function wordsOf(part) {
  const own = part.dataset.window === undefined ? cardWords(part) : [...windowWords(part), noteOf(part)];
  return own.filter(Boolean).join(" · ");
}

/** What is to be looked at there; a card shows it below its line. @param {HTMLElement} part */
function noteOf(part) {
  return part.querySelector(".notes-slot:not([hidden])")?.textContent ?? "";
}

/** @param {HTMLElement} row */
function windowWords(row) {
  const input = (/** @type {string} */ what) => /** @type {HTMLInputElement | null} */ (row.querySelector(`input[name$="-${what}"]`));
  const [start, length] = [input("start"), input("seconds")];
  const chosen = [...row.querySelectorAll("select")].filter((one) => one.value).map((one) => one.selectedOptions[0]?.text ?? "");
  const rests = row.classList.contains("rest") ? (row.querySelector("select")?.selectedOptions[0]?.text ?? "") : "";
  return [`${start?.value || start?.placeholder || ""}, ${length?.value ?? ""} long`, rests, ...(rests ? [] : chosen)];
}

/** @param {HTMLElement} card */
function cardWords(card) {
  const name = /** @type {HTMLInputElement | null} */ (card.querySelector('input[name$="-name"]:not([type=hidden])'));
  const kind = /** @type {HTMLSelectElement | null} */ (card.querySelector('select[name^="task-"][name$="-kind"]'));
  return [name?.value || (card.querySelector("legend")?.textContent ?? "").trim(), kind?.selectedOptions[0]?.text ?? ""];
}
