// @ts-check
/** What a judge should know about this tablet, one line on the strip. A warning is a function here: empty while all is well. */

import { NOBODY_KNOWS_MS } from "./heats.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

/** What was marked last beside another tablet, and does not count. @param {Lane} lane @param {(win: number | null) => boolean} where */
function besideAnother(lane, where) {
  const extra = new Set(lane.tally.flags.filter((/** @type {any} */ { why }) => why === "second-tablet").map((/** @type {any} */ { mark }) => mark));
  return lane.standing().filter(({ id, win }) => extra.has(id) && where(win)).at(-1) ?? null;
}

/** Whether another tablet counts in place of this one in a window. @param {Lane} lane @param {number | null} win */
export function countedElsewhere(lane, win) {
  return besideAnother(lane, (where) => where === win)?.device === lane.packet.device.id;
}

/** Whether another tablet counts this lane too, and which of the two counts. @param {Lane} lane */
function twoTablets(lane) {
  const extra = lane.heat && besideAnother(lane, () => true);
  if (!extra) return "";
  const mine = extra.device === lane.packet.device.id;
  return mine ? say("Another tablet counts this lane: yours does not count. Call the desk.") : say("Another tablet counts this lane too. Yours counts. Call the desk.");
}

/** A heat whose clock began on the whistle, not from the desk's GO. @param {Lane} lane */
function startedByHand(lane) {
  return lane.reading()?.clock === "hand" ? say("Clock started by hand on the whistle.") : "";
}

/** A clock that may be off: it slept, it was set, the page was away, the desk's computer was changed; an attempt's, on a tablet that started it. @param {Lane} lane */
export function clockUnsure(lane) {
  const { shownUnsureMs: unsureMs } = lane.hand;
  if (!unsureMs) return "";
  const { online } = lane.tablet.link;
  if (unsureMs >= NOBODY_KNOWS_MS) return online ? say("Nobody knows how far off this clock is. Ask the desk.") : say("Nobody knows how far off this clock is.");
  return online ? say("This clock may be {span} off. Ask the desk.", { span: spanText(unsureMs) }) : say("This clock may be {span} off until the desk answers.", { span: spanText(unsureMs) });
}

/** @param {number} ms rounded up, to what is easily said */
function spanText(ms) {
  const seconds = Math.ceil(ms / 1000);
  if (seconds < 120) return say("{seconds} s", { seconds });
  return seconds < 7200 ? say("{minutes} min", { minutes: Math.ceil(seconds / 60) }) : say("{hours} h", { hours: Math.ceil(seconds / 3600) });
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
