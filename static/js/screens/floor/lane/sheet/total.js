// @ts-check
import { decimalText } from "../../../../rules/units.js";
import { score } from "../../../../rules/result/scoring.js";
import { el } from "../../../../parts/dom.js";

/** @typedef {import("../state.js").Lane} Lane */

/** What the sheet comes to, as the results say it: a line for each score, and whose was what where each member's best is added up. @param {Lane} lane */
export function totalOf(lane) {
  const { format, tally, event } = lane;
  const scores = /** @type {any[]} */ (format.scores).map((rule) => score(format, rule, tally, event.units?.[rule.id]));
  const label = (/** @type {string} */ name) => (scores.length > 1 ? `${name}, by this sheet` : "Total by this sheet");
  const line = (/** @type {import("../../../../rules/result/scoring.js").Score} */ made) =>
    el("li", { class: "sheet-total" }, el("span", { class: "soft" }, label(made.name)), el("b", { role: "sheet-total" }, made.words), ...eachOf(lane, made));
  return el("ul", { class: "sheet-totals" }, ...scores.map(line));
}

/** @param {Lane} lane @param {import("../../../../rules/result/scoring.js").Score} made */
function eachOf(lane, { parts }) {
  const taken = parts.filter(({ take }) => take === "member_best").flatMap((part) => part.taken);
  const words = taken.filter(({ member }) => member !== null).map(({ member, raw, unit }) => `${lane.trackNames[/** @type {number} */ (member) - 1]} ${decimalText(raw, 3)} ${unit}`);
  return words.length ? [el("span", { role: "sheet-total-each" }, words.join(" + "))] : [];
}
