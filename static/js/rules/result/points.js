// @ts-check
/**
 * The stated points of the work at which a time may part equal scores: in which window, after how many taps, and when that was. Twin
 * of app/rules/workout/points.py and of Format.timed_points; both pass tests/vectors/scores.json. A format that lacks a point that
 * it names is refused before a tablet sees it.
 */
import { say } from "../../words/say.js";

/** @typedef {{window: number | null, round: number | null, line: number | null, scheme: number | null, reps: number | null}} Point */
/** @typedef {{win: number, taps: number, words: string, at: number | null}} TimedPoint at: since the start of the window, in ms; null while it was not reached */

/** @param {any} format @param {{windows: import("../tally.js").WindowTally[]}} tally @returns {TimedPoint[]} each place once */
export function timedPoints(format, tally) {
  /** @type {Map<string, TimedPoint>} */
  const found = new Map();
  for (const rule of format.scores) {
    for (const { point } of rule.ties.filter((/** @type {any} */ step) => step.point)) {
      const win = point.window ?? firstWorked(format, rule);
      const taps = tapsTo(format.tasks[format.windows[win].task], point);
      found.set(`${win} ${taps}`, { win, taps, words: wordsOf(point), at: reached(format, tally, win, taps) });
    }
  }
  return [...found.values()];
}

/** @param {any} format @param {{windows: import("../tally.js").WindowTally[]}} tally @param {number} win @param {number} taps */
function reached(format, tally, win, taps) {
  const { reps } = tally.windows[win];
  return reps.length >= taps ? reps[taps - 1][0] - format.windows[win].start * 1000 : null;
}

/** The first window of counted repetitions or of a work list that a score takes from. @param {any} format @param {any} rule */
function firstWorked(format, rule) {
  const taken = (/** @type {number} */ i, /** @type {any} */ part) => (part.windows.length ? part.windows.includes(i) : part.tasks.includes(format.windows[i].task));
  return format.windows.findIndex((/** @type {any} */ { task }, /** @type {number} */ i) => task != null && ["count", "list"].includes(format.tasks[task].kind) && rule.parts.some((/** @type {any} */ part) => taken(i, part)));
}

/** @param {any} task @param {Point} point */
function tapsTo(task, point) {
  if (point.reps !== null) return task.kind === "count" ? point.reps : tapsOfWork(task, point.reps);
  const line = point.scheme === null ? point.line ?? task.items.length : task.items.map((/** @type {any} */ { reps, worth }) => reps * (worth || 1)).lastIndexOf(point.scheme) + 1;
  const sum = (/** @type {any[]} */ items) => items.reduce((taps, { reps }) => taps + reps, 0);
  return ((point.round ?? 1) - 1) * sum(task.items) + sum(task.items.slice(0, line));
}

/** The tap that brings a list to so many repetitions of work, or beyond. @param {any} task @param {number} reps */
function tapsOfWork(task, reps) {
  const worths = task.items.flatMap((/** @type {any} */ item) => Array(item.reps).fill(item.worth));
  const work = worths.reduce((/** @type {number} */ sum, /** @type {number} */ worth) => sum + worth, 0);
  const rounds = Math.floor((reps - 1) / work);
  let [taps, done] = [rounds * worths.length, rounds * work];
  while (done < reps) {
    done += worths[taps % worths.length];
    taps += 1;
  }
  return taps;
}

/** @param {Point} point */
function wordsOf(point) {
  const said = wordsWithin(point);
  return point.window === null ? said : say("point.in_window", { point: said, window: point.window + 1 });
}

/** @param {Point} point */
function wordsWithin({ reps, line, scheme, round }) {
  if (reps) return say("point.reps", { reps });
  if (line) return round === null ? say("point.line", { line }) : say("point.line_of_round", { line, round });
  if (scheme) return round === null ? say("point.scheme", { scheme }) : say("point.scheme_of_round", { scheme, round });
  return say("point.round", { round });
}
