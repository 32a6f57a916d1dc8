// @ts-check
/** @typedef {import("../../device/outbox.js").Mark} Mark */

/**
 * The marks on all sheets of a lane that were not taken back, in their order. What was on the lane judge's own sheet its tally says; what
 * another referee did and took back stands on that referee's sheet, of which the tally by all knows nothing.
 * @param {{marks: readonly Mark[], tally: {struck: string[]}}} lane @returns {Mark[]}
 */
export function notTakenBack({ marks, tally }) {
  const own = marks.filter(({ kind, sheet }) => kind === "strike" && !sheet.endsWith("/lane"));
  const struck = new Set([...tally.struck, ...own.map(({ body }) => body.mark)]);
  return marks.filter(({ id }) => !struck.has(id));
}
