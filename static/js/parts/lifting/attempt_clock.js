// @ts-check
import { hoursText } from "../../words/clock_times.js";
import { say } from "../../words/say.js";
import { el, setData, setText } from "../dom.js";

/** @typedef {import("../../rules/lifting/attempt_clock.js").Runs} Runs */

/** What is left of an attempt's time, whole seconds rounded up as on every other clock. @param {number} left ms */
export const attemptTime = (left) => hoursText(Math.ceil(Math.max(0, left) / 1000));

/** The same in words. @param {number} left ms @param {boolean} floor whether the bar begins on the floor */
export function attemptWords(left, floor) {
  if (left <= 0) return say("The time for this attempt is over");
  const time = attemptTime(left);
  return floor ? say("{time} until the bar must leave the floor", { time }) : say("{time} until the bar must leave the rack", { time });
}

/** How long the bar may still stay in its rack, where an attempt has a time of its own. */
export class AttemptClock {
  #warned = 0;

  constructor() {
    this.node = el("p", { class: "attempt-clock", role: "attempt-clock", hidden: true });
  }

  /** @param {any} task @param {Runs | null} runs @param {number | null} ms on the heat clock; null while it is not known */
  frame(task, runs, ms) {
    this.node.hidden = runs === null || ms === null || ms < runs.since;
    if (runs === null || ms === null || this.node.hidden) return;
    const left = runs.over - ms;
    const hurry = left <= (task.warn_seconds ?? 0) * 1000;
    setText(this.node, attemptWords(left, task.rack === false));
    setData(this.node, "tone", hurry || left <= 0 ? "look" : null);
    if (!hurry || this.#warned === runs.since) return;
    this.#warned = runs.since;
    navigator.vibrate?.([60, 80, 60]);
  }
}
