// @ts-check
/** The clock of the attempt that stands. Twin of app/rules/count/lifting/attempt_clock.py, where the rule is said in words. */

/** @typedef {{since: number, over: number}} Runs since when and until when, in ms on the heat clock */

/** How the clock of the attempt runs that stands in a window, or null. @param {any} found the window's tally @returns {Runs | null} */
export function attemptClock({ declaration, begun, since_ms: since, attempt_seconds: seconds, lifts }) {
  if (declaration === null || begun !== null || since == null || seconds == null) return null;
  if (lifts.some((/** @type {any} */ lift) => lift.declared === declaration && !lift.again)) return null;
  return { since, over: since + seconds * 1000 };
}

/** How far the clock of the attempt that runs in a window may be off by the clocks of those who started it, in ms; 0 where none runs. @param {any} found the window's tally */
export function startBound(found) {
  return attemptClock(found) ? found.since_off_ms : 0;
}
