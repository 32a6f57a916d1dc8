// @ts-check
/** Who may make which mark when, and what it then does. Of the same table as app/rules/records/authority.py; a test walks every cell. */
import { endMs, lengthMs, startMs } from "./clock.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./rows.js").Moment} Moment */

/**
 * What a mark does that a device makes at its place: "refused" if it may not make it.
 * @param {{id: string, role: string, sheet?: string}} device
 * @param {Mark} mark
 * @param {Mark | null} about the mark that a strike-out names, if it is known
 * @param {Moment} moment
 * @returns {string}
 */
export function effectOf(device, mark, about, moment) {
  const seat = Object.values(ROWS.seats).find(({ role, sheet }) => role === device.role && sheet === (device.sheet ?? "lane"));
  const cells = seat?.cells[mark.sheet.split("/")[2]]?.[mark.kind];
  if (!seat || !cells) return "refused";
  const { by, own } = seat.how[mark.kind] ?? { by: [], own: [] };
  if (by.length && !by.includes(mark.body.by)) return "refused";
  if (own.length && !(about && about.device === device.id && own.includes(about.kind))) return "refused";
  return cells[ROWS.moments.indexOf(moment)];
}

/** The moment of a mark. @param {any} format @param {number} at ms on the heat clock @param {boolean} signed whether the event is @returns {Moment} */
export function momentOf(format, at, signed) {
  if (signed) return "signed";
  if (at < 0) return "before";
  const windows = /** @type {any[]} */ (format.windows);
  if (windows.some((window) => window.task != null && startMs(window) <= at && at < endMs(window))) return "work";
  return at < lengthMs(format) ? "rest" : "after";
}
