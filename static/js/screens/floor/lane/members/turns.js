// @ts-check
/** Whose turn it is in a window that members share, as far as this lane knows. */

import { sharers } from "../../../../rules/turns.js";
import { memberName } from "../words.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */

export class Turns {
  /** Whom the judge has picked: until another try is judged, or another number entered. @type {{member: number, attempt: string} | null} */
  #picked = null;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
  }

  /** @param {number} win @param {number | null} member null to ask again */
  pick(win, member) {
    this.#picked = member === null ? null : { member, attempt: this.#attempt(win) };
  }

  /** Whom the judge has picked for the next attempt, or null. @param {number} win */
  picked(win) {
    return this.#picked?.attempt === this.#attempt(win) ? this.#picked.member : null;
  }

  /** Who is at it: whoever declared, or was picked to lift; where work is counted, whoever did the last of it. @param {number} win @returns {number | null} */
  at(win) {
    const { format, tally } = this.lane;
    const { kind } = format.tasks[/** @type {string} */ (format.windows[win].task)];
    if (kind === "measure") return this.picked(win);
    if (kind !== "lift") return this.#worked(win);
    const declared = this.lane.standing().find(({ id }) => id === tally.windows[win].declaration);
    return declared?.body.member ?? this.picked(win);
  }

  /** Whose the last repetition was, good or not. @param {number} win @returns {number | null} */
  #worked(win) {
    const theirs = this.lane.standing().filter(({ kind, win: of, body }) => of === win && body.member && (kind === "rep" || kind === "norep"));
    return theirs.at(-1)?.body.member ?? null;
  }

  /** The same in words, where members share the window; empty elsewhere. @param {number | null} win */
  words(win) {
    const { format, entry } = this.lane;
    if (win === null || !sharers(format, format.windows[win]).length) return "";
    const member = this.at(win);
    if (member !== null) return memberName(entry, member);
    return format.tasks[/** @type {string} */ (format.windows[win].task)].kind === "lift" ? say("Who lifts?") : say("Who works?");
  }

  /** @param {number} win */
  #attempt(win) {
    const done = this.lane.standing().filter(({ kind, win: of }) => of === win && (kind === "lift" || kind === "measure"));
    return `${this.lane.sheet}/${win}/${done.length}`;
  }
}
