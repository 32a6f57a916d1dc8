// @ts-check
import { choose, chosen } from "../../../parts/choices.js";
import { firstField, unfold } from "./focus.js";

/**
 * The keys that the page's own list names (app/web/keys.py): each acts on what says it with aria-keyshortcuts. None fires while
 * somebody types, with Ctrl, Alt or Cmd, over a dialogue, or where keys are switched off.
 */

const KEPT = "keys";
const TYPED = "input:not([type=radio], [type=checkbox], [type=button], [type=submit]), textarea, select, [contenteditable]";
const FOCUSABLE = "a[href], button, summary, input, select, textarea, [tabindex]";

/** @param {Element} node */
const isThere = (node) => node.getClientRects().length > 0 && !node.matches(":disabled");

/** What each act does with the first thing on the page that has the key. @type {Record<string, (node: HTMLElement) => void>} */
const ACTS = {
  press: (node) => node.click(),
  "go to": (node) => (node.matches(FOCUSABLE) ? node : firstField(node))?.focus(),
  open: (node) => unfold(/** @type {HTMLDetailsElement} */ (node.closest("details"))),
};
/** @type {Record<string, number>} */
const STEPS = { on: 1, back: -1 };

/** Walks along the page's list. @param {number} by */
function walk(by) {
  const list = [...document.querySelectorAll("[data-walk]")].find(isThere);
  const links = [...(list?.querySelectorAll("a") ?? [])].filter(isThere);
  const at = links.findIndex((link) => link === document.activeElement);
  const to = at < 0 ? links.findIndex((link) => link.hasAttribute("aria-current")) : at + by; // at first to where one is
  links[Math.max(0, Math.min(links.length - 1, to))]?.focus();
}

/** @param {string} key @param {string} act @returns {boolean} whether there was something to act on */
function act(key, act) {
  if (act in STEPS) {
    walk(STEPS[act]);
    return true;
  }
  const node = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("[aria-keyshortcuts]")]).find((one) => one.getAttribute("aria-keyshortcuts") === key && isThere(one));
  if (node) ACTS[act](node);
  return node !== undefined;
}

/** @param {KeyboardEvent} event @returns {string} what the list calls the key; empty where keys are not ours now */
function keyOf(event) {
  const { key, target } = event;
  if (event.defaultPrevented || event.isComposing || event.ctrlKey || event.altKey || event.metaKey || key.length !== 1) return "";
  if (target instanceof Element && target.closest(TYPED)) return "";
  if (document.querySelector("dialog[open]")) return "";
  const letter = key.toUpperCase();
  return letter !== key.toLowerCase() && event.shiftKey ? "" : letter;
}

/** @param {HTMLDialogElement} list the keys in words */
export function bindKeys(list) {
  const acts = new Map([...list.querySelectorAll("[data-key]")].map((row) => /** @type {const} */ ([row.getAttribute("data-key") ?? "", row.getAttribute("data-act") ?? ""])));
  const on = /** @type {HTMLInputElement} */ (document.getElementById("keys-on"));
  on.checked = chosen(KEPT, "on") === "on";
  const show = () => document.body.toggleAttribute("data-keyless", !on.checked);
  on.addEventListener("change", () => {
    choose(KEPT, on.checked ? "on" : "off");
    show();
  });
  show();
  addEventListener("keydown", (event) => {
    const key = keyOf(event);
    const does = acts.get(key);
    if (!does || !on.checked || (event.repeat && !(does in STEPS))) return;
    if (act(key, does)) event.preventDefault();
  });
}
