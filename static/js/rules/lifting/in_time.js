// @ts-check
/** Whether a bar left its rack in time, as far as the clocks can tell. Twin of app/rules/count/lifting/in_time.py, where the rule is said in words. */
import { endMs } from "../clock.js";
import { said } from "./bars.js";

/** @typedef {import("./bars.js").Said} Said */

export const DOUBTS = new Set(["attempt-doubt", "begun-doubt"]);

/** Whether a bar left at an end or after it; `doubt`: within their bounds it may have been either. @param {Said} left @param {Said} end */
export function pastEnd(left, end) {
  const offMs = left.offMs + end.offMs;
  if (left.at - offMs >= end.at) return "past";
  return left.at + offMs >= end.at ? "doubt" : "before";
}

/**
 * By which clocks a try was late, or may have been: the keys of flags.
 * @param {any} task @param {any} window @param {number} lateMs the grace of a bell
 * @param {import("./bars.js").Try} one @param {boolean} first whether it is the first of its attempt @param {boolean} credited a ruling calls it good
 * @returns {string[]}
 */
export function lateness(task, window, lateMs, { mark, begun, time }, first, credited) {
  if (begun === null) return [];
  const left = said(begun);
  const found = [];
  if (first && !credited && time.sinceMs !== null && time.seconds !== null)
    found.push(["attempt", pastEnd(left, { at: time.sinceMs + time.seconds * 1000 + lateMs, offMs: time.offMs })]);
  const placed = credited && mark.at < endMs(window); // a ruling said at which moment it is to be counted
  if (task.counts_when === "begun" && !placed) found.push(["begun", pastEnd(left, { at: endMs(window) + lateMs, offMs: 0 })]);
  return found.flatMap(([clock, past]) => (past === "before" ? [] : `${clock}-${past === "past" ? "late" : "doubt"}`));
}
