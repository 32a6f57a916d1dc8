// @ts-check
/** Who declares for what at a moment, of those on a lane: the call screen's question, and a coach's of each lifter. */
import { ofMember } from "../platform/refusals.js";
import { byRule, declaredNow } from "../platform/standing.js";
import { attemptsLeft, liftsOf } from "../../../rules/lifts.js";
import { declaresIn, membersIn } from "../../../rules/turns.js";

/** @typedef {import("../lane/state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

/** Those who have a lift to come, each with the window of it, and the first of those windows. @param {Lane} lane @param {number | null} ms @returns {{turns: Map<number, number>, floor: number | null}} */
export function liftsAhead(lane, ms) {
  const { format } = lane.heat ? lane : { format: null };
  const members = format ? membersIn(format, { who: "any" }) : [];
  const turns = new Map(members.flatMap((member) => [[member, declaresIn(format, member, ms)]]).filter(([, win]) => win !== null));
  const floor = [...turns.values()].sort((a, b) => lane.format.windows[a].start - lane.format.windows[b].start)[0] ?? null;
  return { turns, floor };
}

/**
 * How it stands with the next lift of a lane's lifter in a window.
 * @typedef {object} Stand
 * @property {any} task
 * @property {any} found the window's tally, as far as it is about that lifter
 * @property {Mark | null} standing what is declared for the lift at the bar
 * @property {Mark | null} waiting what is declared for the one after it
 * @property {import("../../../rules/units.js").Load | null} ruled the load that stands by the rule
 * @property {number | null} left attempts that may still be declared; null for as many as time allows
 * @property {boolean} silent nothing is declared for the lift to come, and nothing stands by the rule
 */

/** @param {Lane} lane @param {number} win @param {number} member @returns {Stand} */
export function standOf(lane, win, member) {
  const { format, tally } = lane;
  const task = format.tasks[/** @type {string} */ (format.windows[win].task)];
  const whole = tally.windows[win];
  const mark = (/** @type {string | null} */ id) => (id ? (lane.marks().find((one) => one.id === id) ?? null) : null);
  const [standing, waiting] = [mark(whole.declaration), mark(whole.waiting)];
  const found = ofMember(format, win, whole, member);
  const { judged, already } = declaredNow(task, whole, standing, waiting);
  const ruled = already ? null : byRule(found.coming, lane.reading()?.ms ?? 0);
  const theirs = Boolean(whole.begun) && (standing?.body.member ?? member) === member;
  const mine = liftsOf(whole.lifts, member);
  const left = attemptsLeft(task, mine, theirs ? whole.declaration : null);
  return { task, found, standing, waiting, ruled, left, silent: left !== 0 && !already && !ruled && (judged || !theirs) };
}
