// @ts-check
import { button, el, fill } from "../../parts/dom.js";
import { groundNow, turnGround } from "../../parts/ground.js";

/** @typedef {import("./state.js").Lane} Lane */

const HAND = "lane-ledger.hand";
const REASONS = ["Injury or illness", "Fault of equipment", "Lane not safe"];

/** The hand that counts: "No rep" and its neighbours lie on the side of the other. @returns {"right" | "left"} */
export function handNow() {
  try {
    return localStorage.getItem(HAND) === "left" ? "left" : "right";
  } catch {
    return "right";
  }
}

/** What a long press on the strip opens: stop this lane, a note, the head judge; and how this tablet looks and sounds. */
export class Menu {
  /** @param {Lane} lane @param {() => void} onhand called when the layout changes sides */
  constructor(lane, onhand) {
    this.lane = lane;
    this.onhand = onhand;
    this.node = el("dialog", { class: "menu", role: "menu", "aria-label": "This lane" });
    this.node.addEventListener("click", (event) => event.target === this.node && this.node.close());
  }

  open() {
    if (this.node.open) return;
    this.#draw();
    this.node.showModal();
  }

  #draw() {
    const lane = this.lane;
    const text = el("input", { id: "menu-note", type: "text", maxlength: 300, autocomplete: "off" });
    const withText = (/** @type {(text: string) => void} */ act) => () => this.#act(() => act(text.value.trim()));
    fill(
      this.node,
      el("div", { class: "menu-head" }, el("h2", {}, "This lane"), button("Close", () => this.node.close(), { role: "menu-close" })),
      lane.heat ? el("section", { class: "menu-stop" }, el("h3", {}, "Stop this lane"), el("div", { class: "menu-row" }, ...REASONS.map((why) => this.#stop(why)))) : null,
      lane.heat
        ? el(
            "section",
            {},
            el("label", { for: "menu-note" }, "Note for the sheet"),
            el("div", { class: "menu-row" }, text, button("Add note", withText((words) => words && lane.mark("note", { text: words })), { role: "add-note" })),
            button("Call the head judge", withText((words) => lane.mark("note", { text: `Head judge called.${words ? ` ${words}` : ""}` })), { role: "call-head-judge" }),
          )
        : null,
      el("section", {}, el("h3", {}, "This tablet"), el("div", { class: "menu-row" }, ...this.#choices())),
    );
  }

  /** @param {string} why */
  #stop(why) {
    return button(why, () => this.#act(() => this.lane.mark("stop", { why })), { class: "look", role: "stop" });
  }

  #choices() {
    const { sound } = this.lane;
    const ground = button(groundNow() === "slate" ? "Paper ground, for sunlight" : "Slate ground, for a dark hall", () => this.#act(turnGround), { role: "ground" });
    const hand = button(handNow() === "right" ? "Count with the left hand" : "Count with the right hand", () => this.#act(() => this.#turnHand()), { role: "hand" });
    const beeps = button(sound.on ? "Turn the sound off" : "Turn the sound on", () => this.#act(() => sound.turn(!sound.on)), { role: "sound" });
    return [ground, hand, beeps, button("Sound check", () => sound.play("bell"))];
  }

  #turnHand() {
    try {
      localStorage.setItem(HAND, handNow() === "right" ? "left" : "right");
    } catch {
      // No storage, no left-handed layout after a reload; nothing is lost.
    }
    this.onhand();
  }

  /** @param {() => unknown} act */
  #act(act) {
    act();
    this.node.close();
  }
}
