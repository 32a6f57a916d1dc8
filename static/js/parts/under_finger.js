// @ts-check
import { later } from "../rules/told.js";

/**
 * Nothing is drawn anew while a finger is down. To press a button leaves the field that was typed into; what that change asks of
 * the server may come between finger down and up, and would take the button away, or move it from under the finger.
 */

const CLICK_MS = 60; // a click follows the finger's lift within this
const MOST_MS = 2000; // a finger that rests on the screen does not stop the page

/** @type {Promise<void> | null} */
let down = null;
let lift = () => {};

/** Waits until no finger or mouse button is down and its click was heard. @returns {Promise<void>} */
export async function lifted() {
  while (down) await down;
}

function pressed() {
  if (down) return;
  const late = setTimeout(() => lift(), MOST_MS);
  down = new Promise((resolve) => {
    lift = () => {
      clearTimeout(late);
      down = null;
      resolve();
    };
  });
}

addEventListener("pointerdown", pressed, { capture: true });
for (const kind of ["pointerup", "pointercancel"]) addEventListener(kind, () => setTimeout(lift, CLICK_MS), { capture: true });

/** When what was drawn last was so. @type {import("../rules/told.js").Told | undefined} */
let drawn;

/**
 * Whether an answer to a look is older than what was drawn since: it was under way while a form was sent, or both waited for the
 * finger. Drawn, it would take back what is seen, and the fields of a form with it. What a form is answered is always drawn.
 * @param {any} answer as htmx has it @returns {boolean}
 */
function isOlder({ request, response }) {
  const told = JSON.parse(response?.raw?.headers?.get("Ledger-Told") ?? "null") ?? undefined;
  const older = later(told, drawn) < 0;
  if (told && !older) drawn = told;
  return older && request?.method?.toUpperCase() === "GET";
}

/** Lets all that htmx draws on this page wait for the finger, and nothing be drawn over what is newer. */
export function drawWhenLifted() {
  // Both are there by then, whichever of the page's scripts came first.
  addEventListener("DOMContentLoaded", () => {
    const { htmx } = /** @type {any} */ (globalThis);
    const swap = htmx.swap.bind(htmx);
    htmx.swap = async (/** @type {unknown} */ answer) => {
      await lifted();
      if (!isOlder(answer)) return swap(answer);
    };
  });
}
