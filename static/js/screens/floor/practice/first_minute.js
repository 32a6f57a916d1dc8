// @ts-check
import { choose, chosen } from "../../../parts/choices.js";
import { button, el, fill, setText } from "../../../parts/dom.js";
import { frames } from "../../../parts/timing.js";
import { movementsOf, standardsText } from "../lane/words.js";
import { differs } from "./differs.js";
import { windowsToTry } from "./heat.js";
import { Practice } from "./practice.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../lane/state.js").Lane} Lane */

const MET = "first-minute"; // who was met on this tablet today: {day, judges}
const ENDS = say("It takes a minute, nothing is kept, and it ends by itself before GO.");
const ENDS_ALONE = say("It takes a minute and nothing is kept. The desk can't be reached: end it when the heat is called.");

/** The words that a judge's screens are said in, to who has never judged. @param {import("../lane/words.js").Format} format @param {number} win */
function firstWords({ tasks, windows }, win) {
  const lifts = tasks[/** @type {string} */ (windows[win].task)].kind === "lift";
  const words = [say("Each tap makes a mark; marks go to the desk by themselves."), say("A window is a stretch of the clock with its own work.")];
  return [...words, lifts ? say("To declare a load is to say it before the lift.") : ""].filter(Boolean).join(" ");
}

/** The day by this tablet's own clock. */
const today = () => new Date().toDateString();

/** The judges whom this tablet has met today: they have judged here, practised, or said that they need not. */
class Met {
  /** @type {{day: string, judges: string[]}} */
  #met = { day: "", judges: [] };

  constructor() {
    try {
      this.#met = { ...this.#met, ...JSON.parse(chosen(MET, "{}")) };
    } catch {
      // What can't be read was not ours: everybody is new.
    }
  }

  /** @param {string} judge */
  has(judge) {
    return this.#met.day === today() && this.#met.judges.includes(judge);
  }

  /** @param {string} judge */
  add(judge) {
    if (this.has(judge)) return;
    const before = this.#met.day === today() ? this.#met.judges : [];
    this.#met = { day: today(), judges: [...before, judge] };
    choose(MET, JSON.stringify(this.#met));
  }
}

/**
 * A volunteer's first minute. Before a judge's first lane of the day a practice heat of the same event is offered above the checks:
 * one tap into it, one tap out of it, one tap to be asked no more. It gives way by itself when the heat has its GO.
 */
export class FirstMinute {
  #met = new Met();
  #drawn = "";
  /** @type {Practice | null} */
  #practice = null;
  #key = "";
  /** @type {import("../../../parts/timing.js").Frames | null} */
  #drawing = null;

  /** @param {Lane} lane @param {import("../lane/stage.js").Stage} stage @param {HTMLElement} root the real screen */
  constructor(lane, stage, root) {
    this.lane = lane;
    this.root = root;
    this.what = el("div", { class: "first-minute-what" });
    this.ends = el("p", { class: "soft" });
    this.words = el("p", { class: "soft first-minute-words", role: "first-words" });
    const acts = el("div", { class: "first-minute-acts" }, button(say("Try it now"), () => this.begin(), { class: "act", role: "practise" }), button(say("Skip"), () => this.#skip(), { role: "skip-practice" }));
    this.node = el("section", { class: "first-minute", role: "first-minute", "aria-label": say("Practice"), hidden: true }, this.what, this.ends, acts, this.words);
    stage.before.pages.prepend(this.node);
  }

  /** Looks whether it is still time: called with each step of the real screen. */
  step() {
    const { lane } = this;
    if (this.#practice && (lane.key !== this.#key || lane.reading() !== null)) this.end();
    if (lane.works) this.#met.add(this.#judge);
    this.node.hidden = !this.#isFirst();
    if (!this.node.hidden) this.#draw();
  }

  /** Begins to practise. */
  begin() {
    this.#met.add(this.#judge);
    this.#key = this.lane.key;
    this.#practice = new Practice(this.lane, () => this.end());
    this.root.hidden = true;
    this.root.after(this.#practice.node);
    this.#drawing ??= frames(() => this.#play());
    const { tablet, stage } = this.#practice;
    tablet.watch(() => {
      stage.touch();
      this.#drawing?.soon();
    });
    this.#drawing.soon();
  }

  /** Ends the practice, if there is one: the real screen is as it was. */
  end() {
    this.#practice?.node.remove();
    this.#practice = null;
    this.root.hidden = false;
    this.lane.tablet.changed();
  }

  #play() {
    const still = this.#practice?.step() ?? Infinity;
    if (still < 0) this.end();
    return still < 0 ? Infinity : still;
  }

  #skip() {
    this.#met.add(this.#judge);
    this.node.hidden = true;
  }

  /** The name of who judges here; empty where the plan names nobody, and then it is whoever holds this tablet. */
  get #judge() {
    return this.lane.heat?.assignment.judge ?? "";
  }

  #isFirst() {
    const { heat } = this.lane;
    if (!heat || this.lane.reading() !== null || heat.assignment.judged || this.#met.has(this.#judge)) return false;
    return windowsToTry(this.lane.format, this.lane.wholeSheet).length > 0;
  }

  #draw() {
    setText(this.ends, this.lane.tablet.link.online ? ENDS : ENDS_ALONE);
    if (this.#drawn === this.lane.key) return;
    this.#drawn = this.lane.key;
    const { format } = this.lane;
    const [win] = windowsToTry(format, this.lane.wholeSheet);
    const [movement] = movementsOf(format, /** @type {string} */ (format.windows[win].task));
    const good = standardsText(movement);
    setText(this.words, firstWords(format, win));
    fill(
      this.what,
      el("h2", {}, say("Your first lane today? Try it once.")),
      el("p", { role: "differs" }, differs(format, win)),
      good ? el("p", { role: "first-standards" }, el("b", {}, say("What counts: ")), good) : null,
    );
  }
}
