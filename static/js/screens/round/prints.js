// @ts-check
import { FILM_PIECE_BYTES, filmRoot, sha256 } from "./film_print.js";

/** The prints of a gym's films: made of a file that was chosen, piece by piece, in this browser. Nothing of the film goes anywhere. */

/** @param {Uint8Array<ArrayBuffer>} piece @returns {Promise<Uint8Array>} its SHA-256, by the browser's own where it gives that */
async function hashed(piece) {
  return globalThis.crypto?.subtle ? new Uint8Array(await crypto.subtle.digest("SHA-256", piece)) : sha256(piece);
}

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
      const leaves = [];
      for (let at = 0; at < file.size; at += FILM_PIECE_BYTES) {
        leaves.push(await hashed(new Uint8Array(await file.slice(at, at + FILM_PIECE_BYTES).arrayBuffer())));
        if (mine !== turn) return;
        bar.value = Math.min(1, (at + FILM_PIECE_BYTES) / file.size);
        await new Promise((done) => setTimeout(done)); // the page goes on
      }
      field.value = filmRoot(leaves); // until here the field has what it had: whoever keeps the form meanwhile keeps that
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
