// @ts-check
/** Until when an opener may be changed before its heat begins: the desk says when that will probably be, for marks from before the GO have no time. */
import { earlier } from "../../../../parts/timing.js";
import { readAt, said } from "../../../../rules/lifting/bars.js";
import { clockSaid } from "../hand_clock.js";

/** @typedef {import("../state.js").Lane} Lane */

/**
 * Until when openers of a window may be changed before the heat's GO, by when it will probably start, and whether that is over. Null where no
 * rule ends them before the GO, where the GO is known, or where it can't be said when the heat begins: another is still to come first.
 * @param {Lane} lane @param {number} win @returns {{text: string, over: boolean} | null}
 */
export function openersUntil(lane, win) {
  const { heat, packet } = lane;
  const window = heat ? lane.format.windows[win] : null;
  const before = lane.format?.tasks[window?.task ?? ""]?.opener_seconds;
  if (!heat?.planned || !window || before == null || before < window.start || lane.reading()) return null;
  const { timesync } = lane.tablet;
  const starts = packet.told?.boot === timesync.boot ? packet.starts?.[heat.id] : undefined;
  const since = starts?.at === undefined || lane.coming?.id !== heat.id ? null : timesync.heatMs(starts.at, `${heat.id}/planned`);
  if (since === null) return null;
  const early = before - window.start;
  return { text: earlier(starts.time, early), over: since > -early * 1000 };
}

/** Whether the end of openers hangs on when the heat at hand will start: a day that runs late takes it along. @param {Lane} lane */
export function startMatters(lane) {
  const { heat } = lane;
  const tasks = heat?.planned ? Object.values(lane.format.tasks) : [];
  return tasks.some((/** @type {any} */ task) => task.opener_seconds != null) && !lane.reading();
}

/** At which moment somebody here would declare, as the mark would say it: 0 before a GO is known, and once openers end before it, never in time. @param {Lane} lane @param {number} win */
export function declaresAt(lane, win) {
  const now = lane.reading();
  if (!now) return readAt(openersUntil(lane, win)?.over ? Infinity : 0);
  const { device, epoch } = lane.tablet.outbox;
  return said({ at: Math.round(now.ms), err: Math.ceil(now.bound), device, epoch, body: clockSaid(now, "declare") });
}
