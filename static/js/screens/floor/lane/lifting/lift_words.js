// @ts-check
/** What is said beside the bar: whose load it is, how far the lift has come, and what is asked for next. */

import { isOpen } from "../../../../parts/lights.js";
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
  if (found.out) return "Out by this sheet. A lift is kept; it does not count.";
  if (!found.now) return "All loads are lifted.";
  return `Asked for: ${sayLoad(found.now)}${found.next ? `, then ${sayLoad(found.next)}` : ""}`;
}

/**
 * Whose load it is, who declared it and when.
 * @param {Lane} lane @param {Mark | null} standing @param {number | null} lifter who is picked, where the declaration names nobody
 */
export function byWords(lane, standing, lifter) {
  const who = standing?.body.by === "lifter" ? "declared by the lifter" : standing?.body.by === "desk" ? "declared by the desk" : "declared by the judge";
  const said = standing ? `${who} ${standing.at < 0 ? "before GO" : `${timeText(standing.at)} after GO`}` : "";
  const member = standing?.body.member ?? lifter;
  const name = lane.format.members > 1 && member !== null ? memberName(lane.entry, member) : "";
  const text = [name, standing?.body.record ? "record attempt" : "", said].filter(Boolean).join(", ");
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * How far the lift has come.
 * @param {any} found @param {Mark | null} standing @param {Mark | null} waiting declared meanwhile @param {any[]} tries under what stands
 */
export function stateWords(found, standing, waiting, tries) {
  if (waiting) return `Declared meanwhile, for the next lift: ${sayLoad(waiting.body.load)}`;
  if (found.loaded && standing && sayLoad(found.loaded) !== sayLoad(standing.body.load)) return `Really on the bar: ${sayLoad(found.loaded)}`;
  if (found.begun !== null) return "The bar is out: the load is locked.";
  const missed = tries.filter((lift) => !lift.good && !isOpen(lift)).length;
  return missed ? say("tries.missed", { n: missed }) : "";
}

/** What can still be judged once the clock no longer runs. @param {{counts_when?: string}} task @param {boolean} held */
export function lateWords(task, held) {
  return `${held ? "The heat is held." : "The bell has gone."} Judge only a lift ${task.counts_when === "begun" ? "begun" : "finished"} before it.`;
}
