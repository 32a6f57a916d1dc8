// @ts-check
import { sayLoad } from "../../../parts/loads.js";
import { Declare } from "../../../parts/declare.js";
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { markMore } from "../../../parts/more.js";
import { laneKit } from "../../../parts/onbar.js";
import { itemLine } from "./list.js";
import { linesFor } from "./wall.js";
import { movementsOf, taskText, whoText } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

const MOST_STANDARDS = 6; // those of a meet with its signals; more would not be read in a rest
const FEW_LINES = 5; // of a list; with more it stands close, in columns, so that all of it is seen at once

/** Rest: what to prepare and check next. Before a lift, its first load can be declared already. */
export class RestView {
  #stamp = "";
  /** @type {number | null} */
  #win = null;
  #declaring = false;

  /** @param {Lane} lane @param {import("./side.js").TakeBack} takeBack */
  constructor(lane, takeBack) {
    this.lane = lane;
    this.takeBack = takeBack;
    this.words = el("div", { class: "rest-words" });
    markMore(this.words);
    this.barPart = el("div", { class: "rest-bar" });
    this.declare = new Declare((load) => this.#declare(load));
    this.declarePart = el("div", { class: "rest-declare", hidden: true }, this.declare.node);
    this.toDeclare = button("", () => this.#turn(!this.#declaring), { class: "press", role: "declare-early", hidden: true });
    this.foot = el("div", { class: "rest-foot" }, this.toDeclare, takeBack.node);
    this.node = el("div", { class: "resting" }, this.words, this.declarePart, this.barPart, this.foot);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.takeBack.show(scene);
    const { format, tally, sheet } = this.lane;
    const declared = scene.win === null ? null : tally.windows[scene.win].declaration;
    const stamp = `${sheet}/${scene.win}/${declared}`;
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    this.#win = scene.win;
    if (scene.win === null) fill(this.words, el("h2", {}, say("No more work in this heat")));
    else this.#next(format.windows[scene.win]);
    const load = this.lane.marks().find((mark) => mark.id === declared)?.body.load;
    fill(this.barPart, load ? el("p", { class: "rest-load" }, say("On the bar: "), el("b", { role: "load" }, sayLoad(load))) : null);
    this.toDeclare.hidden = !this.#oneLifts();
    this.#turn(false);
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    return this.#declaring && this.declare.keypad.typed(event);
  }

  /** Whether the coming window is a lift by one known member: only then is it clear whose load is declared. It is the judge's to do. */
  #oneLifts() {
    if (this.#win === null || this.lane.counter !== "lane") return false;
    const window = this.lane.format.windows[this.#win];
    const one = this.lane.format.members === 1 || (Array.isArray(window.who) && window.who.length === 1);
    return one && this.lane.format.tasks[/** @type {string} */ (window.task)].kind === "lift";
  }

  /** @param {boolean} declaring */
  #turn(declaring) {
    this.#declaring = declaring;
    setData(this.node, "declaring", declaring);
    this.declarePart.hidden = !declaring;
    this.barPart.hidden = declaring;
    setText(this.toDeclare, declaring ? say("Back to the standards") : this.barPart.textContent ? say("Change the load") : say("Declare a load"));
    if (declaring) this.#begin(/** @type {number} */ (this.#win));
  }

  /** @param {number} win */
  #begin(win) {
    const { format, tally } = this.lane;
    const task = format.tasks[/** @type {string} */ (format.windows[win].task)];
    const stands = this.lane.marks().find((mark) => mark.id === tally.windows[win].declaration)?.body.load ?? null;
    this.declare.begin({ task, kit: laneKit(this.lane.packet, task), unit: format.unit, last: null, from: stands, stands, attemptsLeft: task.attempts ?? null });
  }

  /** @param {any} load */
  #declare(load) {
    this.lane.mark("declare", { load, by: "judge" }, this.#win);
  }

  /** @param {import("./words.js").Window} window */
  #next(window) {
    const { format, entry } = this.lane;
    const [movement] = movementsOf(format, /** @type {string} */ (window.task));
    const items = format.tasks[/** @type {string} */ (window.task)].items ?? [];
    setData(this.words, "many", items.length > FEW_LINES);
    fill(
      this.words,
      el("p", { class: "rest-label" }, say("Get ready for")),
      el("h2", { class: "rest-who", role: "next-who" }, whoText(format, window, entry)),
      el("p", { class: "rest-task" }, taskText(format, window)),
      items.length ? el("ol", { class: "work-list", role: "coming-list" }, ...items.map((/** @type {any} */ item) => itemLine(this.lane, window.task, item))) : null,
      ...linesFor(this.lane, window).map((line) => el("p", { class: "rest-wall", role: "wall-line" }, line)),
      el("ul", { class: "standards" }, ...(movement.standards ?? []).slice(0, MOST_STANDARDS).map((line) => el("li", {}, line))),
      el("ul", { class: "cautions" }, ...(movement.cautions ?? []).map((line) => el("li", {}, line))),
    );
  }
}
