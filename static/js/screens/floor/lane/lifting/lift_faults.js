// @ts-check
import { button, el, fill } from "../../../../parts/dom.js";
import { sayLoad } from "../../../../parts/loads.js";
import { markMore } from "../../../../parts/more.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */
/** @typedef {import("../../../../device/outbox.js").Mark} Mark */

/** Asks for the fault of a "no lift" that is on the sheet already, so that nothing waits for the answer. */
export class LiftFaults {
  /** The "no lift" whose fault has not been named. @type {Mark | null} */
  unnamed = null;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.node = el("div", { class: "lift-faults", role: "faults", hidden: true });
    markMore(this.node);
  }

  /** Asks about a lift; a good one has none. @param {Mark} mark @param {{id: string, name: string}[]} faults */
  ask(mark, faults) {
    this.unnamed = mark.body.good || !faults.length ? null : mark;
    if (this.unnamed === null) return;
    const choices = faults.map((fault) => button(fault.name, () => this.#name(fault.id), { class: "press fault", "data-fault": fault.id }));
    fill(this.node, el("p", { class: "faults-title" }, say("No lift, {load} is recorded. Why?", { load: sayLoad(mark.body.load) })), ...choices, button(say("Another reason, or not sure"), () => this.#name(null), { class: "press quiet" }));
  }

  /** Drops the question. */
  drop() {
    this.unnamed = null;
  }

  /** Shows the question while it stands: taken back meanwhile, the lift needs no fault. */
  render() {
    if (this.unnamed && this.lane.tally.struck.includes(this.unnamed.id)) this.unnamed = null;
    this.node.hidden = this.unnamed === null;
  }

  /** Puts the fault on the sheet: the mark without it is struck out, and made again at its own time with it. @param {string | null} fault */
  #name(fault) {
    const plain = this.unnamed;
    this.unnamed = null;
    this.node.hidden = true;
    const { outbox } = this.lane.tablet;
    if (plain && fault) {
      outbox.together(() => {
        this.lane.strike(plain);
        this.lane.mark("lift", { ...plain.body, fault }, plain.win, plain.at);
      });
    }
    outbox.changed();
  }
}
