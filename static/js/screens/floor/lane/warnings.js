// @ts-check
/** What a judge should know about this tablet, one line on the strip. A warning is a function here: empty while all is well. */

/** @typedef {import("./state.js").Lane} Lane */

const UNSURE_MS = 1000; // a count is not told from the next by less

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

/** A heat whose GO the desk had to find anew, and nobody vouches for: its own computer was changed. @param {Lane} lane */
function goUnsure(lane) {
  const reading = lane.reading();
  if (!reading || lane.closed || reading.clock === "hand" || reading.bound < UNSURE_MS || (lane.heat?.run?.bound_ms ?? 0) === 0) return "";
  return lane.heat?.run?.bound_ms === null ? "The desk's computer was changed: nobody knows how far this clock is off." : `This clock may be ${offText(reading.bound)} off.`;
}

/** @param {number} ms */
const offText = (ms) => `${Math.ceil(ms / 1000)} s`;

/** Most urgent first. @type {((lane: Lane) => string)[]} */
const WARNINGS = [
  ({ tablet }) => tablet.outbox.loss,
  ({ tablet }) => tablet.outbox.trouble,
  twoTablets,
  ({ tablet }) => tablet.deskTrouble,
  ({ tablet }) => tablet.room.sentence,
  startedByHand,
  goUnsure,
];

/** The one warning to show now; empty when all is well. @param {Lane} lane */
export function warning(lane) {
  for (const warn of WARNINGS) {
    const said = warn(lane);
    if (said) return said;
  }
  return "";
}
