// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { Photo } from "./photo.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

const MOST_NAME = 120;

/** The equipment before a heat: each line ticked by hand, signed by name. Signed, it is a mark, and can be taken back. */
export class EquipmentCheck {
  /** @type {Set<string>} */
  #ticked = new Set();
  #key = "";
  #shown = "";

  /** @param {Lane} lane @param {() => void} changed */
  constructor(lane, changed) {
    this.lane = lane;
    this.changed = changed;
    this.title = el("h2", {}, say("The equipment"));
    this.list = el("div", { class: "gear-list", role: "gear-list" });
    this.name = el("input", { id: "gear-name", role: "gear-name", maxlength: MOST_NAME, autocomplete: "off", placeholder: say("Judge's name"), oninput: () => this.#showSign() });
    this.sign = button("", () => this.#sign(), { class: "act", role: "gear-sign" });
    this.says = el("p", { role: "gear-says", "aria-live": "polite" });
    this.again = button(say("Check again"), () => this.#takeBack(), { class: "quiet", role: "gear-again", hidden: true });
    this.photo = new Photo(lane.tablet.packet.store);
    const signing = el("div", { class: "gear-sign" }, el("label", { class: "visually-hidden", for: "gear-name" }, say("Judge's name")), this.name, this.sign);
    this.signing = signing;
    this.node = el("section", { class: "gear", role: "gear", "aria-label": say("Equipment check") }, this.title, this.says, this.list, signing, this.again, this.photo.node);
  }

  /** What is to be looked at on this lane; nothing for a counter beside the judge. @returns {string[]} */
  get wanted() {
    return this.lane.heat && this.lane.counter === "lane" ? (this.lane.event.checks ?? []) : [];
  }

  /** Whether a signed check of this lane assignment stands, or there is nothing to check. */
  get done() {
    return !this.wanted.length || this.#standing() !== null;
  }

  render() {
    this.node.hidden = !this.wanted.length;
    if (this.node.hidden) return;
    const { heat } = this.lane;
    const key = /** @type {any} */ (heat).assignment.id;
    if (key !== this.#key) {
      this.#key = key;
      this.#ticked.clear();
      this.name.value = /** @type {any} */ (heat).assignment.judge ?? "";
      this.photo.of(key);
    }
    const signed = this.#standing();
    const stamp = `${key}/${signed?.id}/${this.wanted.join()}`;
    if (stamp !== this.#shown) {
      this.#shown = stamp;
      fill(this.list, ...this.wanted.map((line) => this.#line(line, signed)));
    }
    this.list.hidden = this.signing.hidden = signed !== null;
    this.again.hidden = signed === null;
    const missing = signed ? this.wanted.filter((line) => !signed.body.items.includes(line)) : [];
    setText(this.says, signed ? checkedBy(signed.body.name, missing.map((line) => this.lane.event.shown?.[line] ?? line)) : say("Tick what you have seen, then sign."));
    setData(this.says, "tone", missing.length ? "look" : null);
    this.#showSign();
  }

  /** The newest check that stands on any run of this lane assignment. @returns {Mark | null} */
  #standing() {
    const { heat, tablet } = this.lane;
    const [assignment, run] = this.lane.sheet.split("/");
    const sheets = Array.from({ length: Number(run) }, (_, i) => `${assignment}/${i + 1}/lane`);
    const marks = heat ? sheets.flatMap((sheet) => tablet.outbox.marks(sheet)) : [];
    const struck = new Set(marks.filter((mark) => mark.kind === "strike").map((mark) => mark.body.mark));
    const checks = marks.filter((mark) => mark.kind === "check" && !struck.has(mark.id));
    return checks.sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1) ?? null;
  }

  /** @param {string} line @param {Mark | null} signed */
  #line(line, signed) {
    const ticked = signed ? signed.body.items.includes(line) : this.#ticked.has(line);
    const tick = button(this.lane.event.shown?.[line] ?? line, () => this.#tick(line, tick), { class: "gear-line", role: "gear-line", "aria-pressed": String(ticked) });
    return tick;
  }

  /** @param {string} line @param {HTMLElement} tick */
  #tick(line, tick) {
    if (!this.#ticked.delete(line)) this.#ticked.add(line);
    tick.setAttribute("aria-pressed", String(this.#ticked.has(line)));
    this.#showSign();
  }

  #showSign() {
    const open = this.wanted.filter((line) => !this.#ticked.has(line)).length;
    this.sign.disabled = !this.name.value.trim() || this.#ticked.size === 0;
    setText(this.sign, open && this.#ticked.size ? say("gear.sign_without", { n: open }) : say("Sign the check"));
  }

  #sign() {
    const items = this.wanted.filter((line) => this.#ticked.has(line));
    this.lane.checked({ items, name: this.name.value.trim() });
    this.changed();
  }

  #takeBack() {
    const signed = this.#standing();
    if (signed) this.lane.checkAgain(signed);
    this.#ticked = new Set(signed?.body.items);
    this.changed();
  }
}

/** @param {string} name @param {string[]} missing lines that were not looked at */
function checkedBy(name, missing) {
  const checked = say("Checked by {name}.", { name });
  return missing.length ? `${checked} ${say("Not looked at: {lines}.", { lines: missing.join("; ") })}` : checked;
}
