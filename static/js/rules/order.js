// @ts-check
/** The order of marks on a sheet. Of the same steps as `Mark.order` in app/rules/records/marks.py. */

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * Time, device, sequence; the id settles what could otherwise be equal.
 * @param {Mark} a @param {Mark} b
 */
export function byOrder(a, b) {
  return a.at - b.at || byText(a.device, b.device) || a.epoch - b.epoch || a.seq - b.seq || byText(a.id, b.id);
}

/** @param {string} a @param {string} b */
export function byText(a, b) {
  return a < b ? -1 : a > b ? 1 : 0;
}
