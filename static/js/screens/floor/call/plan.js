// @ts-check
import { button, el, fill, setText } from "../../../parts/dom.js";
import { sayLoad } from "../../../parts/loads.js";
import { compareLoads } from "../../../rules/units.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../parts/loads.js").Load} Load */

/** The lifter's plan as a line of loads: one is added from the choice, one is taken out by a tap. */
export class PlanPanel {
  /** @type {Load[]} */
  #plan = [];
  #shown = "";

  /** @param {(plan: Load[]) => void} say @param {() => Load | null} chosen @param {(load: Load) => void} choose */
  constructor(say, chosen, choose) {
    this.say = say;
    this.chosen = chosen;
    this.choose = choose;
    this.list = el("ol", { class: "plan-list" });
    this.add = button("", () => this.#add(), { class: "quiet plan-add", role: "plan-add" });
    this.node = el("section", { class: "call-plan", role: "plan", "aria-label": say("Planned loads") }, el("h2", { class: "plan-title" }, say("Planned loads")), this.list, this.add);
  }

  /** @param {Load[]} plan @param {boolean} told whether the desk has told it: until then nobody here may write another over it */
  show(plan, told) {
    const stamp = JSON.stringify([plan, told]);
    if (stamp !== this.#shown) {
      this.#shown = stamp;
      this.#plan = plan;
      fill(this.list, ...plan.map((load, at) => this.#item(load, at)));
      const nothing = told ? say("Nothing planned.") : say("Not known here until the desk is reached.");
      if (!plan.length) fill(this.list, el("li", { class: "soft" }, nothing));
    }
    const chosen = this.chosen();
    this.add.disabled = !told || !chosen || plan.some((load) => compareLoads(load, chosen) === 0);
    setText(this.add, chosen ? say("Add {load} to the plan", { load: sayLoad(chosen) }) : say("Add to the plan"));
  }

  /** @param {Load} load @param {number} at */
  #item(load, at) {
    const take = button(sayLoad(load), () => this.choose(load), { class: "plain", role: "plan-load" });
    const out = button("×", () => this.say(this.#plan.filter((_, i) => i !== at)), { class: "plain plan-out", "aria-label": say("Take {load} out of the plan", { load: sayLoad(load) }) });
    return el("li", { class: "plan-item" }, take, out);
  }

  #add() {
    const chosen = this.chosen();
    if (chosen) this.say([...this.#plan, chosen].sort(compareLoads));
  }
}
