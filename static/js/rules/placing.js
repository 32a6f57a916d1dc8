// @ts-check
/** Which window a mark counts in, if any, and what is odd about its place. Twin of app/rules/count/placing.py. */
import { endMs, startMs } from "./clock.js";
import { UNTIMED, fitting } from "./kinds.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./tally.js").Flag} Flag */

/** @type {Record<string, Set<string>>} */
const FITS = Object.fromEntries(["count", "list", "lift", "measure"].map((task) => [task, fitting(task)]));

/**
 * The window a mark counts in, or null. Within the grace before or after the window it counts and is flagged; farther out it is only flagged.
 * @param {any} format @param {Mark} mark @param {number | null} member whom it is for, if it or its declaration says
 * @param {number | undefined} intoHold @param {Flag[]} flags
 * @returns {number | null}
 */
export function place(format, mark, member, intoHold, flags) {
  const flag = (/** @type {string} */ why) => {
    flags.push({ mark: mark.id, why });
    return null;
  };
  const index = mark.win ?? byTime(format, mark, member) ?? byTime(format, mark, null);
  if (index === null) return flag("outside");
  const window = format.windows[index];
  if (window?.task == null) return flag("no-window");
  const task = format.tasks[window.task];
  if (!FITS[task.kind].has(mark.kind)) return flag("wrong-kind");
  if (!onTheFloor(format, window, member)) return flag("other-member");
  if (intoHold !== undefined && !inHold(format, task, mark, intoHold, flag)) return null;
  return inTime(format, window, task, mark, flag) ? index : null;
}

/**
 * The member a mark names, else the one whom the declaration that it names is for, be it taken back since; null where neither says.
 * @param {Mark} mark @param {Map<string, Mark>} declared the sheet's declarations, by id
 * @returns {number | null}
 */
export function saidMember(mark, declared) {
  return mark.body.member ?? declared.get(mark.body.declared)?.body.member ?? null;
}

/**
 * Whether a mark made while the clock stood counts: as at a bell, for the judge's own reaction, and a lift that was begun.
 * @param {any} format
 * @param {any} task
 * @param {Mark} mark
 * @param {number} intoMs
 * @param {(why: string) => null} flag
 * @returns {boolean}
 */
function inHold(format, task, mark, intoMs, flag) {
  if (UNTIMED.has(mark.kind)) return true;
  const counts = intoMs < format.late_ms || begunBefore(task, intoMs);
  flag(counts ? "held-late" : "held");
  return counts;
}

/** Whether the decision may come so long after the clock was stopped: whether it was begun in time is the judge's word. @param {any} task @param {number} afterMs */
function begunBefore(task, afterMs) {
  return task.kind === "lift" && task.counts_when === "begun" && (task.decide_seconds == null || afterMs < task.decide_seconds * 1000);
}

/**
 * Whether a member, if one is named, is one of the entry's and works in the window. Nobody else's mark counts there.
 * @param {any} format
 * @param {any} window
 * @param {number | null} member
 */
function onTheFloor(format, window, member) {
  return member == null || (member <= format.members && (!Array.isArray(window.who) || window.who.includes(member)));
}

/**
 * @param {any} format
 * @param {any} window
 * @param {any} task
 * @param {Mark} mark
 * @param {(why: string) => null} flag
 * @returns {boolean}
 */
function inTime(format, window, task, mark, flag) {
  const [start, end] = [startMs(window), endMs(window)];
  if (UNTIMED.has(mark.kind) || (start <= mark.at && mark.at < end)) return true;
  if (start - (format.early_ms ?? format.late_ms) <= mark.at && mark.at < end + format.late_ms) {
    flag(mark.at < start ? "early" : "late");
    return true;
  }
  const begun = mark.at >= end && begunBefore(task, mark.at - end);
  flag(begun ? "late" : "outside");
  return begun;
}

/**
 * For a mark that names no window: the first open one of that member whose task fits, else one that closed within `late_ms`,
 * else one that opens within the grace that the event says.
 * @param {any} format
 * @param {Mark} mark
 * @param {number | null} member
 * @returns {number | null}
 */
function byTime(format, mark, member) {
  let closed = null;
  let opening = null;
  for (const [i, window] of format.windows.entries()) {
    if (window.task == null || !FITS[format.tasks[window.task].kind].has(mark.kind)) continue;
    if (!onTheFloor(format, window, member)) continue;
    if (startMs(window) <= mark.at && mark.at < endMs(window)) return i;
    if (endMs(window) <= mark.at && mark.at < endMs(window) + format.late_ms) closed = i;
    if (opening === null && startMs(window) - (format.early_ms ?? 0) <= mark.at && mark.at < startMs(window)) opening = i;
  }
  return closed ?? opening;
}
