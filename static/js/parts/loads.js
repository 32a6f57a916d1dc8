// @ts-check
import { compare, exact, fraction, over, plus, times } from "../rules/fractions.js";
import { BadMeasure, compareLoads, decimalText, inUnit, load as loadOf, loadText, onStep, parseLoad, roundTo } from "../rules/units.js";

/** Choosing and saying loads. All arithmetic is exact: rules/units.js does it. */

/** @typedef {import("../rules/units.js").Load} Load */
/** @typedef {import("../rules/units.js").LoadUnit} LoadUnit */

// One in the other unit is 2.2 times, or 0.45 times: a load that far from the last one may be in the wrong unit.
const MIXED_UP = [
  [exact("2"), exact("2.4")],
  [exact("0.42"), exact("0.5")],
];

/** A typed load, or null while it isn't one yet. @param {string} typed @param {LoadUnit} unit @returns {Load | null} */
export function load(typed, unit) {
  try {
    return typed ? parseLoad(typed, unit) : null;
  } catch (wrong) {
    if (wrong instanceof BadMeasure) return null;
    throw wrong;
  }
}

/** `102.5 kg`. @param {Load} load */
export const sayLoad = (load) => loadText(load);

/** The load in the other unit, to a tenth: `226 lb`. @param {Load} load */
export function otherText(load) {
  const other = load.unit === "kg" ? "lb" : "kg";
  return `${decimalText(inUnit(load, other), 1)} ${other}`;
}

/** The least step in a unit: the event's own, or one where the event steps in the other unit. @param {Load} step @param {LoadUnit} unit @returns {Load} */
export function stepIn(step, unit) {
  return step.unit === unit ? step : { amount: "1", unit };
}

/**
 * One step up or down, never below the bar and always on a whole number of steps.
 * @param {Load} from @param {Load} step @param {1 | -1} way @param {Load} bar @param {LoadUnit} unit
 * @returns {Load}
 */
export function stepped(from, step, way, bar, unit) {
  const size = exact(stepIn(step, unit).amount);
  const start = inUnit(from, unit);
  const steps = over(start, size);
  const whole = roundTo(start, size, "down");
  const below = steps.d === 1n ? start : way === 1 ? whole : plus(whole, size);
  const next = plus(below, times(size, fraction(BigInt(way))));
  const least = inUnit(bar, unit);
  const most = loadOf("2000", "kg");
  if (compare(next, least) < 0 || compare(next, inUnit(most, unit)) > 0) return from.unit === unit ? from : bar;
  return loadOf(decimalText(next), unit);
}

/** What is odd about a load, as a sentence that asks once; empty when nothing is. @param {Load} chosen @param {any} task @param {Load | null} last */
export function doubtAbout(chosen, task, last) {
  if (compareLoads(chosen, task.bar) < 0) return `The bar alone weighs ${sayLoad(task.bar)}. Is ${sayLoad(chosen)} right?`;
  if (last && mixedUp(chosen, last)) return `The last load was ${sayLoad(last)}. Is this one in ${chosen.unit}?`;
  if (last && !task.may_go_down && compareLoads(chosen, last) < 0) return `The last load was ${sayLoad(last)}, and this event does not go down.`;
  if (!onStep(chosen, task.step)) return `Loads go in steps of ${sayLoad(task.step)}. Is ${sayLoad(chosen)} right?`;
  return "";
}

/** @param {Load} chosen @param {Load} last */
function mixedUp(chosen, last) {
  const ratio = over(inUnit(chosen, "kg"), inUnit(last, "kg"));
  return MIXED_UP.some(([low, high]) => compare(ratio, low) >= 0 && compare(ratio, high) <= 0);
}

/**
 * What a lifter most likely wants next: a step more after a good lift, the same again after a miss.
 * @param {any[]} lifts of this member, in order @param {any} task @param {LoadUnit} unit
 * @returns {Load | null}
 */
export function likelyNext(lifts, task, unit) {
  const last = lifts.at(-1);
  if (!last) return null;
  return last.good ? stepped(last.load, task.step, 1, task.bar, last.load.unit ?? unit) : last.load;
}
