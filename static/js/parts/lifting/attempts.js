// @ts-check
import { sayLoad } from "../loads.js";
import { el, svg } from "../dom.js";
import { say } from "../../words/say.js";

/** A line of lifts: a tick for a good one, a cross for one that was not, an arrow for one that may be lifted again, each with its load. */

/** @typedef {{load: {amount: string, unit: string}, good: boolean, fault: string | null, mark: string, counts: boolean, member?: number | null, again?: boolean, doubt?: string | null}} Lift */

export const TICK = "M3 11 8 16 17 4";
export const CROSS = "M4 4 16 16M16 4 4 16";
const AGAIN = "M15 5A7 7 0 1 0 17 10M15 1V5H11";
const WAITS = "M3 10H5M9 10H11M15 10H17";

/**
 * @param {Lift[]} lifts in order
 * @param {string | null} best mark of the best lift, if any
 * @param {(fault: string) => string} faultName
 * @param {(member: number | null) => string} whose a member's short name, empty where there is no other
 * @returns {HTMLElement[]} the name stands at the first of several by the same member
 */
export function attemptMarks(lifts, best, faultName, whose) {
  const names = lifts.map(({ member }) => whose(member ?? null));
  return lifts.map((lift, n) => {
    const name = names[n] === names[n - 1] ? "" : names[n];
    const load = sayLoad(lift.load);
    const { sign, word } = outcome(lift);
    const spoken = word ? `${load}, ${word}` : lift.good ? `${load}, ${say("lift.was_good")}` : `${load}, ${say("lift.was_no")}${lift.fault ? `: ${faultName(lift.fault)}` : ""}`;
    return el(
      "li",
      { class: "attempt", "data-good": word ? null : String(lift.good), "data-best": lift.mark === best, title: spoken },
      name ? el("b", { class: "attempt-whose" }, name) : null,
      svg("svg", { viewBox: "0 0 20 20", "aria-hidden": "true" }, svg("path", { d: sign })),
      el("span", { "aria-hidden": "true" }, load),
      el("span", { class: "visually-hidden" }, spoken),
      lift.mark === best ? el("span", { class: "attempt-best" }, say("best")) : null,
    );
  });
}

/** The sign of a lift, and its word where neither good nor no lift says it. @param {Lift} lift */
function outcome(lift) {
  if (lift.again) return { sign: AGAIN, word: say("lift.again") };
  if (lift.doubt === "waiting") return { sign: WAITS, word: say("not decided by all judges yet") };
  return { sign: lift.good ? TICK : CROSS, word: "" };
}
