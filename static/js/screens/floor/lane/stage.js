// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { cuesOf } from "../../../parts/cues.js";
import { Signals } from "../../../parts/signals.js";
import { stillFor, timeText } from "../../../parts/timing.js";
import { beside } from "./beside.js";
import { CountView } from "./count.js";
import { Head } from "./head.js";
import { HeldView } from "./held.js";
import { LiftView } from "./lifting/lift.js";
import { ListView } from "./list.js";
import { MeasureView } from "./measure.js";
import { Menu, handNow } from "./menu.js";
import { NotCounting } from "./not_counting.js";
import { RestView } from "./rest.js";
import { TakeBack } from "./side.js";
import { AfterView } from "./sheet/after.js";
import { SheetsToSign } from "./sheet/to_sign.js";
import { Strip } from "./strip.js";
import { Again } from "./taken_back.js";
import { BeforeView, SetView } from "./waiting.js";
import { known, say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {{node: HTMLElement, render: (scene: any) => void, frame?: (ms: number, reading: import("./state.js").Reading, scene: import("./heats.js").Scene) => void, press?: () => void, typed?: (event: KeyboardEvent) => boolean, waiting?: () => boolean, turned?: () => void, asks?: boolean}} View */

const GO_MS = 1000; // a tablet that wakes later shows the count, with nothing over it
const BEFORE = { scene: /** @type {any} */ ({ view: "before", win: null, late: false, until: 0 }), until: 0 };

/** The lane screen: the strip, the head, and below them the one view that the moment asks for. Redrawn at most once a frame. */
export class Stage {
  #dirty = true;
  #shown = "";
  /** @type {View | null} */
  #view = null;

  /** @param {Lane} lane @param {HTMLElement} root */
  constructor(lane, root) {
    this.lane = lane;
    this.root = root;
    this.signals = new Signals(root);
    this.menu = new Menu(lane, this.signals, () => this.#turnHand());
    this.strip = new Strip(lane, () => this.menu.open());
    this.head = new Head(lane);
    this.again = new Again(lane);
    this.work = el("section", { class: "work", "aria-label": say("Judging") });
    this.stopped = el("p", { class: "stopped", role: "stopped", hidden: true });
    this.lift = new LiftView(lane);
    this.count = new CountView(lane);
    this.before = new BeforeView(lane, new SheetsToSign(lane, (heat) => this.#open(heat)));
    /** @type {Record<string, View>} */
    this.views = {
      before: this.before,
      set: new SetView(lane),
      count: this.count,
      ...(lane.wholeSheet ? { list: new ListView(lane), lift: this.lift, measure: new MeasureView(lane) } : beside(lane)),
      rest: new RestView(lane, new TakeBack(lane)),
      held: new HeldView(lane, new TakeBack(lane)),
      after: new AfterView(lane, () => this.#leave(), (heat) => this.#open(heat)),
    };
    this.toSign = new SheetsToSign(lane, (heat) => this.#open(heat)); // where no heat is to come
    this.notCounting = new NotCounting(lane, () => this.#view?.press?.());
    fill(root, this.strip.node, this.head.node, this.stopped, this.again.node, this.work, this.menu.node);
    this.#turnHand();
    addEventListener("keydown", (event) => this.#key(event));
    addEventListener("keyup", (event) => event.key === " " && this.#ours(event) && event.preventDefault());
  }

  /** Says that something changed; the next step shows it. */
  touch() {
    this.#dirty = true;
  }

  /** One step: the time, and what it asks for. @returns {number} how many ms the screen can stand still */
  step() {
    const { lane } = this;
    if (lane.turn()) this.#turned();
    const reading = lane.heat && lane.reading();
    const { scene, until } = reading ? lane.scene(reading, this.#shown === "lift" && this.views.lift.waiting?.() === true) : BEFORE;
    const stamp = `${lane.key}/${scene.view}/${scene.win}/${scene.late}/${scene.held}/${reading?.standing && reading.left_ms === null}`;
    if (stamp !== this.#stamp) lane.sound.look();
    this.signals.step(lane.closed ? null : reading);
    if (this.#dirty || stamp !== this.#stamp) this.#render(scene, stamp, reading?.ms ?? -1);
    if (!lane.heat) return Infinity;
    if (!reading) {
      this.head.still();
      return Infinity;
    }
    this.head.frame(reading.ms, /** @type {any} */ (scene));
    this.#view?.frame?.(reading.ms, reading, /** @type {any} */ (scene));
    if (scene.view === "after") return Infinity;
    return reading.standing ? Math.min(until, reading.left_ms === null ? Infinity : reading.left_ms % 1000) : stillFor(until);
  }

  #stamp = "";

  /** Another heat is at hand. */
  #turned() {
    const { lane } = this;
    this.#shown = "";
    for (const view of Object.values(this.views)) view.turned?.();
    const cues = lane.heat ? cuesOf(lane.format) : [];
    this.signals.follow(cues);
    lane.sound.follow(cues, () => (lane.heat && !lane.closed ? lane.reading() : null));
    if (lane.heat) this.head.turn();
    this.#dirty = true;
  }

  /** @param {any} scene @param {string} stamp @param {number} ms on the heat clock */
  #render(scene, stamp, ms) {
    this.#dirty = false;
    this.#stamp = stamp;
    this.strip.render();
    this.again.render(scene);
    setData(this.root, "again", !this.again.node.hidden);
    this.head.node.hidden = !this.lane.heat;
    if (!this.lane.heat) return this.#nothing();
    setData(this.root, "view", scene.view);
    setData(this.root, "late", scene.late);
    this.#view = this.views[scene.view];
    if (this.#shown !== scene.view) {
      // GO is seen as well as heard. It lies over the first view for a moment, lets every touch through, and goes by itself (CSS).
      const go = this.#shown === "set" && ms >= 0 && ms < GO_MS ? el("p", { class: "go-now", "aria-hidden": "true" }, "GO") : null;
      fill(this.work, this.#view.node, this.notCounting.node, go);
    }
    this.#shown = scene.view;
    this.#view.render(scene);
    this.notCounting.render(scene);
    this.#view.node.hidden = !this.notCounting.node.hidden;
    this.#showStop();
    this.lane.hand.settle();
  }

  #nothing() {
    this.#view = null;
    this.#shown = "";
    setData(this.root, "view", "nothing");
    const words = this.lane.packet.heats.length ? say("All heats of this lane are judged. Thank you.") : say("No heat has an entry on this lane yet. It will appear here.");
    this.toSign.render();
    fill(this.work, el("div", { class: "nothing" }, el("p", { role: "nothing" }, words), this.toSign.node));
  }

  #showStop() {
    const stop = this.lane.stopped();
    this.stopped.hidden = !stop;
    if (!stop) return;
    const words = el("span", { class: "state", "data-state": "stopped" }, say("Stopped at {time}: {why}", { time: timeText(stop.at), why: known(stop.body.why) }));
    fill(this.stopped, words, button(say("Take back the stop"), () => this.lane.strike(stop), { role: "unstop" }));
  }

  #leave() {
    this.lane.leave();
    this.#turned();
  }

  /** @param {import("./heats.js").Heat} heat */
  #open(heat) {
    this.lane.open(heat);
    this.#turned();
  }

  #turnHand() {
    setData(this.root, "hand", handNow());
  }

  /** Keys are for the screen unless somebody is typing or a control has them. @param {KeyboardEvent} event */
  #ours(event) {
    const at = event.target;
    if (this.menu.node.open || this.root.hidden || !this.root.isConnected) return false; // another screen lies over this one
    if (!(at instanceof HTMLElement) || at === document.body || at.dataset.role === "count-target") return true;
    return event.key !== " " && at.closest(".members-grid, .side") !== null; // a space there is a touch on what has the focus
  }

  /** Space counts, Shift and space is a no rep, Backspace takes back. @param {KeyboardEvent} event */
  #key(event) {
    if (!this.#ours(event) || event.ctrlKey || event.altKey || event.metaKey) return;
    const view = /** @type {any} */ (this.#view);
    if (view?.typed?.(event)) event.preventDefault();
    else if (event.key === " " && view?.press) {
      event.preventDefault();
      if (event.repeat) return;
      if (event.shiftKey) view.noRep.act();
      else view.press();
    } else if (event.key === "Backspace" && view?.takeBack && !event.repeat) {
      event.preventDefault();
      view.takeBack.act();
    }
  }
}

/** Shows one sentence in place of the screen. @param {HTMLElement} root @param {string} words */
export function sayOnly(root, words) {
  const line = el("p", { class: "notice", "data-tone": "look" });
  setText(line, words);
  fill(root, el("div", { class: "only" }, el("h1", {}, "Lane Ledger"), line, el("p", {}, el("a", { class: "button act", href: "/pair" }, say("Pair this tablet")))));
}
