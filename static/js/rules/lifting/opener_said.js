// @ts-check
/** What a lifter began a run with, or meant to. Twin of app/rules/count/lifting/opener_said.py, where the rule is said in words. */
import { byOrder } from "../order.js";
import { REFUSALS } from "./next_attempt.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../units.js").Load} Load */

/** The declarations that the event's rules did not let stand. @param {{mark: string, why: string}[]} flags of their sheet @returns {Set<string>} */
export const refusedIn = (flags) => new Set(flags.filter(({ why }) => REFUSALS.some((one) => one === why)).map(({ mark }) => mark));

/**
 * The load of a member's first try in a window, else what stands declared for it; null where nobody declared.
 * @param {readonly Mark[]} marks of one run of a lane, with those taken back @param {number} window @param {number} member
 * @param {boolean} alone nobody else lifts in the window @param {Set<string>} refused what the rules did not let stand @returns {Load | null}
 */
export function openerSaid(marks, window, member, alone, refused) {
  const struck = new Set(marks.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  const there = marks.filter(({ id, win }) => win === window && !struck.has(id)).sort(byOrder);
  const declared = new Map(there.filter(({ kind }) => kind === "declare").map((mark) => [mark.id, mark]));
  /** @type {Load | null} */
  let stands = null;
  for (const { id, kind, body } of there) {
    const under = declared.get(body.declared);
    const whose = body.member ?? under?.body.member ?? (alone ? member : null);
    if (whose !== member || !["declare", "begun", "lift"].includes(kind)) continue;
    if (kind === "declare") {
      stands = refused.has(id) ? stands : body.load;
      continue;
    }
    const asked = under?.body.load ?? (body.declared == null ? stands : null);
    const tried = asked ?? (kind === "lift" ? body.load : null);
    if (tried) return tried;
  }
  return stands;
}
