// @ts-check
import { el, setText } from "../../../parts/dom.js";
import { DecideView } from "./decide.js";
import { TakeBack } from "./side.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

/** What a second or third counter shows where only the lane judge's record counts. */
class BesideView {
  /** @param {Lane} lane @param {string} title @param {string} words */
  constructor(lane, title, words) {
    this.lane = lane;
    this.takeBack = new TakeBack(lane);
    this.then = el("p", { class: "soft" });
    const said = el("div", { class: "rest-words" }, el("h2", { class: "rest-who", role: "beside" }, title), el("p", { class: "rest-task" }, words), this.then);
    this.node = el("div", { class: "resting" }, said, el("div", { class: "rest-foot" }, this.takeBack.node));
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.takeBack.show(scene);
    setText(this.then, this.#countsAgain(scene) ? say("You count again in the next window of repetitions.") : say("There is nothing more for you to count in this heat."));
  }

  /** @param {import("./heats.js").Scene} scene */
  #countsAgain({ win }) {
    const { windows, tasks } = this.lane.format;
    const from = win === null ? 0 : windows[win].start;
    return windows.some(({ start, task }) => start > from && task != null && tasks[task].kind === "count");
  }
}

/** The views of windows in which a counter beside the judge has nothing to do: only counted repetitions are joined, and lifts where three judges decide. @param {Lane} lane */
export function beside(lane) {
  return {
    lift: new DecideView(lane, new BesideView(lane, say("The lane judge judges the lifts"), say("Loads and lifts are on the judge's tablet alone."))),
    list: new BesideView(lane, say("The lane judge walks through the work list"), say("The list is on the judge's tablet alone.")),
    measure: new BesideView(lane, say("The lane judge writes the number down"), say("The measure is on the judge's tablet alone.")),
  };
}
