// @ts-check
/** Why a load may not be declared now, as a sentence that says what to do. */
import { compareLoads } from "../../../rules/units.js";
import { bestLift, heaviestTried } from "../../../rules/lifts.js";
import { changesAllowed, fresh, leastThatCounts, leftNeeded, refused, stands } from "../../../rules/lifting/next_attempt.js";
import { startMs } from "../../../rules/clock.js";
import { say } from "../../../words/say.js";
import { sayLoad } from "../../../parts/loads.js";

/** @typedef {import("../../../rules/units.js").Load} Load */
/** @typedef {import("../../../rules/lifting/next_attempt.js").NextAttempt} NextAttempt */

/**
 * Why a load may not be declared at a moment; empty where it may.
 * @param {any} format @param {number} win @param {any} found the window's tally @param {Load} load @param {import("../../../rules/lifting/bars.js").Said} at
 * @param {{floor?: Load | null, record?: boolean}} [more] floor: what the bar of a platform was called with
 */
export function whyNot(format, win, found, load, at, { floor = null, record = false } = {}) {
  const window = format.windows[win];
  const task = format.tasks[window.task];
  if (task.bar_rises && floor && compareLoads(load, floor) < 0) return say("The bar does not go down: it was called with {bar}. Declare {bar} or more.", { bar: sayLoad(floor) });
  const why = refused(task, startMs(window), found.coming, load, at, format.late_ms);
  if (why !== null) return refusalWords(task, found.coming, why);
  return (task.order ?? "lanes") === "lanes" ? "" : tooLight(task, found, load, record);
}

/** A window's tally as far as it is about one of several who lift there. @param {any} format @param {number} win @param {any} found @param {number} member */
export function ofMember(format, win, found, member) {
  if (format.members === 1) return found;
  const lifts = found.lifts.filter((/** @type {any} */ lift) => lift.member === member);
  return { ...found, lifts, best: bestLift(lifts, format.tasks[format.windows[win].task].times_reps), coming: found.comings[member] ?? fresh(1) };
}

/** What would not count anyway, at a bar that lanes share: less than was tried, or too near to a good lift. @param {any} task @param {any} found @param {Load} load @param {boolean} record */
function tooLight(task, found, load, record) {
  const least = leastThatCounts(task, found.lifts, load, record);
  if (!least) return "";
  const tried = task.may_go_down ? null : heaviestTried(found.lifts);
  if (tried && compareLoads(least, tried) <= 0) return say("{load} was tried already. Declare {load} or more.", { load: sayLoad(tried) });
  return say("{best} was good. Declare {load} or more.", { load: sayLoad(least), best: sayLoad(found.best.load) });
}

/** @param {any} task @param {NextAttempt} coming @param {string} why */
function refusalWords(task, coming, why) {
  const now = stands(coming);
  const load = now ? sayLoad(now) : "";
  switch (why) {
    case "opener-late":
      return say("Too late to change the opener. {load} stands; lift it, and declare more for the next attempt.", { load });
    case "changes-over": {
      const most = changesAllowed(task, coming.number) ?? 0;
      return most ? say("refused.changes_over", { load, n: most }) : say("This attempt may not be changed. {load} stands.", { load });
    }
    case "change-late": {
      const needs = leftNeeded(task, coming) ?? 0;
      return needs >= (coming.seconds ?? Infinity) ? say("Too late: the attempt's clock runs. {load} stands.", { load }) : say("Too late: a change needs {seconds} s left on the clock. {load} stands.", { load, seconds: needs });
    }
    default:
      return say("A change may not lower the load. Declare {load} or more.", { load });
  }
}
