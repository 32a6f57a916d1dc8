// @ts-check
import { el, setData, setText } from "../../../parts/dom.js";
import { timeText } from "../../../parts/timing.js";

/** How long the bar may still stay in its rack, where an attempt has a time of its own. */
export class AttemptClock {
  #warned = "";

  constructor() {
    this.node = el("p", { class: "attempt-clock", role: "attempt-clock", hidden: true });
  }

  /**
   * @param {any} task @param {any} found the window's tally @param {boolean} runs whether the bar is waited for
   * @param {number} ms on the heat clock @param {string} out what the bar does when the lift begins
   */
  frame(task, found, runs, ms, out) {
    this.node.hidden = task.attempt_seconds == null || !runs || found.free_ms == null || ms < found.free_ms;
    if (this.node.hidden) return;
    const left = found.free_ms + task.attempt_seconds * 1000 - ms;
    const hurry = left <= (task.warn_seconds ?? 0) * 1000;
    setText(this.node, left > 0 ? `${timeText(left)} until the bar must ${out}` : "The time for this attempt is over");
    setData(this.node, "tone", hurry || left <= 0 ? "look" : null);
    if (!hurry || this.#warned === String(found.free_ms)) return;
    this.#warned = String(found.free_ms);
    navigator.vibrate?.([60, 80, 60]);
  }
}
