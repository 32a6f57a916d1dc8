// @ts-check
import { compare, exact, fraction, over, plus, times } from "../rules/fractions.js";
import { decimal } from "../words/say.js";
import { compareLoads, decimalText, inUnit, load as loadOf, loadText, roundTo } from "../rules/units.js";

/** Choosing and saying loads. All arithmetic is exact: rules/units.js does it. */

/** @typedef {import("../rules/units.js").Load} Load */
/** @typedef {import("../rules/units.js").LoadUnit} LoadUnit */

/** `102.5 kg`. @param {Load} load */
export const sayLoad = (load) => decimal(loadText(load));

/** The load in the other unit, to a tenth: `226 lb`. @param {Load} load */
export function otherText(load) {
  const other = load.unit === "kg" ? "lb" : "kg";
  return decimal(`${decimalText(inUnit(load, other), 1)} ${other}`);
}

/** The least step in a unit: the event's own, or one where the event steps in the other unit. @param {Load} step @param {LoadUnit} unit @returns {Load} */
export function stepIn(step, unit) {
  return step.unit === unit ? step : { amount: "1", unit };
}

/**
 * One step up or down (or `count` of them at once), never below the bar and always on a whole number of steps.
 * @param {Load} from @param {Load} step @param {1 | -1} way @param {Load} bar @param {LoadUnit} unit @param {number} [count]
 * @returns {Load}
 */
export function stepped(from, step, way, bar, unit, count = 1) {
  const size = exact(stepIn(step, unit).amount);
  const start = inUnit(from, unit);
  const steps = over(start, size);
  const whole = roundTo(start, size, "down");
  const below = steps.d === 1n ? start : way === 1 ? whole : plus(whole, size);
  const next = plus(below, times(size, fraction(BigInt(way * count))));
  const least = inUnit(bar, unit);
  const most = loadOf("2000", "kg");
  if (compare(next, least) < 0 && count > 1) return unit === bar.unit ? bar : stepped(bar, step, 1, bar, unit);
  if (compare(next, least) < 0 || compare(next, inUnit(most, unit)) > 0) return from.unit === unit ? from : bar;
  return loadOf(decimalText(next), unit);
}

/**
 * What a lifter most likely wants next: after a good lift what is planned beyond it, else a step more; after a miss the same again.
 * @param {any[]} lifts of this member, in order @param {any} task @param {LoadUnit} unit @param {Load[]} [plan]
 * @returns {Load | null}
 */
export function likelyNext(lifts, task, unit, plan = []) {
  const last = lifts.at(-1);
  if (!last) return plan[0] ?? null;
  if (!last.good) return last.load;
  return plan.find((load) => compareLoads(load, last.load) > 0) ?? stepped(last.load, task.step, 1, task.bar, last.load.unit ?? unit);
}
