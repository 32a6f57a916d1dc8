// @ts-check
import { el, setText, svg } from "../../../parts/dom.js";
import { Figure } from "../../../parts/figure.js";
import { wayAt } from "../../floor/train/movement.js";

/**
 * A drawn film: a file that says how a figure moves, played as a video is. It is what the demo films with, for a figure needs no
 * consent.
 * @typedef {{length: number, move: string, reps: import("../../floor/train/movement.js").Rep[], cards: {from: number, to: number, text: string}[]}} Script times in ms
 */

const DRAWN = "application/vnd.lane-ledger.film+json";

/** @param {File} file */
export function isDrawn(file) {
  return file.type.startsWith(DRAWN);
}

/** An element that is driven as a video's is. @param {Script} script @returns {HTMLElement} */
export function drawnPicture(script) {
  const drawing = svg("svg", { viewBox: "0 0 200 250", role: "figure", "aria-hidden": "true" });
  const card = el("p", { class: "drawn-card" });
  const node = el("div", { class: "drawn-film", "data-role": "film-picture" }, card, drawing);
  const figure = new Figure(drawing, script.move);
  const playing = new Playing(node, script.length, (at) => {
    figure.show(wayAt(script.reps, at, 0));
    setText(card, script.cards.filter((one) => one.from <= at && at < one.to).map((one) => one.text).join(" · "));
  });
  const fields = /** @type {PropertyDescriptorMap} */ ({
    currentTime: { get: () => playing.at / 1000, set: (seconds) => playing.jump(seconds * 1000) },
    duration: { get: () => script.length / 1000 },
    paused: { get: () => !playing.runs },
    playbackRate: { get: () => playing.rate, set: (rate) => playing.speed(rate) },
    readyState: { get: () => 4 },
    error: { get: () => null },
    src: { set: () => playing.say("loadedmetadata") },
    play: { value: async () => playing.start() },
    pause: { value: () => playing.stop() },
  });
  return Object.defineProperties(node, fields);
}

/** A place on a film that goes on by itself while it plays. */
class Playing {
  at = 0;
  rate = 1;
  runs = false;
  #last = 0;

  /** @param {HTMLElement} node @param {number} length ms @param {(at: number) => void} draw */
  constructor(node, length, draw) {
    this.node = node;
    this.length = length;
    this.draw = draw;
    draw(0);
  }

  /** @param {number} ms */
  jump(ms) {
    this.at = Math.min(this.length, Math.max(0, ms));
    this.draw(this.at);
    this.say("seeked");
  }

  /** @param {number} rate 1 is life */
  speed(rate) {
    this.rate = rate;
    this.say("ratechange");
  }

  start() {
    if (this.runs) return;
    if (this.at >= this.length) this.at = 0;
    this.runs = true;
    this.#last = performance.now();
    this.say("play");
    requestAnimationFrame((now) => this.#go(now));
  }

  stop() {
    this.runs = false;
    this.say("pause");
  }

  /** @param {string} news */
  say(news) {
    this.node.dispatchEvent(new Event(news));
  }

  /** @param {number} now */
  #go(now) {
    if (!this.runs) return;
    this.at = Math.min(this.length, this.at + Math.max(0, now - this.#last) * this.rate);
    this.#last = now;
    this.draw(this.at);
    this.say("timeupdate");
    if (this.at >= this.length) this.stop();
    else requestAnimationFrame((next) => this.#go(next));
  }
}
