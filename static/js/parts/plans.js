// @ts-check
/** What a lifter means to lift, as said: on the call screen while it stands, else the opener and the plan from before the event, or the opener of a run that was stopped. */

import { heaviestTried } from "../rules/lifts.js";
import { compareLoads } from "../rules/units.js";

/** @typedef {import("./loads.js").Load} Load */
/** @typedef {{id: string, kind: string, at: number, win: number | null, epoch: number, seq: number, body: Record<string, any>}} Mark */

/**
 * What of a plan is still to come: what was lifted is not, nor, where loads do not go down, what is less than was tried.
 * @param {Load[]} plan @param {import("../rules/lifting/judged.js").Lift[]} lifts of this lifter @param {any} task
 */
export function stillToCome(plan, lifts, task) {
  const tried = task.may_go_down ? null : heaviestTried(lifts);
  const lifted = lifts.filter(({ good, again, doubt }) => good && !again && doubt !== "waiting");
  const over = (/** @type {Load} */ load) => (tried && compareLoads(load, tried) < 0) || lifted.some((lift) => compareLoads(lift.load, load) === 0);
  return plan.filter((load) => !over(load));
}

/**
 * The loads that a lifter means to lift in a window, in order; what was said last stands. After what they began with in a run that was stopped comes
 * what of a plan from before the event is above it, or all of it where loads may go down.
 * @param {Mark[]} marks those of the sheet that stand, in order
 * @param {{task: string, member: number, loads: Load[]}[]} openers as the packet tells them
 * @param {{task: string, win: number, member: number, alone: boolean, down: boolean}} whose alone: only this member lifts in the window; down: loads may go down there
 * @param {Load | null} before what they began with in a run that was stopped
 * @returns {Load[]}
 */
export function planOf(marks, openers, { task, win, member, alone, down }, before) {
  const mine = (/** @type {Mark} */ mark) => mark.kind === "plan" && mark.win === win && (mark.body.member ?? (alone ? member : null)) === member;
  const said = marks.filter(mine).at(-1);
  if (said) return said.body.loads;
  const loads = openers.find((opener) => opener.task === task && opener.member === member)?.loads ?? [];
  return before ? [before, ...loads.slice(1).filter((load) => down || compareLoads(load, before) > 0)] : loads;
}
