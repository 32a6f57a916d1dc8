// @ts-check
/** The clock that a sheet's marks are read by. Twin of app/rules/count/sheet_clock.py, where the rule is said in words. */
import { heatTime } from "./holding.js";
import { atAnother } from "./lifting/bars.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {{holds: import("./holding.js").Hold[], shift_ms: number, given?: boolean, counting?: import("./numbers.js").Counting, admitted?: string[], ruled?: import("./lifting/ruled_lifts.js").RuledLift[]}} SheetClock given: its run was given a GO, as goes without saying; admitted: marks that a ruling lets count; ruled: rulings on its lifts */

/** A clock that was never held nor shifted. @type {SheetClock} */
export const PLAIN = { holds: [], shift_ms: 0 };

/**
 * The marks at their moments on the true heat clock, and how far into a hold each mark was made that was made in one.
 * @param {Map<string, Mark>} marks by id
 * @param {SheetClock} clock
 * @returns {{placed: Map<string, Mark>, into: Map<string, number>}}
 */
export function retimed(marks, { holds, shift_ms }) {
  /** @type {Map<string, number>} */
  const into = new Map();
  const plain = !holds.length && !shift_ms;
  if (plain && ![...marks.values()].some((mark) => mark.body.held)) return { placed: marks, into };
  /** @type {Map<string, Mark>} */
  const placed = new Map();
  for (const mark of marks.values()) {
    const shift = mark.body.hand ? shift_ms : 0;
    const now = heatTime(mark.at + shift + (mark.body.held ?? 0), holds);
    if (now.into_ms) into.set(mark.id, now.into_ms);
    // A shift moves all marks of a life that was started by hand alike; a hold that the tablet did not know of does not.
    placed.set(mark.id, now.ms === mark.at ? mark : now.ms === mark.at + shift ? { ...mark, at: now.ms } : atAnother(mark, now.ms));
  }
  return { placed, into };
}
