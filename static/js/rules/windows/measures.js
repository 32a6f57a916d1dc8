// @ts-check
/** The numbers read off in a window, and which of them counts. Twin of app/rules/count/fold_windows.py. */
import { compare, exact, plus } from "../fractions.js";
import { decimalText, roundTo } from "../units.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../tally.js").Flag} Flag */
/** @typedef {import("../fractions.js").Fraction} Fraction */

/** @param {any} task @param {Mark[]} marks @param {Flag[]} flags @returns {string | null} */
export function measured(task, marks, flags) {
  const [step, low, high] = [exact(task.step), exact(task.low), exact(task.high)];
  const values = [];
  for (const mark of marks.filter((one) => one.kind === "measure")) {
    const value = exact(mark.body.value);
    if (compare(value, low) < 0 || compare(value, high) > 0) {
      flags.push({ mark: mark.id, why: "out-of-bounds" });
      continue;
    }
    const stepped = roundTo(value, step, task.rounding);
    if (compare(stepped, value) !== 0) flags.push({ mark: mark.id, why: "off-step" });
    values.push(stepped);
  }
  return values.length ? decimalText(values.reduce(KEEP[/** @type {keyof typeof KEEP} */ (task.keep)]), 6) : null;
}

/** Which of several measured numbers counts. */
const KEEP = {
  best: (/** @type {Fraction} */ a, /** @type {Fraction} */ b) => (compare(a, b) < 0 ? b : a),
  least: (/** @type {Fraction} */ a, /** @type {Fraction} */ b) => (compare(a, b) > 0 ? b : a),
  sum: plus,
  last: (/** @type {Fraction} */ _, /** @type {Fraction} */ b) => b,
};
