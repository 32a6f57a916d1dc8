// @ts-check
import { lifted } from "../../../parts/under_finger.js";
import { reveal } from "./folds.js";
import { LOGGED_OUT, NO_LINE, NOT_DONE, sayOfLine } from "./line.js";

/** Row buttons: the form is fetched anew in place, with focus and open parts where they were; names show wherever they can be chosen. */

const FORM = "event-form";

/** How many forms were asked for: the newest shows all that the earlier ones would. */
let asked = 0;

/** Names of movements and tasks appear in the choices while they are typed. @param {HTMLInputElement} input */
export function rename(input) {
  const [, what, number] = /^(movement|task)-(\d+)-name$/.exec(input.name) ?? [];
  if (!what) return;
  const key = /** @type {HTMLInputElement | null} */ (document.querySelector(`[name="${what}-${number}-key"]`));
  if (!key) return;
  const places = { movement: 'select[name^="task-"][name$="-movement"]', task: 'select[name^="window-"][name$="-task"]' }[what] ?? "";
  const words = input.value || `${what[0].toUpperCase()}${what.slice(1)} ${Number(number) + 1}`;
  for (const option of document.querySelectorAll(`:is(${places}) option`)) {
    if (/** @type {HTMLOptionElement} */ (option).value === key.value) option.textContent = words;
  }
}

/** The kind chosen decides which fields there are. @param {HTMLSelectElement} select */
export function showKind(select) {
  if (/^(task|tie)-\d+-kind$/.test(select.name)) select.closest("[data-kind]")?.setAttribute("data-kind", select.value);
}

/**
 * The form as the server draws it from some fields, put in place of the one there.
 * @param {HTMLFormElement} form
 * @param {URLSearchParams} body
 * @returns {Promise<HTMLFormElement | null>} null if there was no such answer, and the page says why; or another form was asked for
 */
export async function drawnAnew(form, body) {
  const mine = ++asked;
  const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html" } }).catch(() => null);
  const fresh = answer && new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(FORM);
  await lifted();
  if (mine !== asked) return null;
  sayOfLine(fresh ? "" : !answer ? NO_LINE : answer.redirected ? LOGGED_OUT : NOT_DONE);
  if (!fresh) return null;
  const open = new Set([...form.querySelectorAll("details")].filter((one) => one.open).map((one) => one.id));
  for (const part of fresh.querySelectorAll("details")) part.open ||= open.has(part.id);
  const focused = form.contains(document.activeElement) ? document.activeElement?.id : "";
  form.replaceWith(document.adoptNode(fresh));
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  /** @type {any} */ (globalThis).htmx?.process(fresh);
  return /** @type {HTMLFormElement} */ (fresh);
}

/**
 * Sets the focus where the hand goes on: at what was added, else at the same button.
 * @param {HTMLFormElement} form
 * @param {string} pressed the button's value, such as `remove-window-2`
 */
export function focusAfter(form, pressed) {
  const [verb, what, at] = pressed.split("-");
  const added = verb === "add" || verb === "copy" ? lastOf(form, what, verb, at) : null;
  const again = form.querySelector(`button[value="${pressed}"]`) ?? form.querySelector(`button[value^="add-${what}"]`);
  reveal(added ?? again);
  /** @type {HTMLElement | null} */ (added ?? again)?.focus();
}

/** The first field of a new row. @param {HTMLFormElement} form @param {string} what @param {string} verb @param {string | undefined} at */
function lastOf(form, what, verb, at) {
  const fields = [...form.querySelectorAll(`[name^="${what}-"]:not([type=hidden])`)];
  const numbers = fields.map((field) => Number(/^\w+-(\d+)/.exec(/** @type {HTMLInputElement} */ (field).name)?.[1] ?? -1));
  const number = what === "window" && at !== undefined ? Number(at) + 1 : Math.max(...numbers);
  return verb === "copy" ? form.querySelector(`button[value="copy-${what}-${number}"]`) : (fields[numbers.indexOf(number)] ?? null);
}
