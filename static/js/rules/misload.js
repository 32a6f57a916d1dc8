// @ts-check
/** A bar that was loaded wrong, and what the event's rule makes of the try. Twin of app/rules/workout/misload.py. */
import { compareLoads, decimalText, inUnit, onStep, roundTo } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {{load: Load, actual: Load, again: boolean, open: boolean}} Misload open: the lifter still has to choose */

/**
 * Applies the rule to a try with `actual` on the bar where `asked` was declared, or with uneven ends.
 * @param {Record<string, any>} rule @param {Load} step @param {Load} asked @param {Load} actual @param {boolean} uneven
 * @param {boolean} good @param {boolean | null} keep what the lifter chose, null before that
 * @returns {Misload}
 */
export function misload(rule, step, asked, actual, uneven, good, keep) {
  const wrong = uneven ? "uneven" : compareLoads(actual, asked) < 0 ? "light" : "heavy";
  const outcome = rule[`${wrong}_${good ? "good" : "missed"}`] ?? "keep";
  const again = outcome === "again" || (outcome === "choose" && keep === false);
  const load = rule.round_down && !again ? recorded(actual, step) : actual;
  return { load, actual, again, open: outcome === "choose" && keep === null };
}

/** A load down to a whole number of steps, in the unit of the step. @param {Load} actual @param {Load} step @returns {Load} */
function recorded(actual, step) {
  if (onStep(actual, step)) return actual;
  return { amount: decimalText(roundTo(inUnit(actual, step.unit), inUnit(step, step.unit), "down")), unit: step.unit };
}
