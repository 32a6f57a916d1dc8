// @ts-check
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

/** Lets all that htmx draws on this page wait for the finger. */
export function drawWhenLifted() {
  // Both are there by then, whichever of the page's scripts came first.
  addEventListener("DOMContentLoaded", () => {
    const { htmx } = /** @type {any} */ (globalThis);
    const swap = htmx.swap.bind(htmx);
    htmx.swap = async (/** @type {unknown} */ answer) => {
      await lifted();
      return swap(answer);
    };
  });
}
