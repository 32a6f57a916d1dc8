// @ts-check
/** What a judge should know about this tablet, one line on the strip. A warning is a function here: empty while all is well. */

import { NOBODY_KNOWS_MS } from "./heats.js";

/** @typedef {import("./state.js").Lane} Lane */

/** Whether another tablet counts this lane too, and which of the two counts. @param {Lane} lane */
function twoTablets(lane) {
  const { heat, tally, packet } = lane;
  const extra = heat ? tally.flags.filter((/** @type {any} */ flag) => flag.why === "second-tablet") : [];
  if (!extra.length) return "";
  const mine = lane.marks().some((mark) => mark.device === packet.device.id && mark.id === extra.at(-1).mark);
  return mine ? "Another tablet counts this lane: yours does not count. Call the desk." : "Another tablet counts this lane too. Yours counts. Call the desk.";
}

/** A heat whose clock began on the whistle, not from the desk's GO. @param {Lane} lane */
function startedByHand(lane) {
  return lane.reading()?.clock === "hand" ? "Clock started by hand on the whistle." : "";
}

/** A clock that may be off: it slept, it was set, the page was away, the desk's computer was changed. @param {Lane} lane */
export function clockUnsure(lane) {
  const { unsureMs } = lane;
  if (!unsureMs) return "";
  const { online } = lane.tablet.link;
  if (unsureMs >= NOBODY_KNOWS_MS) return `Nobody knows how far this clock is off.${online ? " Ask the desk." : ""}`;
  return `This clock may be ${spanText(unsureMs)} off${online ? ". Ask the desk." : " until the desk answers."}`;
}

/** @param {number} ms rounded up, to what is easily said */
function spanText(ms) {
  const seconds = Math.ceil(ms / 1000);
  if (seconds < 120) return `${seconds} s`;
  return seconds < 7200 ? `${Math.ceil(seconds / 60)} min` : `${Math.ceil(seconds / 3600)} h`;
}

/** Most urgent first. @type {((lane: Lane) => string)[]} */
const WARNINGS = [
  ({ tablet }) => tablet.outbox.loss,
  ({ tablet }) => tablet.outbox.trouble,
  twoTablets,
  clockUnsure,
  ({ tablet }) => tablet.deskTrouble,
  ({ tablet }) => tablet.room.sentence,
  startedByHand,
];

/** The one warning to show now; empty when all is well. @param {Lane} lane */
export function warning(lane) {
  for (const warn of WARNINGS) {
    const said = warn(lane);
    if (said) return said;
  }
  return "";
}
