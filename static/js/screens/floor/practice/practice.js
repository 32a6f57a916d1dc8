// @ts-check
import { button, el, setText } from "../../../parts/dom.js";
import { sharers } from "../../../rules/turns.js";
import { Stage } from "../lane/stage.js";
import { taskText } from "../lane/words.js";
import { DryClock } from "./clock.js";
import { WINDOW_S, practicePacket, windowsToTry } from "./heat.js";
import { nextStep, stepWords } from "./steps.js";
import { DryLane, DryTablet } from "./tablet.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../lane/state.js").Lane} Lane */

const WINDOW_MS = WINDOW_S * 1000;
const DONE = say("That is everything.");

/** No beeps: they would be taken for the hall's. A no-rep answers as it will. @param {import("../../../parts/sound.js").Sound} sound */
function quietly(sound) {
  const nothing = () => {};
  return { on: false, follow: nothing, look: nothing, quiet: nothing, play: nothing, turn: nothing, answer: (/** @type {"norep"} */ kind) => sound.answer(kind) };
}

/** A practice heat: the lane's own screen on a tablet that keeps nothing, one window after another, each key once. */
export class Practice {
  #at = 0;

  /** @param {Lane} lane the real one, before its GO @param {() => void} onend */
  constructor(lane, onend) {
    const { heat, format, wholeSheet } = lane;
    const found = /** @type {import("../lane/heats.js").Heat} */ (heat);
    this.tried = windowsToTry(format, wholeSheet);
    this.clock = new DryClock(this.tried.length * WINDOW_MS);
    this.clock.speed = 1;
    this.clock.jump(0);
    this.tablet = new DryTablet(practicePacket(lane.packet, found, this.tried), this.clock);
    this.lane = new DryLane(this.tablet, quietly(lane.sound), onend);
    this.says = el("span", { class: "practice-says", role: "practice-says", "aria-live": "polite" });
    this.next = button("", () => this.#goOn(onend), { class: "act", role: "practice-next", hidden: true });
    this.end = button(say("End practice"), onend, { role: "practice-end" });
    const words = el("p", { class: "practice-words" }, el("b", {}, say("Practice: nothing is kept. ")), this.says);
    this.root = el("div", { class: "lane-screen", role: "practice-screen" });
    this.node = el("main", { class: "practice", role: "practice" }, el("div", { class: "practice-bar" }, words, this.next, this.end), this.root);
    this.stage = new Stage(this.lane, this.root);
  }

  /** One step: the lane's, and what is asked for next. @returns {number} how many ms the screen can stand still, negative when it is over */
  step() {
    if (this.clock.ms >= this.clock.end) return -1;
    const still = this.stage.step();
    const at = Math.floor(this.clock.ms / WINDOW_MS);
    this.#at = at;
    this.#show(at);
    return still;
  }

  /** @param {number} win */
  #show(win) {
    const { format, tally } = this.lane;
    const task = format.tasks[/** @type {string} */ (format.windows[win].task)];
    const marks = this.lane.marks().filter((mark) => mark.win === win);
    const step = nextStep(task, marks, tally.struck, tally.windows[win]);
    setText(this.says, step ? stepWords(step, task, sharers(format, format.windows[win]).length > 0) : DONE);
    const coming = format.windows[win + 1];
    this.next.hidden = step !== null;
    this.end.hidden = step === null && !coming;
    setText(this.next, coming ? say("Next: {task}", { task: taskText(format, coming) }) : say("I am ready"));
  }

  /** @param {() => void} onend */
  #goOn(onend) {
    if (this.#at + 1 === this.tried.length) return onend();
    this.clock.jump((this.#at + 1) * WINDOW_MS);
    this.tablet.changed();
  }
}
