// @ts-check
import { movesThrough, quickPlan } from "../../../rules/loading.js";
import { compareLoads } from "../../../rules/units.js";

/** @typedef {import("../../../rules/plates.js").Kit} Kit */
/** @typedef {import("../../../rules/plates.js").Side} Side */
/** @typedef {import("../../../rules/units.js").Load} Load */
/** @typedef {import("../../../rules/loading.js").Plan} Plan */
/** @typedef {"looking" | "quick" | "found" | "fewest"} How a quick plan while a better one is looked for, and where none can be; the fewest moves that were found; the fewest that there are */
/** @typedef {{kit: Kit, loads: Load[], now: Side, sides: (Side | null)[], moves: number, how: How}} Planned */

/**
 * The plan of a bar's loads. A quick one is there at once; the one with the fewest moves follows from a worker. What it plans stays while
 * the bar goes along it, also when a load is added behind the others: nothing changes under the loaders' hands but for fewer moves.
 */
export class Planner {
  /** @type {Planned | null} */
  #held = null;
  /** What was asked last and answered at once. @type {Planned | null} */
  #quick = null;
  /** @type {Worker | null} */
  #worker = null;
  #busy = false;
  #fails = typeof Worker === "undefined";

  /** @param {() => void} changed a better plan has come, or none will */
  constructor(changed) {
    this.changed = changed;
  }

  /** The plates for each load, from what is on now. @param {Kit} kit @param {Load[]} loads @param {Side} now @returns {{sides: (Side | null)[], how: How}} */
  through(kit, loads, now) {
    const along = this.#along(kit, loads, now);
    if (along && along.whole) return along;
    const known = this.#quick;
    if (known && known.kit === kit && sameSide(known.now, now) && sameLoads(known.loads, loads)) return known;
    const begun = along ? along.sides : [];
    const quick = quickPlan(kit, loads.slice(begun.length), newest(begun) ?? now);
    const sides = [...begun, ...quick.sides];
    /** @type {Planned} */
    const made = { kit, loads, now, sides, moves: movesThrough(now, sides), how: quick.whole && !along ? "fewest" : this.#fails ? "quick" : "looking" };
    this.#quick = made;
    if (made.how === "fewest") this.#held = made;
    else this.#ask(made);
    return made;
  }

  /** What the plan that is held says of the first of these loads, where the bar is on its way; whole: of all of them. @param {Kit} kit @param {Load[]} loads @param {Side} now */
  #along(kit, loads, now) {
    const held = this.#held;
    if (!held || held.kit !== kit) return null;
    for (let at = 0; at < held.loads.length; at += 1) {
      const before = newest(held.sides.slice(0, at)) ?? held.now;
      if (!sameSide(before, now) && !sameSide(held.sides[at] ?? before, now)) continue;
      const left = held.loads.slice(at);
      const same = sharedLoads(left, loads);
      if (same) return { sides: held.sides.slice(at, at + same), how: held.how, whole: same === loads.length && same === left.length };
    }
    return null;
  }

  /** @param {Planned} made */
  #ask(made) {
    if (this.#fails) return;
    if (this.#busy) this.#stop();
    try {
      this.#worker ??= new Worker(new URL("../plan_worker.js", import.meta.url), { type: "module" });
    } catch {
      return this.#none();
    }
    this.#busy = true;
    this.#worker.onerror = () => this.#none();
    this.#worker.onmessage = ({ data }) => this.#take(made, data);
    this.#worker.postMessage({ kit: { ...made.kit, steps: undefined }, loads: made.loads, now: made.now });
  }

  /** @param {Planned} made @param {Plan} found */
  #take(made, found) {
    if (this.#quick !== made) return; // another question was asked since
    this.#busy = false;
    const { sides, moves } = found.moves < made.moves ? found : made;
    this.#held = { ...made, sides, moves, how: found.whole ? "fewest" : "found" };
    this.changed();
  }

  /** There is no worker: the quick plan is all there is. */
  #none() {
    this.#stop();
    this.#fails = true;
    if (this.#quick) this.#quick = { ...this.#quick, how: "quick" };
    this.changed();
  }

  #stop() {
    this.#worker?.terminate();
    this.#worker = null;
    this.#busy = false;
  }
}

/** What is on the bar after these. @param {(Side | null)[]} sides @returns {Side | undefined} */
const newest = (sides) => sides.flatMap((side) => (side ? [side] : [])).at(-1);

/** @param {Side} one @param {Side} other */
const sameSide = (one, other) => one.length === other.length && one.every((kind, place) => kind === other[place]);

/** How many of the first loads are the same. @param {Load[]} some @param {Load[]} others */
function sharedLoads(some, others) {
  const differs = others.findIndex((load, place) => !some[place] || some[place].unit !== load.unit || compareLoads(some[place], load) !== 0);
  return differs < 0 ? others.length : differs;
}

/** @param {Load[]} some @param {Load[]} others */
const sameLoads = (some, others) => some.length === others.length && sharedLoads(some, others) === others.length;
