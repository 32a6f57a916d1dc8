// @ts-check
/** How many marks one seat makes on one sheet at most. Twin of app/rules/count/beyond.py, where the rule is said in words. */
import { lengthMs } from "./clock.js";
import { byText } from "./order.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * The marks without those that came from a seat beyond the bound; these are flagged.
 * @param {Map<string, Mark>} marks by id @param {any} format @param {{mark: string, why: string}[]} flags @returns {Map<string, Mark>}
 */
export function butForBeyond(marks, format, flags) {
  const most = ROWS.hands.beside + Math.floor((ROWS.hands.per_second * lengthMs(format)) / 1000);
  if (marks.size <= most) return marks;
  /** @type {Map<string, number>} */
  const came = new Map();
  const kept = new Map(marks);
  const number = (/** @type {Mark} */ mark) => mark.receipt?.number ?? 0;
  const received = [...marks.values()].filter(({ receipt, kind }) => receipt && kind !== "stop");
  for (const mark of received.sort((a, b) => number(a) - number(b) || byText(a.id, b.id))) {
    const seat = mark.receipt?.seat ?? "";
    came.set(seat, (came.get(seat) ?? 0) + 1);
    if ((came.get(seat) ?? 0) <= most) continue;
    flags.push({ mark: mark.id, why: "too-many" });
    kept.delete(mark.id);
  }
  return kept;
}
