// @ts-check
/** What a lifter began a run with, or meant to. Twin of app/rules/count/lifting/opener_said.py, where the rule is said in words. */
import { byOrder } from "../order.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../units.js").Load} Load */

/**
 * The load of a member's first try in a window, else what was declared last for it; null where nobody declared.
 * @param {readonly Mark[]} marks of one run of a lane, with those taken back @param {number} window
 * @param {number} [member] @param {boolean} [alone] nobody else lifts in the window @returns {Load | null}
 */
export function openerSaid(marks, window, member = 1, alone = true) {
  const struck = new Set(marks.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  const there = marks.filter(({ id, win }) => win === window && !struck.has(id)).sort(byOrder);
  const own = there.filter(({ kind, body }) => kind === "declare" && (body.member ?? (alone ? member : 0)) === member);
  const mine = new Map(own.map(({ id, body }) => [id, body.load]));
  const tried = there.find(({ kind, body }) => (kind === "begun" || kind === "lift") && mine.has(body.declared));
  return (tried ? mine.get(tried.body.declared) : own.at(-1)?.body.load) ?? null;
}
