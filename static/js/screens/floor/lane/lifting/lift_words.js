// @ts-check
/** What is said beside the bar: whose load it is, how far the lift has come, and what is asked for next. */

import { isOpen } from "../../../../parts/lifting/lights.js";
import { sayLoad } from "../../../../parts/loads.js";
import { timeText } from "../../../../parts/timing.js";
import { standsAt } from "../../../../rules/ladder.js";
import { say } from "../../../../words/say.js";
import { memberName } from "../words.js";

/** @typedef {import("../state.js").Lane} Lane */
/** @typedef {import("../../../../device/outbox.js").Mark} Mark */

/**
 * Which load is asked for, where it grows; or that the lifter is out.
 * @param {Lane} lane @param {number} win @param {number | null} member @returns {string}
 */
export function growthWords(lane, win, member) {
  const found = standsAt(lane.format, lane.tally, win, member);
  if (!found) return "";
  if (found.out) return say("Out by this sheet. A lift is kept; it does not count.");
  if (!found.now) return say("All loads have been lifted.");
  return found.next ? say("Asked for: {load}, then {next}", { load: sayLoad(found.now), next: sayLoad(found.next) }) : say("Asked for: {load}", { load: sayLoad(found.now) });
}

/**
 * Whose load it is, who declared it and when.
 * @param {Lane} lane @param {Mark | null} standing @param {number | null} lifter who is picked, where the declaration names nobody
 */
export function byWords(lane, standing, lifter) {
  const told = { lifter: say("declared by the lifter"), desk: say("declared by the desk"), rule: say("declared by the rule") };
  const who = told[/** @type {keyof typeof told} */ (standing?.body.by)] ?? say("declared by the judge");
  const said = standing ? standing.at < 0 ? say("{who} before GO", { who }) : say("{who} {time} after GO", { who, time: timeText(standing.at) }) : "";
  const member = standing?.body.member ?? lifter;
  const name = lane.format.members > 1 && member !== null ? memberName(lane.entry, member) : "";
  const text = [name, standing?.body.record ? say("record attempt") : "", said].filter(Boolean).join(", ");
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * How far the lift has come.
 * @param {any} found @param {Mark | null} standing @param {Mark | null} waiting declared meanwhile @param {any[]} tries under what stands
 */
export function stateWords(found, standing, waiting, tries) {
  if (waiting) return say("Declared meanwhile, for the next lift: {load}", { load: sayLoad(waiting.body.load) });
  if (found.loaded && standing && sayLoad(found.loaded) !== sayLoad(standing.body.load)) return say("Really on the bar: {load}", { load: sayLoad(found.loaded) });
  if (found.begun !== null) return say("The bar is out: the load is locked.");
  const missed = tries.filter((lift) => !lift.good && !isOpen(lift)).length;
  return missed ? say("tries.missed", { n: missed }) : "";
}

/** What can still be judged once the clock no longer runs. @param {{counts_when?: string}} task @param {boolean} held */
export function lateWords(task, held) {
  const begun = task.counts_when === "begun";
  if (held) return begun ? say("The heat is held. Judge only a lift begun before it.") : say("The heat is held. Judge only a lift finished before it.");
  return begun ? say("The bell has gone. Judge only a lift begun before it.") : say("The bell has gone. Judge only a lift finished before it.");
}

/** What the key says that the bar goes with. @param {boolean} again after a miss @param {boolean} floor */
export function leavesWords(again, floor) {
  if (again) return floor ? say("Tries again: bar leaves the floor") : say("Tries again: bar leaves the rack");
  return floor ? say("Bar leaves the floor") : say("Bar leaves the rack");
}
