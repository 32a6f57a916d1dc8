// @ts-check
/** What stands declared at a moment, what a declaration made now replaces, and what is said of changes and of the rule's own load. */
import { changesAllowed, leftNeeded, overdue } from "../../../rules/lifting/next_attempt.js";
import { say } from "../../../words/say.js";
import { sayLoad } from "../../../parts/loads.js";
import { timeText } from "../../../parts/timing.js";

/** @typedef {import("../../../rules/units.js").Load} Load */
/** @typedef {import("../../../rules/lifting/next_attempt.js").NextAttempt} NextAttempt */

/**
 * What a declaration made now replaces (`changing`), whether what stands was `judged`, and what is declared `already`: it is not declared
 * a second time. After a miss the same load is the next attempt, unless the rule lets the lifter try again under the one that stands.
 * @template {{id: string}} M @param {any} task @param {any} found the window's tally @param {M | null} standing @param {M | null} waiting
 */
export function declaredNow(task, found, standing, waiting) {
  const judged = found.lifts.some((/** @type {any} */ lift) => lift.declared === standing?.id);
  const changing = found.begun ? waiting : judged ? null : standing;
  return { judged, changing, already: judged ? (task.tries_until_racked ? standing : null) : changing };
}

/** The load that stands by the rule at a moment, nobody having declared; null for none. @param {NextAttempt | null} coming @param {number} ms @returns {Load | null} */
export function byRule(coming, ms) {
  return coming && coming.load === null && overdue(coming, ms, 0) ? coming.auto : null;
}

/** What is said of the rule's load while nobody has declared: which it is, and when it comes; empty where no rule puts one in. @param {NextAttempt | null} coming @param {number} ms */
export function ruleWords(coming, ms) {
  if (!coming?.auto || coming.load !== null || coming.due_ms === null) return "";
  const load = sayLoad(coming.auto);
  return overdue(coming, ms, 0) ? say("{load} stands by the rule: nobody has declared.", { load }) : say("{load} by the rule in {time}, unless another load is declared.", { load, time: timeText(coming.due_ms - ms) });
}

/** How long a load may still be declared or changed while the attempt's clock runs; empty where that has no end of its own, or is over. @param {any} task @param {NextAttempt | null} coming @param {number} ms */
export function timeWords(task, coming, ms) {
  const needs = coming ? leftNeeded(task, coming) : null;
  if (!coming || needs === null || coming.since_ms === null || coming.seconds === null) return "";
  const left = coming.since_ms + (coming.seconds - needs) * 1000 - ms;
  return left > 0 ? say("It can be changed for {time}.", { time: timeText(left) }) : "";
}

/** How many changes are left, once a load is declared, and until when an opener may be changed; empty where they are not limited. @param {any} task @param {NextAttempt | null} coming @param {{text: string, over: boolean} | null} until */
export function changesWords(task, coming, until) {
  const most = coming ? changesAllowed(task, coming.number) : null;
  const open = coming?.number === 1 && until && most !== 0 ? (until.over ? say("Openers could be changed until {time}.", { time: until.text }) : say("Openers may be changed until {time}.", { time: until.text })) : "";
  if (!coming?.own || most === null || until?.over) return open;
  return [most > coming.changes ? say("changes_left", { n: most - coming.changes }) : say("No change left."), open].filter(Boolean).join(" ");
}
