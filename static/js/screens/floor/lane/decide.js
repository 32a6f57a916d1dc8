// @ts-check
import { AttemptClock } from "../../../parts/lifting/attempt_clock.js";
import { attemptMarks, CROSS, TICK } from "../../../parts/lifting/attempts.js";
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { lights, showLights } from "../../../parts/lifting/lights.js";
import { otherText, sayLoad } from "../../../parts/loads.js";
import { markAside, markMore } from "../../../parts/more.js";
import { onLand } from "../../../parts/press.js";
import { faultName } from "../../../rules/faults.js";
import { attemptClock } from "../../../rules/lifting/attempt_clock.js";
import { toDecide } from "../../../rules/platform/to_decide.js";
import { markGiven, verdict } from "./lifting/decided.js";
import { LiftFaults } from "./lifting/lift_faults.js";
import { TakeBack } from "./side.js";
import { memberName, standardsText } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../../../rules/platform/to_decide.js").Try} Try */

/** A second or third judge's part of a lift: the load that the lane's judge read out, and this judge's own decision. */
export class DecideView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;

  /** @param {Lane} lane @param {{node: HTMLElement, render: (scene: any) => void}} beside shown where one judge decides */
  constructor(lane, beside) {
    this.lane = lane;
    this.beside = beside;
    this.load = el("output", { class: "bar-load", role: "load" });
    this.other = el("p", { class: "bar-other" });
    this.by = el("p", { class: "bar-by soft" });
    this.says = el("p", { class: "lift-says", role: "decide-says", "aria-live": "polite" });
    this.good = verdict(say("lift.good"), "good-lift", TICK);
    this.no = verdict(say("lift.no"), "no-lift", CROSS);
    this.lights = lights();
    this.clock = new AttemptClock();
    this.faults = new LiftFaults(lane);
    this.standards = el("p", { class: "what-counts soft", role: "what-counts" });
    this.line = el("ol", { class: "attempts", role: "attempts", tabindex: 0, "aria-label": say("Attempts so far") });
    this.takeBack = new TakeBack(lane);
    onLand(this.good, () => this.#judge(true));
    onLand(this.no, () => this.#judge(false));
    markAside(this.line);
    const middle = el("div", { class: "bar-read" }, this.by, this.load, this.other, this.lights, this.clock.node, this.says, this.standards, this.faults.node);
    markMore(middle);
    const foot = el("div", { class: "lift-foot" }, this.line, this.takeBack.node);
    this.deciding = el("div", { class: "lifting" }, el("div", { class: "judging" }, this.good, middle, this.no), foot);
    this.node = el("div", { class: "deciding" }, this.deciding, beside.node);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const task = this.#task;
    const three = task.judges === 3;
    this.deciding.hidden = !three;
    this.beside.node.hidden = three;
    if (!three) return this.beside.render(scene);
    this.faults.render();
    this.#show(this.#try(), standardsText(this.lane.format.movements[task.movement]));
    const joined = this.lane.judged.windows[/** @type {number} */ (scene.win)];
    fill(this.line, ...attemptMarks(joined.lifts, joined.best?.mark ?? null, (fault) => faultName(this.lane.format, scene.win, fault), this.lane.whose));
    this.takeBack.show(scene);
  }

  /** @param {number} ms on the heat clock */
  frame(ms) {
    if (this.#scene?.win == null || this.deciding.hidden) return;
    this.clock.frame(this.#task, this.#scene.late ? null : attemptClock(this.lane.judged.windows[this.#scene.win]), ms);
  }

  get #task() {
    const { format } = this.lane;
    return format.tasks[/** @type {string} */ (format.windows[/** @type {number} */ (this.#scene?.win)].task)];
  }

  /** Whether this judge has still to decide: a lift begun before the bell is decided after it. */
  waiting() {
    if (this.#scene?.win == null) return false;
    const now = this.#try();
    return now !== null && now.mine === null;
  }

  /** @param {Try | null} now @param {string} counts what makes the lift good */
  #show(now, counts) {
    setData(this.deciding, "step", this.faults.unnamed ? "fault" : now?.mine ? "waits" : "out");
    setText(this.standards, now?.mine ? "" : counts);
    for (const key of [this.good, this.no]) key.toggleAttribute("disabled", now === null || now.mine !== null);
    markGiven(this.good, this.no, now?.mine ? now.mine.good : null);
    const load = now?.declared.body.load;
    setText(this.load, load ? sayLoad(load) : "–");
    setText(this.other, load ? otherText(load) : "");
    const { members } = this.lane.format;
    setText(this.by, now && members > 1 && now.declared.body.member ? memberName(this.lane.entry, now.declared.body.member) : "");
    setText(this.says, now === null ? say("Wait for the load.") : now.mine === null ? "" : say("You: {light}", { light: say(now.mine.good ? "lift.was_good" : "lift.was_no") }));
    showLights(this.lights, now?.mine ? this.#joined(now) : null);
  }

  /** All judges' decisions on a try. @param {Try} now */
  #joined(now) {
    const { lifts } = this.lane.judged.windows[/** @type {number} */ (this.#scene?.win)];
    const under = lifts.filter((/** @type {any} */ lift) => lift.declared === now.declared.id);
    const same = under.find((/** @type {any} */ lift) => now.begun !== null && lift.begun === now.begun) ?? under.at(-1);
    return same ?? { lights: this.#alone(now), doubt: "waiting", good: now.mine.good };
  }

  /** This judge's light alone, while the lane's judge has not decided. @param {Try} now */
  #alone(now) {
    return ["lane", "second", "third"].map((kind) => (kind === this.lane.counter ? now.mine.good : null));
  }

  /** What is on the floor: the bar that left its rack last, else the declaration that stands. @returns {Try | null} */
  #try() {
    const win = /** @type {number} */ (this.#scene?.win);
    const marks = this.lane.standing().filter((mark) => mark.win === win);
    return toDecide(marks, this.lane.tally.windows[win], this.lane.judged.windows[win]);
  }

  /** Whether the fault of a lift is asked for. */
  get asks() {
    return this.faults.unnamed !== null;
  }

  /** Another sheet is at hand: what was asked about the one before is asked no more. */
  turned() {
    this.faults.drop();
  }

  /** @param {boolean} good */
  #judge(good) {
    const now = this.#try();
    if (!now || now.mine !== null) return;
    const { load, member } = now.declared.body;
    const body = { load, good, declared: now.declared.id, ...(now.begun ? { begun: now.begun } : {}), ...(member ? { member } : {}) };
    const win = /** @type {number} */ (this.#scene?.win);
    const mark = this.lane.mark("lift", body, win);
    navigator.vibrate?.(good ? 20 : [20, 60, 20]);
    this.faults.ask(mark, this.lane.format.movements[this.#task.movement].faults ?? []);
  }
}
