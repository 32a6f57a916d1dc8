// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";
import { followLine } from "./composer/line.js";
import { placeWrongs, sentencesOf } from "./composer/places.js";
import { say } from "../../words/say.js";

/** A new event: finding a preset by a word or two, and turning its knobs with what is wrong said beside each. */

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("knobs"));
const find = document.getElementById("find");

if (form) {
  drawWhenLifted();
  followLine();
  document.addEventListener("htmx:after:swap", () => {
    placeWrongs(form, sentencesOf("wrongs"));
    showStands();
  });
}
if (find) {
  find.hidden = false;
  find.querySelector("input")?.addEventListener("input", (event) => narrow(/** @type {HTMLInputElement} */ (event.target).value));
}

/** What each empty field stands for, by the unit and the plates just chosen. */
function showStands() {
  for (const { at, words } of sentencesOf("stands")) {
    const input = document.getElementById(at);
    if (input instanceof HTMLInputElement) input.placeholder = words;
  }
}

/** Leaves the cards that hold every word. @param {string} text */
function narrow(text) {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  let found = 0;
  for (const group of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".presets"))) {
    const cards = [.../** @type {NodeListOf<HTMLElement>} */ (group.querySelectorAll(".cards > li"))];
    for (const card of cards) {
      const told = `${card.textContent} ${card.dataset.called}`.toLowerCase();
      card.hidden = !words.every((word) => told.includes(word));
    }
    group.hidden = cards.every((card) => card.hidden);
    found += cards.filter((card) => !card.hidden).length;
  }
  const said = document.getElementById("found");
  if (said) said.textContent = words.length ? say("presets.found", { n: found }) : "";
}
