// @ts-check
/** Who may make which mark when, and what it then does. Of the same table as app/rules/records/authority.py; a test walks every cell. */
import { endMs, lengthMs, startMs } from "./clock.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./rows.js").Moment} Moment */

/** The seat that a device has. @param {{role: string, sheet?: string}} device */
export const seatOf = (device) => Object.values(ROWS.seats).find(({ role, sheet }) => role === device.role && sheet === (device.sheet ?? "lane"));

/**
 * What a mark does that a device makes at its place: "refused" if it may not make it.
 * @param {{id: string, role: string, sheet?: string}} device
 * @param {Mark} mark
 * @param {Mark | null} about the mark that a strike-out names, if it is known
 * @param {Moment} moment
 * @returns {string}
 */
export function effectOf(device, mark, about, moment) {
  const seat = seatOf(device);
  const cells = seat?.cells[mark.sheet.split("/")[2]]?.[mark.kind];
  if (!seat || !cells) return "refused";
  const { by, own } = seat.how[mark.kind] ?? { by: [], own: [] };
  if (by.length && !by.includes(mark.body.by)) return "refused";
  if (own.length && !(about && about.device === device.id && own.includes(about.kind))) return "refused";
  return cells[ROWS.moments.indexOf(moment)];
}

/** The moment of a mark by its own time. @param {any} format @param {number} at ms on the heat clock @param {boolean} signedOff whether the event is @returns {Moment} */
export function momentOf(format, at, signedOff) {
  if (signedOff) return "signed-off";
  if (at < 0) return "before";
  const windows = /** @type {any[]} */ (format.windows);
  if (windows.some((window) => window.task != null && startMs(window) <= at && at < endMs(window))) return "work";
  return at < lengthMs(format) ? "rest" : "after";
}

/**
 * The moment that what the desk knew puts a mark at; null where it knew nothing against the mark's own time, or that is not known.
 * @param {Mark} mark
 * @param {boolean} given the desk has given the mark's run a GO by now
 * @returns {Moment | null}
 */
export function momentAtReceipt({ kind, at, err, body, receipt }, given) {
  if (!receipt || (ROWS.kinds[kind]?.prepares && at <= 0)) return null;
  if (receipt.clock === undefined) return (body.hand || receipt.again) && !given ? "by-hand" : "no-run";
  if (receipt.wall) return null;
  const said = body.hand ? 0 : at + (body.held ?? 0);
  return said > receipt.clock + Math.min(err, ROWS.believed_ms) ? "ahead" : null;
}

/**
 * Whose word a mark is, whoever brought it; null where that is not known.
 * @param {Mark} mark @param {Mark | null} about what a strike-out names @returns {string | null}
 */
function voice(mark, about) {
  const spoken = about?.device === mark.device ? voice(about, null) : null;
  const speaks = Object.entries(ROWS.seats).find(([, { how }]) => how[mark.kind]?.by.includes(mark.body.by));
  return spoken ?? speaks?.[0] ?? mark.receipt?.seat ?? null;
}

/**
 * Whether a mark that is here waits for a ruling at a moment, by the table.
 * @param {Mark} mark @param {Moment} moment @param {Mark | null} [about] what a strike-out names @returns {boolean}
 */
export function waits(mark, moment, about = null) {
  const cells = ROWS.seats[voice(mark, about) ?? ""]?.cells[mark.sheet.split("/")[2]]?.[mark.kind];
  return cells?.[ROWS.moments.indexOf(moment)] === "waits";
}
