// @ts-check
/** A try that one judge decided on two tablets. Twin of app/rules/count/lifting/decided_twice.py, where the rule is said in words. */
import { leftBy } from "./judged.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("./bars.js").Try} Try */

/** Which of two unlike decisions of a try should be looked at, if one should, as what is odd. @param {string} flagged @returns {[string, string][]} */
export const oddTwice = (flagged) => (flagged ? [[flagged, "decided-twice"]] : []);

/** The tries of a window that were decided twice: by the first decision's id the one that stands; the further decisions, each with the id to look at. */
export class Twices {
  /** @type {Map<string, Mark>} */
  stands = new Map();
  /** @type {Map<string, string>} */
  further = new Map();

  /** A further decision of a try. @param {{first: Try, stands: Mark, flagged: string}} twice @param {Mark} mark */
  note({ first: { mark: had }, stands, flagged }, mark) {
    const known = [...this.stands].find(([, stood]) => stood.id === had.id);
    this.stands.set(known ? known[0] : had.id, stands);
    this.further.set(mark.id, flagged);
  }

  /** Whether another decision stands than the one that was made first. */
  get turned() {
    return [...this.stands].some(([first, stood]) => stood.id !== first);
  }
}

/**
 * Whether the judge of a sheet had decided the try already that a decision names, and which of the two stands; flagged: the other's id where a person should look at it.
 * @param {import("./judged.js").Tried} tried @param {Mark} mark @param {Set<string>} admitted marks that a ruling lets count
 * @returns {{first: Try, stands: Mark, flagged: string} | null}
 */
export function decidedBefore(tried, mark, admitted) {
  const left = mark.body.begun;
  const leaving = left && tried.leaving(left);
  const first = tried.tries.find((one) => left && leftBy(one) && tried.leaving(leftBy(one) ?? "") === leaving);
  if (!first) return null;
  const [stands, other] = heardBefore(mark, first.mark) ? [mark, first.mark] : [first.mark, mark];
  if (admitted.has(other.id) && !admitted.has(stands.id)) return { first, stands: other, flagged: "" };
  const own = (/** @type {Mark} */ { id, body }) => tried.verdicts.get(id)?.lights[0] ?? body.good;
  return { first, stands, flagged: own(other) === own(stands) || admitted.has(stands.id) ? "" : other.id };
}

/** Whether the desk is known to have heard a mark before another. @param {Mark} mark @param {Mark} other */
function heardBefore({ receipt: one }, { receipt: two }) {
  return Boolean(one && two && !one.again && !two.again && one.number < two.number);
}
