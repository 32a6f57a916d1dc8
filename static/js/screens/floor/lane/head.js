// @ts-check
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { HURRY_MS, bigNumber } from "../../../parts/big_number.js";
import { Ribbon } from "../../../parts/ribbon.js";
import { NO_TIME, timeLeft } from "../../../parts/timing.js";
import { MANY } from "./members/tiles.js";
import { nextText, taskText, whoText } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("./heats.js").Scene} Scene */

const WORK = new Set(["count", "list", "lift", "measure"]);

/** Who is on the floor, the clock of this window, the ribbon of the whole event, and what comes next in words. */
export class Head {
  /** @type {Ribbon | null} */
  #ribbon = null;
  #scene = "";

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.who = el("p", { class: "head-who", role: "who" });
    this.task = el("p", { class: "head-task", role: "task" });
    this.minutes = el("span");
    this.tenths = el("span", { class: "clock-tenths" });
    this.clock = el("p", { class: "clock head-clock", role: "clock" }, this.minutes, this.tenths);
    this.of = el("p", { class: "head-of soft" });
    this.ribbonPlace = el("div", { class: "head-ribbon" });
    this.next = el("p", { class: "head-next", role: "next" });
    this.node = el("section", { class: "head", "aria-label": say("The heat clock") }, el("div", { class: "head-words" }, this.who, this.task), el("div", { class: "head-time" }, this.clock, this.of), this.ribbonPlace, this.next);
  }

  /** Draws the ribbon of another heat. */
  turn() {
    this.#ribbon = new Ribbon(this.lane.format, this.lane.trackNames);
    setData(this.node, "crowded", this.lane.format.members > MANY);
    this.#scene = "";
    fill(this.ribbonPlace, this.#ribbon.node);
  }

  /** @param {number} ms on the heat clock @param {Scene} scene */
  frame(ms, scene) {
    const left = scene.late ? 0 : scene.until - ms;
    const { minutes, tenths, cap } = this.#number(ms, scene, left);
    setText(this.minutes, this.lane.closed ? NO_TIME : minutes);
    setText(this.tenths, scene.view === "after" ? "" : tenths);
    setData(this.clock, "hurry", !scene.late && !scene.held && scene.view !== "after" && left <= HURRY_MS);
    setData(this.clock, "held", scene.held ?? false);
    setText(this.of, cap && say("clock.cap", { cap }));
    setData(this.node, "capped", cap !== "");
    this.#ribbon?.show(ms);
    this.#words(ms, scene);
  }

  /** What every clock of the hall shows. @param {number} ms @param {Scene} scene @param {number} left until its bell */
  #number(ms, scene, left) {
    const window = scene.win === null || !(WORK.has(scene.view) || scene.held) ? null : this.lane.format.windows[scene.win];
    if (window && scene.win !== null && this.lane.event.up?.includes(scene.win)) return bigNumber({ ...window, up: true }, Math.min(ms, scene.until));
    return { ...timeLeft(scene.view === "after" ? 0 : left), cap: "" };
  }

  /** Without a clock: the first window's whole length stands still. */
  still() {
    const first = this.lane.format.windows.find((window) => window.task != null);
    setText(this.minutes, timeLeft((first?.seconds ?? 0) * 1000).minutes);
    setText(this.tenths, "");
    setText(this.of, say("first window"));
    setData(this.node, "capped", false);
    setData(this.clock, "hurry", false);
    setData(this.node, "view", "before");
    setText(this.who, say("Waiting for GO"));
    setText(this.task, this.lane.event.name);
    setText(this.next, nextText(this.lane.format, this.lane.entry, -1));
    this.#ribbon?.show(-1);
    this.#scene = "";
  }

  /** Words change when the scene does, and in a rest each second; not at each frame. @param {number} ms @param {Scene} scene */
  #words(ms, scene) {
    const second = scene.view === "rest" ? Math.ceil(ms / 1000) : "";
    const turn = WORK.has(scene.view) || scene.held ? this.lane.turns.words(scene.win) : "";
    const stamp = `${scene.view}/${scene.win}/${scene.late}/${scene.held}/${second}/${turn}`;
    if (stamp === this.#scene) return;
    this.#scene = stamp;
    const { format, entry } = this.lane;
    const window = scene.win === null ? null : format.windows[scene.win];
    setData(this.node, "view", scene.view);
    if (scene.held) this.#say(say("heat.held"), window ? `${turn || whoText(format, window, entry)}: ${taskText(format, window)}` : say("rest"));
    else if (scene.view === "set") this.#say(say("Get ready"), say("GO comes from the desk"));
    else if (scene.view === "after") this.#say(this.lane.closed ? say("Closed early") : say("The last bell"), say("The sheet is below"));
    else if (scene.view === "rest" || !window) this.#say(say("rest"), window ? say("until the next window") : say("until the last bell"));
    else this.#say(turn || whoText(format, window, entry), taskText(format, window));
    setText(this.next, scene.view === "after" ? "" : nextText(format, entry, scene.late ? ms - 1 : ms));
  }

  /** @param {string} who @param {string} task */
  #say(who, task) {
    setText(this.who, who);
    setText(this.task, task);
  }
}
