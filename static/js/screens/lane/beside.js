// @ts-check
import { el, setText } from "../../parts/dom.js";
import { TakeBack } from "./side.js";

/** @typedef {import("./state.js").Lane} Lane */

/** What a second or third counter shows where only the lane judge's record counts. */
class BesideView {
  /** @param {Lane} lane @param {string} title @param {string} words */
  constructor(lane, title, words) {
    this.takeBack = new TakeBack(lane);
    this.title = el("h2", { role: "beside" });
    setText(this.title, title);
    const foot = el("div", { class: "rest-foot" }, this.takeBack.node);
    this.node = el("div", { class: "resting" }, el("div", { class: "rest-words" }, this.title, el("p", {}, words)), foot);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.takeBack.show(scene.win);
  }
}

/** The views of windows in which a counter beside the judge has nothing to do: only counted repetitions are joined. @param {Lane} lane */
export function beside(lane) {
  const rest = "You count again in the next window of repetitions.";
  return {
    lift: new BesideView(lane, "The lane judge judges the lifts", `Loads and lifts are on the judge's tablet alone. ${rest}`),
    list: new BesideView(lane, "The lane judge walks through the work list", `The list is on the judge's tablet alone. ${rest}`),
    measure: new BesideView(lane, "The lane judge writes the number down", `The measure is on the judge's tablet alone. ${rest}`),
  };
}
