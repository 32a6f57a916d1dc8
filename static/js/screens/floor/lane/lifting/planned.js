// @ts-check
/** What a lifter means to lift who has not declared it yet: for those who call and marshal; who judges a lane asks for none of it. */
import { planOf } from "../../../../parts/plans.js";
import { openerSaid, refusedIn } from "../../../../rules/lifting/opener_said.js";
import { fold } from "../../../../rules/tally.js";
import { runNumber, sheetClock, sheetKey } from "../heats.js";

/** @typedef {import("../state.js").Lane} Lane */

/** What is known of the clock of an earlier run's sheet: the holds of that run are known while the desk tells of no newer one. @param {import("../heats.js").Heat} heat @param {number} run @returns {import("../../../../rules/sheet_clock.js").SheetClock} */
function earlierClock(heat, run) {
  const holds = heat.run?.number === run ? heat.run.holds : null;
  return { ...sheetClock(heat), holds: holds ?? [], shift_ms: heat.assignment.shifts?.[run] ?? 0, given: true };
}

/** @typedef {{win: number, member: number, alone: boolean}} Whose alone: nobody else lifts in the window */

/**
 * What a lifter of a heat began with, or meant to, in the newest of its earlier runs in which anything was declared; or null. The sheets
 * of a run begin empty, and nothing is declared by itself. Twin of opener_before in app/hall/heats.py.
 * @param {Lane} lane @param {import("../heats.js").Heat} heat as it stands on the lifter's lane @param {Whose} whose
 */
export function openerBefore({ tablet: { outbox }, packet }, heat, { win, member, alone }) {
  const { format } = packet.events[heat.event];
  for (let run = runNumber(heat) - 1; run > 0; run--) {
    const marks = outbox.marks(sheetKey(heat, "lane", run)).filter(({ id }) => outbox.stateOf(id) !== "refused");
    const refused = refusedIn(marks.length ? fold(format, marks, earlierClock(heat, run)).flags : []);
    const said = openerSaid(marks, win, member, alone, refused);
    if (said) return said;
  }
  return null;
}

/**
 * What a lifter of a heat means to lift in a window, in order.
 * @param {Lane} lane @param {import("../heats.js").Heat} heat as it stands on the lifter's lane
 * @param {readonly import("../state.js").Mark[]} marks of its sheet that stand, in order @param {Whose} whose
 */
export function plannedOn(lane, heat, marks, whose) {
  const { format } = lane.packet.events[heat.event];
  const openers = /** @type {any} */ (heat.assignment).openers ?? [];
  const task = /** @type {string} */ (format.windows[whose.win].task);
  return planOf([...marks], openers, { ...whose, task, down: format.tasks[task].may_go_down }, openerBefore(lane, heat, whose));
}
