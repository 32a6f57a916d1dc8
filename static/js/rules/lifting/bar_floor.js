// @ts-check
/** The weight that the bar of a platform does not go below. Twin of app/rules/count/lifting/bar_floor.py, where the rule is said in words. */
import { byOrder } from "../order.js";
import { compareLoads } from "../units.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../units.js").Load} Load */

/** The heaviest load that the bar was called with in a window, or null. @param {Mark[]} marks of all lanes, with those taken back @param {number} window @returns {Load | null} */
export function barFloor(marks, window) {
  return through(marks, window).at(-1)?.floor ?? null;
}

/** The declarations that were below the bar when they were made, each with what it had been called with. @param {Mark[]} marks @param {number} window @returns {Map<string, Load>} */
export function declaredBelow(marks, window) {
  const low = through(marks, window).filter(({ mark, floor }) => mark.kind === "declare" && floor && compareLoads(mark.body.load, floor) < 0);
  return new Map(low.map(({ mark, floor }) => [mark.id, /** @type {Load} */ (floor)]));
}

/** @param {Mark[]} marks @param {number} window */
function through(marks, window) {
  const struck = new Set(marks.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  const loads = new Map(marks.filter(({ kind }) => kind === "declare").map(({ id, body }) => [id, body.load]));
  /** @type {Load | null} */
  let floor = null;
  const inOrder = marks.filter(({ id, win }) => win === window && !struck.has(id)).sort(byOrder);
  return inOrder.map((mark) => {
    const called = mark.kind === "called" || mark.kind === "begun" ? loads.get(mark.body.declared ?? "") : null;
    if (called && (floor === null || compareLoads(called, floor) > 0)) floor = { amount: called.amount, unit: called.unit };
    return { mark, floor };
  });
}
