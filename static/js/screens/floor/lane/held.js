// @ts-check
import { el, setData, setText } from "../../../parts/dom.js";
import { timeLeft } from "../../../parts/timing.js";
import { ByHand } from "./by_hand.js";
import { resultText } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

const ON_WORDS = [say("Resume"), "1", "2", "3"];

/** A heat that is held: the clock stands, nobody works, the last mark can be taken back. Then the countdown to going on. */
export class HeldView {
  #stamp = "";

  /** @param {Lane} lane @param {import("./side.js").TakeBack} takeBack */
  constructor(lane, takeBack) {
    this.lane = lane;
    this.takeBack = takeBack;
    this.number = el("p", { class: "countdown", role: "held", "aria-live": "off" });
    this.soFar = el("p", { class: "held-so-far", role: "held-so-far" });
    this.words = el("p", { class: "held-words" });
    this.byHand = new ByHand({
      words: say("The desk can't be reached. If the heat resumes anyway, resume this clock on the whistle; the sheet will say so."),
      arm: say("Resume by hand"),
      tap: say("Tap on the whistle"),
      act: () => this.lane.hand.goOn(),
    });
    const foot = el("div", { class: "rest-foot" }, takeBack.node);
    this.node = el("div", { class: "setting holding" }, this.number, this.soFar, this.words, this.byHand.node, foot);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    const key = `${this.lane.key}/${this.lane.reading()?.ms}`;
    if (key !== this.#stamp) this.byHand.turn(false);
    this.#stamp = key;
    this.takeBack.show(scene);
    setText(this.soFar, scene.win === null ? "" : say("So far: {result}. No tap counts now.", { result: resultText(this.lane.format, this.lane.tally.windows[scene.win]) }));
    this.byHand.node.hidden = !this.lane.hand.mayHold;
  }

  /** @param {number} ms on the heat clock @param {import("./state.js").Reading} reading @param {import("./heats.js").Scene} scene */
  frame(ms, { left_ms }, scene) {
    const seconds = left_ms === null ? null : Math.ceil(left_ms / 1000);
    setText(this.number, seconds === null ? say("heat.held") : (ON_WORDS[seconds] ?? String(seconds)));
    setData(this.number, "counts", seconds !== null);
    setData(this.number, "near", seconds !== null && seconds <= 3);
    const left = timeLeft(scene.until - ms); // as the clock above it says
    const stands = say("The clock is stopped with {minutes}{tenths} left.", { minutes: left.minutes, tenths: left.tenths });
    setText(this.words, seconds === null ? `${stands} ${say("Nobody works; the desk says when it resumes.")}` : `${stands} ${say("It continues from there.")}`);
  }
}
