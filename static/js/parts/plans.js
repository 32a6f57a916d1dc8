// @ts-check
/** What a lifter means to lift, as said: on the call screen while it stands, else the opener and the plan from before the event. */

/** @typedef {import("./loads.js").Load} Load */
/** @typedef {{id: string, kind: string, at: number, win: number | null, epoch: number, seq: number, body: Record<string, any>}} Mark */

/**
 * The loads that a lifter means to lift in a window, in order; what was said last stands.
 * @param {Mark[]} marks those of the sheet that stand, in order
 * @param {{task: string, member: number, loads: Load[]}[]} openers as the packet tells them
 * @param {{task: string, win: number, member: number, alone: boolean}} whose alone: only this member lifts in the window
 * @returns {Load[]}
 */
export function planOf(marks, openers, { task, win, member, alone }) {
  const mine = (/** @type {Mark} */ mark) => mark.kind === "plan" && mark.win === win && (mark.body.member ?? (alone ? member : null)) === member;
  const said = marks.filter(mine).at(-1);
  return said ? said.body.loads : (openers.find((opener) => opener.task === task && opener.member === member)?.loads ?? []);
}
