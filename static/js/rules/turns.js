// @ts-check
/** Who may work in a window, and where it must be said whose each mark is. Twin of app/rules/workout/turns.py; both pass tests/vectors/turns.json. */
import { endMs, startMs } from "./clock.js";

/** The members who may work in a window, 1 is A. @param {any} format @param {{who: any}} window @returns {number[]} */
export function membersIn({ members }, { who }) {
  return Array.isArray(who) ? who : Array.from({ length: members }, (_, i) => i + 1);
}

/**
 * The members of whom any may do what is done in a window: of each mark it must be said whose it is. Empty where that is plain, or the
 * work is done together.
 * @param {any} format @param {any} window @param {any} [item] the line of its work list
 * @returns {number[]}
 */
export function sharers(format, window, item = null) {
  const members = membersIn(format, window);
  if (window.task == null || members.length < 2) return [];
  const any = (item?.who ?? window.who) === "any" || format.tasks[window.task].kind === "lift";
  return any ? members : [];
}

/** The one member whom a line of a work list names, if they may work in its window; else null. @param {any} format @param {any} window @param {any} item @returns {number | null} */
export function namedIn(format, window, { who }) {
  return Array.isArray(who) && who.length === 1 && membersIn(format, window).includes(who[0]) ? who[0] : null;
}

/**
 * The lift window that a member's declaration made now is for: their own that is open, else the next one of theirs. Null after the
 * last.
 * @param {any} format @param {number} member @param {number | null} ms on the heat clock; null before a GO is known
 * @returns {number | null}
 */
export function declaresIn(format, member, ms) {
  const theirs = /** @type {any[]} */ (format.windows)
    .map((window, index) => ({ window, index }))
    .filter(({ window }) => window.task != null && format.tasks[window.task].kind === "lift" && membersIn(format, window).includes(member))
    .sort((a, b) => startMs(a.window) - startMs(b.window));
  return theirs.find(({ window }) => ms === null || ms < endMs(window))?.index ?? null;
}
