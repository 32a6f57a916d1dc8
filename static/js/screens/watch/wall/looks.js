// @ts-check
/** What stands beside names on a wall: the colours of clubs, and a picture where the words leave it room. */
import { el } from "../../../parts/dom.js";
import { fitAll } from "../../../parts/fit.js";

/** @param {string[]} colours */
export const clubSigns = (colours) => colours.map((colour) => el("span", { class: "club", "data-colour": colour, "aria-hidden": "true" }));

/** @param {string} address @returns {HTMLElement[]} nothing without a picture */
export const pictureOf = (address) => (address ? [el("img", { class: "entry-picture", src: address, alt: "" })] : []);

const LEAST = 0.9; // of the size that words have without a picture beside them

/** Fits all names. A picture stays only where the words beside it are as large as without it, or nearly. @param {HTMLElement} root */
export function fitBesidePictures(root) {
  const places = [...root.querySelectorAll(".entry-picture")].map((one) => /** @type {HTMLElement} */ (one.closest("li, section")));
  const alone = fittedSizes(root, places, true);
  if (!places.length) return;
  const beside = fittedSizes(root, places, false);
  const crowded = places.filter((place, n) => alone[n].some((size, i) => beside[n][i] < size * LEAST));
  for (const place of crowded) place.setAttribute("data-crowded", "");
  if (crowded.length) fitAll(root);
}

/** Fits all, and says how large the words of some places are then. @param {HTMLElement} root @param {HTMLElement[]} places @param {boolean} crowded */
function fittedSizes(root, places, crowded) {
  for (const place of places) place.toggleAttribute("data-crowded", crowded);
  fitAll(root);
  return places.map((place) => /** @type {HTMLElement[]} */ ([...place.querySelectorAll(".fit-words")]).map(sizeOf));
}

/** How large a fitted text is in the end: its letters' height times their width. @param {HTMLElement} text */
function sizeOf(text) {
  const narrowed = /scaleX\(([\d.]+)\)/.exec(text.style.transform);
  return parseFloat(getComputedStyle(text).fontSize) * (narrowed ? Number(narrowed[1]) : 1);
}
