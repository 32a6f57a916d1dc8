// @ts-check
import { el, svg } from "./dom.js";

/** A line of lifts: a tick for a good one, a cross for one that was not, each with its load. */

/** @typedef {{load: {amount: string, unit: string}, good: boolean, fault: string | null, mark: string, counts: boolean}} Lift */

export const TICK = "M3 11 8 16 17 4";
export const CROSS = "M4 4 16 16M16 4 4 16";

/**
 * @param {Lift[]} lifts in order
 * @param {string | null} best mark of the best lift, if any
 * @param {(fault: string) => string} faultName
 * @returns {HTMLElement[]}
 */
export function attemptMarks(lifts, best, faultName) {
  return lifts.map((lift) => {
    const load = `${lift.load.amount} ${lift.load.unit}`;
    const spoken = lift.good ? `${load}, good lift` : `${load}, no lift${lift.fault ? `: ${faultName(lift.fault)}` : ""}`;
    return el(
      "li",
      { class: "attempt", "data-good": String(lift.good), "data-best": lift.mark === best, title: spoken },
      svg("svg", { viewBox: "0 0 20 20", "aria-hidden": "true" }, svg("path", { d: lift.good ? TICK : CROSS })),
      el("span", { "aria-hidden": "true" }, load),
      el("span", { class: "visually-hidden" }, spoken),
    );
  });
}
