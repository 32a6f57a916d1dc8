// @ts-check
/** What the head judge's rulings do to the lifts of one sheet. Twin of what app/rules/count/ruled_marks.py and lights.py say of lifts. */

import { atAnother } from "./bars.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("./judged.js").Verdict} Verdict */
/** @typedef {{mark: string, good: boolean, fault?: string, member?: number, at?: number}} RuledLift at: the moment on the heat clock at which it is counted; in the order made */

/** The marks with every lift as the rulings have it; the newest on a lift holds. @param {Map<string, Mark>} marks by id @param {RuledLift[]} [ruled] @returns {Map<string, Mark>} */
export function judgedAnew(marks, ruled = []) {
  const changed = new Map(marks);
  for (const { mark: id, at, ...said } of ruled) {
    const mark = marks.get(id);
    if (mark?.kind !== "lift") continue;
    const { fault: _, ...body } = mark.body;
    const anew = { ...mark, body: { ...body, ...said } };
    changed.set(id, at == null ? anew : atAnother(anew, at));
  }
  return changed;
}

/** The lifts that the newest ruling on each calls good: what a wrong clock took is restored by it. @param {RuledLift[]} [ruled] */
export function creditedBy(ruled = []) {
  return new Set([...new Map(ruled.map(({ mark, good }) => [mark, good]))].flatMap(([mark, good]) => (good ? [mark] : [])));
}

/** The verdicts of several judges, where a ruling on a lift takes their place. @param {Map<string, Verdict>} verdicts @param {RuledLift[]} [ruled] @returns {Map<string, Verdict>} */
export function butForRulings(verdicts, ruled = []) {
  const good = new Map(ruled.map((one) => [one.mark, one.good]));
  return new Map([...verdicts].map(([mark, made]) => [mark, good.has(mark) ? { ...made, good: good.get(mark) === true, doubt: null } : made]));
}
