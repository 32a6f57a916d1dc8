// @ts-check
/** Whether a bar left its rack in time, as far as the clocks can tell. Twin of app/rules/count/lifting/in_time.py, where the rule is said in words. */
import { DRIFT_PPM, endMs } from "../clock.js";
import { readAt, said } from "./bars.js";

/** @typedef {import("./bars.js").Said} Said */

export const DOUBTS = new Set(["attempt-doubt", "begun-doubt"]);

const READ_MS = 3; // of one clock: it is read to a millisecond, and both moments were rounded to one

/** How many ms a moment came after another, at least and at most. @param {Said} since @param {Said} then */
function apart(since, then) {
  const [ms, off] = [then.at - since.at, since.off_ms + then.off_ms];
  if (!since.life || since.life !== then.life) return { least: ms - off, most: ms + off };
  const own = then.own - since.own;
  const reach = READ_MS + Math.ceil((DRIFT_PPM * Math.abs(own)) / 1_000_000);
  const [least, most] = [Math.max(ms - off, own - reach), Math.min(ms + off, own + reach)];
  return { least: Math.min(least, most), most: Math.max(least, most) }; // where the two can't both be right, nothing between them is sure
}

/** Whether a moment came so many ms after the latest of some, or later; `doubt`: within their bounds it may have, or not. @param {Said} then @param {Said[]} since @param {number} ms */
export function pastEnd(then, since, ms) {
  const found = since.map((one) => apart(one, then));
  if (found.every(({ least }) => least >= ms)) return "past";
  return found.every(({ most }) => most >= ms) ? "doubt" : "before";
}

/** Whether a try of which no leaving of the rack is known was decided before this one, however far the clocks are off. @param {import("./bars.js").Try} one @param {import("../../device/outbox.js").Mark} left */
export const beforeItLeft = ({ mark, begun }, left) => begun === null && mark.body.begun == null && pastEnd(said(left), [said(mark)], 1) === "past";

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
    found.push(["attempt", pastEnd(left, time.told, time.seconds * 1000 + lateMs)]);
  const placed = credited && mark.at < endMs(window); // a ruling said at which moment it is to be counted
  if (task.counts_when === "begun" && !placed) found.push(["begun", pastEnd(left, [readAt(0)], endMs(window) + lateMs)]);
  return found.flatMap(([clock, past]) => (past === "before" ? [] : `${clock}-${past === "past" ? "late" : "doubt"}`));
}
