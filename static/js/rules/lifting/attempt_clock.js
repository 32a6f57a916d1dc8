// @ts-check
/** The clock of the attempt that stands. Twin of app/rules/count/lifting/attempt_clock.py, where the rule is said in words. */

/** @typedef {{since: number, over: number}} Runs since when and until when, in ms on the heat clock */

/** How the clock of the attempt runs that stands in a window, or null. @param {any} found the window's tally @returns {Runs | null} */
export function attemptClock({ declaration, begun, since_ms: since, attempt_seconds: seconds, lifts }) {
  if (declaration === null || begun !== null || since == null || seconds == null) return null;
  if (lifts.some((/** @type {any} */ lift) => lift.declared === declaration && !lift.again)) return null;
  return { since, over: since + seconds * 1000 };
}

/**
 * How far the clock of the attempt that runs in a window may be off by the clocks of those who called and loaded, in ms; 0 where none runs.
 * @param {any} found the window's tally @param {readonly import("../../device/outbox.js").Mark[]} marks of its lane that stand
 */
export function startBound(found, marks) {
  if (!attemptClock(found)) return 0;
  const starts = marks.filter(({ kind, body }) => (kind === "called" || kind === "loaded") && body.declared === found.declaration);
  return Math.max(0, ...starts.map(({ err }) => err));
}
