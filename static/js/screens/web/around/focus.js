// @ts-check
/**
 * The focus goes to what follows. A page's `data-focus` (or the field that it names) has it at first; once a move of a heat was sent, the next move (`data-next`)
 * has it as soon as it is there, unless somebody went elsewhere meanwhile. What unfolds to ask something gives the focus to its first
 * field, and Escape gives it back.
 */

const ARRIVED_MS = 500; // who presses twice meant the button that was there before
const FIELDS = "input:not([type=hidden]), select, textarea";

/** What unfolds from a button to ask something before it acts. @param {EventTarget | null} target */
function asking(target) {
  const details = target instanceof Element ? target.closest("details") : null;
  return details?.querySelector(":scope > summary.button") ? details : null;
}

/** From where a move was sent whose answer is not there yet: until then its buttons may be drawn anew as they were. @type {Element | null} */
let sent = null;
let follows = false;
let arrived = -Infinity;
/** Where the focus was when a move was answered, or was put since. @type {Element | null} */
let left = null;

/** @param {Element | null} target */
function give(target) {
  if (target instanceof HTMLElement || target instanceof SVGElement) target.focus();
}

/** The first field of something that is still empty, or its first. @param {Element} part */
export function firstField(part) {
  const fields = /** @type {HTMLInputElement[]} */ ([...part.querySelectorAll(FIELDS)]);
  const chosen = fields.find((field) => field.type === "radio" && field.checked);
  return chosen ?? fields.find((field) => field.type !== "radio" && !field.value) ?? fields[0] ?? null;
}

/** Gives the focus to the first field of what was unfolded, unless somebody is in a field of it already. @param {HTMLDetailsElement} details */
function giveFirst(details) {
  if (!details.contains(document.activeElement?.closest(FIELDS) ?? null)) give(firstField(details));
}

/** Unfolds what asks something. @param {HTMLDetailsElement} details */
export function unfold(details) {
  details.open = true;
  give(firstField(details));
}

/** Gives the focus to the next move, if the focus is where the last one left it. @param {Event} event */
function followMove(event) {
  const place = document.getElementById("heat");
  const { activeElement: at } = document;
  const { ctx } = /** @type {CustomEvent} */ (event).detail;
  if (sent && ctx?.request?.method?.toUpperCase() === "POST") [sent, follows, left] = [null, true, sent];
  if (!follows || !place) return;
  const elsewhere = at && at !== document.body && at !== left;
  const next = place.querySelector("[data-next]");
  if (elsewhere || next) follows = false;
  if (elsewhere) return;
  if (next !== at) arrived = performance.now();
  give(next ?? place);
  left = document.activeElement;
}

/** @param {KeyboardEvent} event */
function keepOut(event) {
  if (event.key !== "Enter" && event.key !== " ") return;
  const next = event.target instanceof Element && event.target.closest("[data-next]");
  if (next && (event.repeat || performance.now() - arrived < ARRIVED_MS)) event.preventDefault();
}

export function followFocus() {
  const first = /** @type {HTMLElement | null} */ (document.querySelector("[data-focus]"));
  if (first && !location.hash) give(first.dataset.focus ? document.getElementById(first.dataset.focus) : first);
  document.addEventListener("submit", (event) => /** @type {Element} */ (event.target).closest(".moves") && (sent = document.activeElement), { capture: true });
  document.addEventListener("htmx:after:swap", followMove);
  for (const kind of ["keydown", "keyup"]) addEventListener(kind, (event) => keepOut(/** @type {KeyboardEvent} */ (event)), { capture: true });
  document.addEventListener("click", (event) => {
    const details = asking(event.target);
    if (details && !details.open && /** @type {Element} */ (event.target).closest("summary")) setTimeout(() => giveFirst(details));
  });
  document.addEventListener("keydown", (event) => {
    const details = event.key === "Escape" ? asking(event.target) : null;
    if (!details?.open) return;
    details.open = false;
    give(details.querySelector("summary"));
  });
}
