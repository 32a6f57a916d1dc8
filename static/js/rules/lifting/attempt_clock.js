// @ts-check
/** The clock of the attempt that stands. Twin of app/rules/count/lifting/attempt_clock.py, where the rule is said in words. */

/** @typedef {{since: number, over: number}} Runs since when and until when, in ms on the heat clock */

/** How the clock of the attempt runs that stands in a window, or null. @param {any} found the window's tally @returns {Runs | null} */
export function attemptClock({ declaration, begun, since_ms: since, attempt_seconds: seconds, lifts }) {
  if (declaration === null || begun !== null || since == null || seconds == null) return null;
  if (lifts.some((/** @type {any} */ lift) => lift.declared === declaration && !lift.again)) return null;
  return { since, over: since + seconds * 1000 };
}
