// @ts-check
import { compare, exact, times } from "../../../../rules/fractions.js";
import { amountWords, score } from "../../../../rules/result/scoring.js";
import { el } from "../../../../parts/dom.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */

/** @typedef {import("../../../../rules/result/scoring.js").Score} Score */

/** What the sheet comes to under each score's rule. @param {Lane} lane @returns {Score[]} */
export function scoresOf({ format, tally, event }) {
  return /** @type {any} */ (format).scores.map((/** @type {any} */ rule) => score(format, rule, tally, event.units?.[rule.id]));
}

/** The windows that any score takes from. @param {Score[]} scores */
export function scoringWindows(scores) {
  return new Set(scores.flatMap(({ parts }) => parts.flatMap(({ windows }) => windows)));
}

/** What the sheet comes to, as the results say it: a line for each score, and whose was what where each member's best is added up. @param {Lane} lane */
export function totalOf(lane) {
  const scores = scoresOf(lane);
  const label = (/** @type {string} */ name) => (scores.length > 1 ? say("{name}, by this sheet", { name }) : say("Total by this sheet"));
  const line = (/** @type {Score} */ made, /** @type {number} */ i) =>
    el("li", { class: "sheet-total" }, el("span", { class: "soft" }, label(made.name)), el("b", { role: "sheet-total" }, made.words), ...eachOf(lane, made, lane.format.scores[i]));
  return el("ul", { class: "sheet-totals" }, ...scores.map(line));
}

/** Of what it is made: each window's, or each member's, and what it counts where that is another number. @param {Lane} lane @param {Score} made @param {any} rule */
function eachOf(lane, { parts }, rule) {
  const words = parts.flatMap(({ taken }, i) => taken.map((term) => [lane.whose(term.member), worth(term, rule, rule.parts[i].weight)].filter(Boolean).join(" ")));
  return words.length > 1 || parts.some(({ taken }) => taken.some(({ member }) => lane.whose(member))) ? [el("span", { role: "sheet-total-each" }, words.join(" + "))] : [];
}

/** @param {import("../../../../rules/result/scoring.js").Term} term @param {any} rule @param {string} weight */
function worth({ raw, unit, value }, rule, weight) {
  const counts = times(value, exact(weight));
  const said = amountWords(raw, unit);
  return compare(counts, raw) === 0 ? said : `${said} (${amountWords(counts, rule.unit)})`;
}
