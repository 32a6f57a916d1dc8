// @ts-check
import { printOf } from "./film_print.js";

/** The prints of a gym's films: made of a file that was chosen, in this browser. Nothing of the film goes anywhere. */

/** @param {HTMLElement} place */
function listen(place) {
  const chosen = /** @type {HTMLInputElement} */ (place.querySelector("input"));
  const bar = /** @type {HTMLProgressElement} */ (place.querySelector("progress"));
  const field = /** @type {HTMLInputElement} */ (document.getElementById(place.dataset.print ?? ""));
  const unread = /** @type {HTMLElement} */ (place.querySelector("[data-say]"));
  let turn = 0;
  chosen.addEventListener("change", async () => {
    const file = chosen.files?.[0];
    if (!file) return;
    const mine = ++turn; // another file may be chosen meanwhile
    unread.hidden = true;
    bar.value = 0;
    bar.hidden = false;
    try {
      const print = await printOf(file, (share) => {
        if (mine === turn) bar.value = share;
        return mine === turn;
      });
      if (print === null || mine !== turn) return;
      field.value = print; // until here the field has what it had: whoever keeps the form meanwhile keeps that
    } catch {
      if (mine !== turn) return;
      chosen.value = ""; // a file that can't be read has no print
      unread.hidden = false;
    }
    bar.hidden = true;
  });
  place.hidden = false;
}

document.querySelectorAll("[data-role=print-of]").forEach((place) => listen(/** @type {HTMLElement} */ (place)));
