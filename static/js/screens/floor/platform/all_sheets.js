// @ts-check
import { button, el, fill, setText } from "../../../parts/dom.js";
import { sayLoad } from "../../../parts/loads.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Platform} Platform */
/** @typedef {import("./state.js").OnLane} OnLane */

/** After the last bell, the sheets of all lifters of a flight on one list: read, then signed together, each by a mark of its own. */
export class AllSheets {
  #drawn = "";

  /** @param {Platform} platform @param {() => void} changed */
  constructor(platform, changed) {
    this.platform = platform;
    this.changed = changed;
    this.rows = el("ol", { class: "all-sheets", role: "all-sheets" });
    this.name = el("input", { id: "all-sheets-name", role: "all-sheets-name", maxlength: 120, autocomplete: "off", oninput: () => this.#label() });
    this.sign = button("", () => this.#sign(), { class: "press", role: "sign-all" });
    this.signing = el("div", { class: "all-sheets-sign" }, el("label", { for: "all-sheets-name" }, say("Judge's name")), this.name, this.sign);
    this.node = el("section", { class: "all-sheets-part" }, el("h2", {}, say("All sheets of this flight")), this.rows, this.signing);
  }

  render() {
    const { platform } = this;
    const rows = platform.lanes.map((lane) => ({ name: lane.heat.assignment.entry.name, tries: triesOf(lane), by: platform.signedBy(lane), lot: lane.lot }));
    this.node.hidden = rows.length < 2;
    const stamp = JSON.stringify([rows, platform.heat?.assignment.lane]);
    if (stamp === this.#drawn) return;
    this.#drawn = stamp;
    const here = platform.heat?.assignment.lane;
    const state = (/** @type {string} */ by) => (by ? say("signed by {name}", { name: by }) : say("not signed yet"));
    fill(this.rows, ...rows.map(({ name, tries, by, lot }) => el("li", {}, button(name, () => platform.pick(lot), { class: "press quiet", "aria-pressed": String(lot === here) }), el("span", {}, tries || "–"), el("span", { class: "soft" }, state(by)))));
    this.signing.hidden = !this.#open.length;
    this.#label();
  }

  /** The lanes whose sheet this seat has not signed. @returns {OnLane[]} */
  get #open() {
    return this.platform.lanes.filter((lane) => !this.platform.signedBy(lane));
  }

  #label() {
    setText(this.sign, say("sheets.sign", { n: this.#open.length }));
    this.sign.disabled = !this.name.value.trim();
  }

  #sign() {
    const name = this.name.value.trim().replace(/\s+/g, " ");
    for (const { heat } of this.#open) this.platform.markOn(heat, "sign", { who: "judge", name }, null);
    this.changed();
  }
}

/** A lifter's tries, lift by lift: `100 kg ✓ 105 kg ✗`. @param {OnLane} lane */
function triesOf({ tally }) {
  const each = tally.windows.map(({ lifts }) => lifts.map((/** @type {any} */ lift) => `${sayLoad(lift.load)} ${lift.again ? "↺" : lift.good ? "✓" : "✗"}`).join("  "));
  return each.filter(Boolean).join(" · ");
}
