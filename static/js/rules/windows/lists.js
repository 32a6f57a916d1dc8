// @ts-check
/** The marks of a work list: what is done of it, what is left, and whether it has an end. Twin of app/rules/count/fold_windows.py. */
import { endMs, startMs } from "../clock.js";
import { ROWS } from "../rows.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../tally.js").Flag} Flag */

/**
 * Whether a line of a work list is for as many as possible. Twin of Format.goes_on, where the rule is said in words.
 * @param {any} format @param {string} key of the task @param {{reps: number}} item
 */
export function goesOn(format, key, { reps }) {
  const its = /** @type {any[]} */ (format.windows).flatMap(({ task }, index) => (task === key ? [index] : []));
  const longest = Math.max(0, ...its.map((index) => format.windows[index].seconds));
  const timed = (/** @type {any} */ { take, tasks, windows }) => take === "time" && (windows.length ? its.some((index) => windows.includes(index)) : tasks.includes(key));
  return longest > 0 && reps >= longest * ROWS.hands.fastest_taps && !format.miss_puts_out && !format.scores.some((/** @type {any} */ { parts }) => parts.some(timed));
}

/** Whether a work list is for as many as possible until the bell. Twin of Format.has_no_end. @param {any} format @param {string} key */
export const hasNoEnd = (format, key) => format.tasks[key].rounds == null || format.tasks[key].items.some((/** @type {any} */ item) => goesOn(format, key, item));

/** @param {any} window @param {any} task @param {Mark[]} marks @param {Mark[]} reps @param {boolean} out @param {Flag[]} flags @param {boolean} noEnd */
export function foldList(window, task, marks, reps, out, flags, noEnd) {
  const worths = task.items.flatMap((/** @type {any} */ item) => Array(item.reps).fill(item.worth));
  const total = (/** @type {number[]} */ numbers) => numbers.reduce((sum, number) => sum + number, 0);
  const taps = task.rounds == null ? null : worths.length * task.rounds;
  const credited = reps.slice(0, taps ?? undefined);
  for (const mark of reps.slice(credited.length)) flags.push({ mark: mark.id, why: "beyond-list" });
  const done = credited.map((_, i) => worths[i % worths.length]);
  const work = total(done);
  const finish_ms = finish(window, marks, credited, credited.length === taps, flags);
  const left = noEnd ? null : total(worths) * task.rounds - work;
  if (out) for (const mark of reps) flags.push({ mark: mark.id, why: "after-out" });
  if (out) return { count: reps.length, credited: 0, finish_ms: null, left: left === null ? null : left + work, worths: [] };
  return { count: reps.length, credited: work, finish_ms, left, worths: done };
}

/**
 * @param {any} window
 * @param {Mark[]} marks
 * @param {Mark[]} credited
 * @param {boolean} complete
 * @param {Flag[]} flags
 * @returns {number | null}
 */
function finish(window, marks, credited, complete, flags) {
  const finishes = marks.filter((mark) => mark.kind === "finish");
  if (!complete) {
    for (const mark of finishes) flags.push({ mark: mark.id, why: "finish-short" });
    return null;
  }
  const last = credited[credited.length - 1];
  const [first] = finishes;
  if (!first) flags.push({ mark: last.id, why: "finish-missing" });
  else if (first.at < last.at) flags.push({ mark: first.id, why: "finish-before-work" });
  return Math.min(Math.max(first?.at ?? last.at, last.at), endMs(window)) - startMs(window);
}
