// @ts-check
/**
 * Loads as people type them for a lift: what can't be is refused, what may be a slip is asked once, with what was probably meant.
 * Twin of app/rules/workout/typed_loads.py; both pass tests/vectors/typed_loads.json.
 */
import { say } from "../words/say.js";
import { compare, exact, fraction, over, plus, times } from "./fractions.js";
import { ways } from "./plates.js";
import { BadMeasure, bothUnits, compareLoads, decimalText, inKg, inUnit, load as loadOf, loadText, onStep, parseLoad, roundTo } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./units.js").LoadUnit} LoadUnit */
/** What a typed load is held against. @typedef {{last?: Load | null, tried?: Load | null, planned?: Load | null, heaviest?: Load | null, kit?: import("./plates.js").Kit | null}} Around */
/** A question to ask once, and loads that may have been meant. @typedef {{sentence: string, offers: Load[]}} Doubt */

const FAR = [exact("1/2"), exact("2")];
const MIXED_UP = { kg: [exact("2"), exact("12/5")], lb: [exact("21/50"), exact("1/2")] };
const MOST_LIFTED = loadOf("600", "kg");
const MOST_STEPS = 400; // from a typed load to one that a lane's plates make, each way

/**
 * The load in a text, in `unit` unless it names one, and what is odd about it. Throws BadMeasure for what can't be.
 * @param {string} text @param {any} task @param {LoadUnit} unit @param {Around} [around]
 * @returns {{load: Load, doubt: Doubt | null}}
 */
export function typedLoad(text, task, unit, around = {}) {
  const load = parseLoad(text, unit);
  return { load, doubt: doubtAbout(load, task, around) };
}

/**
 * What is odd about a load, or null. Throws BadMeasure for one below the bar, or beyond what people lift.
 * @param {Load} load @param {any} task @param {Around} [around]
 * @returns {Doubt | null}
 */
export function doubtAbout(load, task, around = {}) {
  if (compareLoads(load, task.bar) < 0) throw new BadMeasure(say("load.below_bar", { bar: bothUnits(task.bar), load: bothUnits(load) }));
  const most = around.heaviest && compareLoads(around.heaviest, MOST_LIFTED) > 0 ? around.heaviest : MOST_LIFTED;
  if (compareLoads(load, most) > 0) throw new BadMeasure(say("load.beyond", { load: bothUnits(load), most: bothUnits(most) }));
  return far(load, task, around) ?? heavy(load, around) ?? down(load, task, around) ?? offStep(load, task, around.kit ?? null);
}

/** @param {Load} load @param {any} task @param {Around} around @returns {Doubt | null} */
function far(load, task, { last, planned }) {
  const near = last ?? planned;
  if (!near || !inKg(near).n) return null;
  const ratio = over(inKg(load), inKg(near));
  if (compare(ratio, FAR[0]) > 0 && compare(ratio, FAR[1]) < 0) return null;
  const holes = { near: bothUnits(near), load: bothUnits(load) };
  const [low, high] = MIXED_UP[load.unit];
  if (compare(ratio, low) >= 0 && compare(ratio, high) <= 0) {
    const other = loadOf(load.amount, load.unit === "kg" ? "lb" : "kg");
    if (compareLoads(other, task.bar) >= 0) {
      return { sentence: say(last ? "load.unit_last" : "load.unit_planned", { ...holes, other: bothUnits(other) }), offers: [other] };
    }
  }
  return { sentence: say(last ? "load.far_last" : "load.far_planned", holes), offers: [] };
}

/** @param {Load} load @param {Around} around @returns {Doubt | null} */
function heavy(load, { heaviest }) {
  if (!heaviest || compareLoads(load, heaviest) <= 0) return null;
  return { sentence: say("load.heavy", { load: bothUnits(load) }), offers: [] };
}

/** @param {Load} load @param {any} task @param {Around} around @returns {Doubt | null} */
function down(load, task, { last, tried }) {
  const least = tried ?? last;
  if (task.may_go_down || !least || compareLoads(load, least) >= 0) return null;
  return { sentence: say("load.down", { near: bothUnits(least) }), offers: [least] };
}

/** The loads on the event's step nearest below and above; of a lane whose plates are known those that it can load. @param {Load} load @param {any} task @param {import("./plates.js").Kit | null} kit @returns {Doubt | null} */
function offStep(load, task, kit) {
  if (onStep(load, task.step) || task.loads?.length) return null;
  const below = roundTo(inUnit(load, task.step.unit), exact(task.step.amount), "down");
  const made = kit ? [first(task, below, false, kit), first(task, below, true, kit)].filter((one) => one !== null) : [];
  const offers = made.length ? made : [first(task, below, false, null), first(task, below, true, null)].filter((one) => one !== null);
  const [one, two] = offers.map(bothUnits);
  const nearest = two ? say("or", { first: one, second: two }) : one;
  return { sentence: say(made.length ? "load.off_step_plates" : "load.off_step", { step: loadText(task.step), offers: nearest }), offers };
}

/** The first load on the step from `below` on, down or up from the next, that a lane can load. @param {any} task @param {import("./fractions.js").Fraction} below @param {boolean} up @param {import("./plates.js").Kit | null} kit @returns {Load | null} */
function first(task, below, up, kit) {
  const { unit } = task.step;
  const step = exact(task.step.amount);
  const bar = inUnit(task.bar, unit);
  for (let n = 0; n < (kit ? MOST_STEPS : 1); n += 1) {
    const value = plus(below, times(step, fraction(BigInt(up ? 1 + n : -n))));
    if (compare(value, bar) < 0) return null;
    const load = loadOf(decimalText(value), unit);
    if (!kit || (compareLoads(load, MOST_LIFTED) <= 0 && ways(kit, load, 1).length)) return load;
  }
  return null;
}
