// @ts-check
import { Declare } from "../../../../parts/declare.js";
import { button, el, fill, setText } from "../../../../parts/dom.js";
import { sayLoad } from "../../../../parts/loads.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */
/** @typedef {import("../../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../../../../parts/loads.js").Load} Load */

/** What was really on the bar, typed by the judge; what follows from it is the event's rule. */
export class WrongLoad {
  /** The declaration it is about. @type {Mark | null} */
  #about = null;
  #uneven = false;
  /** @type {number | null} */
  #win = null;

  /** @param {Lane} lane @param {() => void} done */
  constructor(lane, done) {
    this.lane = lane;
    this.done = done;
    this.title = el("p", { class: "wrong-title" });
    this.uneven = button(say("Its two ends differed"), () => this.#turn(), { class: "press quiet", role: "uneven", "aria-pressed": "false" });
    this.declare = new Declare((load) => this.#say(load));
    this.node = el("div", { class: "choosing wrong-load", role: "wrong-load" }, el("div", { class: "wrong-head" }, this.title, this.uneven), this.declare.node);
  }

  /** Whether the question is on the screen. */
  get open() {
    return this.#about !== null;
  }

  /** @param {Mark} about the declaration whose bar it was @param {any} task @param {number | null} win */
  ask(about, task, win) {
    this.#about = about;
    this.#uneven = false;
    this.#win = win;
    setText(this.title, say("{load} was declared. What was really on the bar?", { load: sayLoad(about.body.load) }));
    this.uneven.setAttribute("aria-pressed", "false");
    const free = { ...task, step: { amount: "0.5", unit: task.step.unit }, may_go_down: true };
    this.declare.begin({ task: free, unit: this.lane.format.unit, last: null, stands: null, from: about.body.load, attemptsLeft: null, verb: true });
  }

  close() {
    this.#about = null;
  }

  #turn() {
    this.#uneven = !this.#uneven;
    this.uneven.setAttribute("aria-pressed", String(this.#uneven));
  }

  /** @param {Load} load */
  #say(load) {
    const about = /** @type {Mark} */ (this.#about);
    const { member } = about.body;
    this.#about = null;
    this.lane.mark("loaded", { load, by: "judge", declared: about.id, ...(member ? { member } : {}), ...(this.#uneven ? { uneven: true } : {}) }, this.#win);
    this.done();
  }
}

/** The lifter's choice after a bar that was loaded wrong, asked until it is made. */
export class LifterChooses {
  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.node = el("div", { class: "lifter-chooses", role: "lifter-chooses", hidden: true });
  }

  /** @param {any} found the window's tally @param {number} win */
  render(found, win) {
    const open = new Set(this.lane.tally.flags.filter((/** @type {any} */ flag) => flag.why === "misload-choose").map((/** @type {any} */ flag) => flag.mark));
    const lift = found.lifts.filter((/** @type {any} */ one) => open.has(one.mark)).at(-1);
    this.node.hidden = !lift;
    if (!lift) return;
    const asked = lift.asked ?? lift.load;
    fill(
      this.node,
      el("p", {}, say("Loaded wrong: {load}, not {other}. The lifter chooses:", { load: sayLoad(lift.on_bar ?? lift.load), other: sayLoad(asked) })),
      button(say("Keep {load}", { load: sayLoad(lift.load) }), () => this.#choose(lift, true, win), { class: "press", role: "keep-load" }),
      button(say("Lift {load} again", { load: sayLoad(asked) }), () => this.#choose(lift, false, win), { class: "press", role: "lift-again" }),
    );
  }

  /** Says the same load once more, with the choice. @param {any} lift @param {boolean} keep @param {number} win */
  #choose(lift, keep, win) {
    const said = this.lane.standing().filter((mark) => mark.kind === "loaded" && mark.body.declared === lift.declared).at(-1);
    const { load = lift.on_bar ?? lift.load, uneven = undefined } = said?.body ?? {};
    const more = { ...(lift.member ? { member: lift.member } : {}), ...(uneven ? { uneven } : {}) };
    this.lane.mark("loaded", { load, by: "judge", declared: lift.declared, keep, ...more }, win);
  }
}
