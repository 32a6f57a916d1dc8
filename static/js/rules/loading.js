// @ts-check
/**
 * Loading a bar with few moves over a plan of loads: the plates on a sleeve are a stack. Its reference is tests/vectors/loading.py; both
 * pass tests/vectors/plates.json.
 *
 * Heavy inside it is a shortest path over the ways of making each load, down to what two have in common and up again. Over a few ways
 * of each that is there at once, on a phone too; over all of them, and with plates in any order (lifting/fewest_moves.js), it takes a
 * worker, and seconds.
 */
import { partsOf, shared, totalOf, ways } from "./plates.js";

/** @typedef {import("./plates.js").Kit} Kit */
/** @typedef {import("./plates.js").Side} Side */
/** @typedef {import("./units.js").Load} Load */
/** @typedef {{moves: number, path: Side[]}} Best */

/** @typedef {{names: string[], best: Best}} Reached a side by its prefixes, and the best way to it */

const QUICK_WAYS = 60;
const FIRST_LETTER = 48; // "0"

/** @typedef {{sides: (Side | null)[], moves: number, whole: boolean}} Plan sides: null for a load that can't be made; moves: of one side; whole: no plan has fewer */

/**
 * A plan from what is on one side now through all loads in order, heavy plates inside, by the ways with the heaviest plates. Where the
 * order is free a bar that weighs what it should stays as it is.
 * @param {Kit} kit @param {Load[]} loads @param {Side} [now] @returns {Plan}
 */
export function quickPlan(kit, loads, now = []) {
  const found = loads.map((load) => ways(kit, load, QUICK_WAYS + 1));
  const whole = kit.heavy_inside && found.every((sides) => sides.length <= QUICK_WAYS);
  const known = found.map((sides) => sides.slice(0, QUICK_WAYS));
  if (!kit.heavy_inside && known[0]?.length && makes(kit, now, loads[0])) known[0] = [now];
  return planOf(known, heavyInside(known.filter((sides) => sides.length), now), whole);
}

/** The moves of one side from what is on it now through the sides of a plan. @param {Side} now @param {(Side | null)[]} sides */
export function movesThrough(now, sides) {
  let [before, moves] = [now, 0];
  for (const side of sides) {
    if (!side) continue;
    moves += before.length + side.length - 2 * shared(before, side);
    before = side;
  }
  return moves;
}

/** Whether these plates make a load. @param {Kit} kit @param {Side} side @param {Load} load */
function makes(kit, side, load) {
  const [[kg, lb], wanted] = [totalOf(kit, side), partsOf(load)];
  return kg === wanted[0] && lb === wanted[1];
}

/** A way of making each load that can be made, by load. @param {Side[][]} found @param {Best} best @param {boolean} whole @returns {Plan} */
export function planOf(found, best, whole) {
  let next = 0;
  return { sides: found.map((sides) => (sides.length ? best.path[next++] : null)), moves: best.moves, whole };
}

/** What a side's prefixes are told apart by, from the empty bar to all of it: a letter for each plate. @param {Side} side @returns {string[]} */
function prefixes(side) {
  let name = "";
  return ["", ...side.map((kind) => (name += String.fromCharCode(FIRST_LETTER + kind)))];
}

/** The shortest path through one way of making each load: down to what two sides share, and up again. @param {Side[][]} layers @param {Side} now @returns {Best} */
export function heavyInside(layers, now) {
  /** @type {Reached[]} */
  let reached = [{ names: prefixes(now), best: { moves: 0, path: [] } }];
  for (const layer of layers) {
    const left = down(reached);
    reached = layer.map((side) => up(left, side, prefixes(side)));
  }
  return reached.map(({ best }) => best).reduce((least, best) => (best.moves < least.moves ? best : least));
}

/** The fewest moves to what is left when plates are taken off. @param {Reached[]} reached @returns {Map<string, Best>} */
function down(reached) {
  const left = new Map();
  for (const { names, best } of reached) {
    let { moves } = best;
    for (let held = names.length - 1; held >= 0; held -= 1, moves += 1) {
      const there = left.get(names[held]);
      if (there && there.moves <= moves) break; // and so on down: whoever came by there was as quick below it
      left.set(names[held], { moves, path: best.path });
    }
  }
  return left;
}

/** The fewest moves to a side from any of its prefixes. @param {Map<string, Best>} left @param {Side} side @param {string[]} names @returns {Reached} */
function up(left, side, names) {
  /** @type {Best | null} */
  let best = null;
  for (let held = side.length, on = 0; held >= 0; held -= 1, on += 1) {
    const there = left.get(names[held]);
    if (there && (!best || there.moves + on < best.moves)) best = { moves: there.moves + on, path: there.path };
  }
  const { moves, path } = /** @type {Best} */ (best); // the empty bar is a prefix of all
  return { names, best: { moves, path: [...path, side] } };
}
