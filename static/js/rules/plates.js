// @ts-check
/**
 * What a lane can put on its bar, exactly: kilograms and pounds are counted apart, in ten-thousandths. Twin of app/rules/workout/plates.py;
 * both pass tests/vectors/plates.json.
 */
import { exact, floor, fraction, over, plus as sum, times } from "./fractions.js";
import { compareLoads, decimalText, load as loadOf, loadText } from "./units.js";
import { decimal, say } from "../words/say.js";

/** @typedef {import("./fractions.js").Fraction} Fraction */
/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./units.js").LoadUnit} LoadUnit */
/** @typedef {{weight: Load, count: number, across_mm: number, thick_mm: string, colour: string | null}} Plate */
/** @typedef {{id: string, name: string, bars: Load[], collars: Load | null, plates: Plate[], heavy_inside: boolean, sleeve_mm: number, sleeves_mm?: number[], standard: string}} PlateSet */
/** @typedef {{weight: Load, pairs: number, across_mm: number, thick_mm: number, colour: string | null}} Kind */
/** @typedef {{kinds: Kind[], bar: Load, collars: Load | null, heavy_inside: boolean, sleeve_mm: number, steps?: Step[]}} Kit from heavy to light */
/** @typedef {number[]} Side the plates on one side by the number of their kind, innermost first */
/** @typedef {readonly [number, number]} Amount kilograms and pounds, in PARTS */
/** @typedef {{kind: number, pair: number, pounds: boolean, pairs: number, kg: Set<number>, lb: Set<number>}} Step */

const PARTS = 10_000;
export const MOST_WAYS = 400;
const FULL_ACROSS_MM = 450;
const ALMOST = 1e-9; // thicknesses are summed as floats here
const LB = exact("0.45359237");

/**
 * The lane's plates under an event's rules: nothing lighter than its least plate, no odd piece, its bar if the lane has it.
 * @param {PlateSet} plates @param {{bar: Load, collars: Load | null, collars_counted?: boolean, least_plate: Load}} task
 * @returns {Kit}
 */
export function kitOf(plates, task) {
  const usable = plates.plates.filter((plate) => plate.count >= 2 && compareLoads(plate.weight, task.least_plate) >= 0);
  const ordered = usable.sort((a, b) => compareLoads(b.weight, a.weight) || b.across_mm - a.across_mm || (a.weight.unit < b.weight.unit ? -1 : 1));
  const place = Math.max(0, plates.bars.findIndex((bar) => compareLoads(bar, task.bar) === 0));
  return {
    kinds: ordered.map(({ weight, count, across_mm, thick_mm, colour }) => ({ weight, pairs: Math.floor(count / 2), across_mm, thick_mm: millimetres(thick_mm), colour })),
    bar: plates.bars[place],
    collars: task.collars_counted === false ? null : (plates.collars ?? task.collars),
    heavy_inside: plates.heavy_inside,
    sleeve_mm: plates.sleeves_mm?.[place] ?? plates.sleeve_mm,
  };
}

/** @param {string} text a fraction */
function millimetres(text) {
  const { n, d } = exact(text);
  return Number(n) / Number(d);
}

/** A load in PARTS of its own unit. @param {Load | null} load @returns {Amount} */
export function partsOf(load) {
  if (!load) return [0, 0];
  const parts = Number(floor(times(exact(load.amount), fraction(BigInt(PARTS)))));
  return load.unit === "kg" ? [parts, 0] : [0, parts];
}

/** @param {Amount} one @param {Amount} other @param {number} [count] @returns {Amount} */
function plus(one, other, count = 1) {
  return [one[0] + other[0] * count, one[1] + other[1] * count];
}

/** The bar, with its collars where they count. @param {Kit} kit */
export function bare(kit) {
  return plus(partsOf(kit.bar), partsOf(kit.collars));
}

/** What the bar weighs with these plates on each side. @param {Kit} kit @param {Side} side @returns {Amount} */
export function totalOf(kit, side) {
  return side.reduce((total, kind) => plus(total, partsOf(kit.kinds[kind].weight), 2), bare(kit));
}

/** A total in a unit, exact. @param {Amount} total @param {LoadUnit} unit @returns {Fraction} */
export function totalIn([kg, lb], unit) {
  const inKilograms = sum(fraction(BigInt(kg), BigInt(PARTS)), times(fraction(BigInt(lb), BigInt(PARTS)), LB));
  return unit === "kg" ? inKilograms : over(inKilograms, LB);
}

/** A total as a load that can be declared; null when neither unit writes it exactly. @param {Amount} total @returns {Load | null} */
export function totalLoad([kg, lb]) {
  if (kg && lb) return null;
  return loadOf(decimalText(fraction(BigInt(lb || kg), BigInt(PARTS))), lb ? "lb" : "kg");
}

/** A total for people; "about" stands before what a thousandth can't say exactly. @param {Amount} total @param {LoadUnit} unit */
export function totalText(total, unit) {
  const value = totalIn(total, unit);
  const text = decimal(`${decimalText(value, 3)} ${unit}`);
  return times(value, fraction(1000n)).d === 1n ? text : say("about {text}", { text });
}

/**
 * How a load can be made, heavy plates inside, those with more of the heaviest plates first: what fits on the sleeve; where nothing
 * does, all the same. Empty when it can't be made.
 * @param {Kit} kit @param {Load} load @param {number} [most]
 * @returns {Side[]}
 */
export function ways(kit, load, most = MOST_WAYS) {
  /** @type {Side[]} */
  const made = [];
  const steps = stepsOf(kit);
  /** @param {number} at @param {number} kg @param {number} lb @param {Side} held @param {number} room on the sleeve, in mm */
  const goDown = (at, kg, lb, held, room) => {
    if (at === steps.length) {
      if (kg === 0 && lb === 0) made.push(held);
      return;
    }
    const step = steps[at];
    if (!step.kg.has(kg) || !step.lb.has(lb)) return;
    const thick = kit.kinds[step.kind].thick_mm;
    const fits = Math.min(step.pairs, Math.floor((step.pounds ? lb : kg) / step.pair), Math.floor(room / thick + ALMOST));
    for (let count = fits; count >= 0 && made.length < most; count -= 1) {
      const gone = step.pair * count;
      const now = held.concat(Array(count).fill(step.kind));
      if (step.pounds) goDown(at + 1, kg, lb - gone, now, room - count * thick);
      else goDown(at + 1, kg - gone, lb, now, room - count * thick);
    }
  };
  const [kg, lb] = plus(partsOf(load), bare(kit), -1);
  goDown(0, kg, lb, [], kit.sleeve_mm);
  if (!made.length) goDown(0, kg, lb, [], Infinity);
  return made;
}

/** The kinds from heavy to light, each with what is still in reach from it on. @param {Kit} kit @returns {Step[]} */
function stepsOf(kit) {
  kit.steps ??= makeSteps(kit);
  return kit.steps;
}

/** @param {Kit} kit @returns {Step[]} */
function makeSteps(kit) {
  let [kg, lb] = [new Set([0]), new Set([0])];
  /** @type {Step[]} */
  const found = [];
  for (let kind = kit.kinds.length - 1; kind >= 0; kind -= 1) {
    const { pairs, weight } = kit.kinds[kind];
    const [kgPair, lbPair] = partsOf(weight).map((part) => part * 2);
    if (kgPair) kg = spread(kg, kgPair, pairs);
    else lb = spread(lb, lbPair, pairs);
    found.unshift({ kind, pair: kgPair || lbPair, pounds: !kgPair, pairs, kg, lb });
  }
  return found;
}

/** @param {Set<number>} held @param {number} pair @param {number} pairs */
function spread(held, pair, pairs) {
  const found = new Set();
  for (const sum of held) for (let count = 0; count <= pairs; count += 1) found.add(sum + pair * count);
  return found;
}

/** An amount in whole numbers that mixtures can be compared by. @param {number} kg @param {number} lb */
const grains = (kg, lb) => kg * 100_000_000 + lb * 45_359_237; // below 2 to the 53 for all that a bar carries

/**
 * The heaviest bar below a load and the lightest above it; null where there is none. Exact, also with mixed plates.
 * @param {Kit} kit @param {Load} load
 * @returns {[Amount | null, Amount | null]}
 */
export function nearest(kit, load) {
  const steps = stepsOf(kit);
  const [kg, lb] = steps.length ? [sorted(steps[0].kg), sorted(steps[0].lb)] : [[0], [0]];
  const target = grains(...plus(partsOf(load), bare(kit), -1));
  /** @type {Amount | null} */
  let below = null;
  /** @type {Amount | null} */
  let above = null;
  for (const part of kg) {
    const place = firstAtLeast(lb, part, target);
    if (place > 0 && (!below || grains(part, lb[place - 1]) > grains(...below))) below = [part, lb[place - 1]];
    const after = place + Number(place < lb.length && grains(part, lb[place]) === target);
    if (after < lb.length && (!above || grains(part, lb[after]) < grains(...above))) above = [part, lb[after]];
  }
  const bar = bare(kit);
  return [below && plus(below, bar), above && plus(above, bar)];
}

/** @param {Set<number>} sums */
const sorted = (sums) => [...sums].sort((a, b) => a - b);

/** @param {number[]} lb @param {number} kg @param {number} target */
function firstAtLeast(lb, kg, target) {
  let [low, high] = [0, lb.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (grains(kg, lb[middle]) < target) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** By how many millimetres the plates of a side are thicker than the sleeve; 0 when they fit. @param {Kit} kit @param {Side} side */
export function tooThick(kit, side) {
  return Math.max(0, side.reduce((thick, kind) => thick + kit.kinds[kind].thick_mm, 0) - kit.sleeve_mm);
}

/** By how many millimetres a bar with these plates lies lower than on full discs; 0 where it does not. @param {Kit} kit @param {Side} side */
export function liesLow(kit, side) {
  const widest = side.length ? Math.max(...side.map((kind) => kit.kinds[kind].across_mm)) : FULL_ACROSS_MM;
  return Math.floor(Math.max(0, FULL_ACROSS_MM - widest) / 2);
}

/** The plates of a side from inside out: `45 + 25 + 2 × 5 lb`. @param {Kit} kit @param {Side} side */
export function sideWords(kit, side) {
  if (!side.length) return "nothing";
  /** @type {number[][]} */
  const runs = [];
  for (const kind of side) {
    if (runs.at(-1)?.[0] === kind) runs.at(-1)?.push(kind);
    else runs.push([kind]);
  }
  const units = new Set(side.map((kind) => kit.kinds[kind].weight.unit));
  const word = (/** @type {number} */ kind) => (units.size === 1 ? loadText(kit.kinds[kind].weight).split(" ")[0] : loadText(kit.kinds[kind].weight));
  const words = runs.map((run) => (run.length > 1 ? `${run.length} × ` : "") + word(run[0])).join(" + ");
  return units.size === 1 ? `${words} ${[...units][0]}` : words;
}

/** What to take off, outermost first, and what to put on, innermost first. @param {Side} before @param {Side} after @returns {{off: Side, on: Side}} */
export function swap(before, after) {
  const kept = shared(before, after);
  return { off: before.slice(kept).reverse(), on: after.slice(kept) };
}

/** How many plates from the inside on are the same. @param {Side} one @param {Side} other */
export function shared(one, other) {
  let count = 0;
  while (count < one.length && count < other.length && one[count] === other[count]) count += 1;
  return count;
}
