// @ts-check
/** The lane's menu: stop, note, head judge; how this tablet looks and sounds. */

import { button, el, fill } from "../../../parts/dom.js";
import { saveFile } from "../../../parts/files.js";
import { othersOf, speak } from "../../../device/language.js";
import { groundNow, turnGround } from "../../../parts/ground.js";
import { timeText } from "../../../parts/timing.js";
import { ByHand } from "./by_hand.js";
import { ANEW } from "./waiting.js";
import { resultText, taskText, whoText } from "./words.js";
import { known, say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

const HAND = "lane-ledger.hand";
const REASONS = ["Injury or illness", "Equipment failure", "Lane not safe"];

/** The hand that counts: "No rep" and its neighbours lie on the side of the other. @returns {"right" | "left"} */
export function handNow() {
  try {
    return localStorage.getItem(HAND) === "left" ? "left" : "right";
  } catch {
    return "right";
  }
}

/** Why marks were refused; of how many each is said where there are several reasons. @param {{sentence: string, n: number}[]} found */
function reasons(found) {
  const words = found.map(({ sentence, n }) => (found.length > 1 ? `${n}: ${sentence}` : sentence));
  return words.map((said) => el("p", { class: "notice", "data-tone": "look", role: "refused" }, said));
}

/** The page of trust lies behind the plain door: this one's door is shut. @param {string} port */
function trustPage(port) {
  const page = new URL("/trust", location.href);
  page.protocol = "http:";
  page.port = port;
  return page.href;
}

/** What a long press on the strip opens: stop this lane, a note, the head judge; and how this tablet looks and sounds. */
export class Menu {
  /** @param {Lane} lane @param {import("../../../parts/signals.js").Signals} signals @param {() => void} onhand called when the layout changes sides */
  constructor(lane, signals, onhand) {
    this.lane = lane;
    this.signals = signals;
    this.onhand = onhand;
    this.node = el("dialog", { class: "menu", role: "menu", "aria-label": say("This lane") });
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
      el("div", { class: "menu-head" }, el("h2", {}, say("This lane")), button(say("Close"), () => this.node.close(), { role: "menu-close" })),
      this.#wayBack(),
      lane.heat ? el("section", { class: "menu-stop" }, el("h3", {}, say("Stop this lane")), el("div", { class: "menu-row" }, ...REASONS.map((why) => this.#stop(why)), this.#hold())) : null,
      lane.hand.mayStart ? this.#anew() : null,
      lane.heat
        ? el(
            "section",
            {},
            el("label", { for: "menu-note" }, say("Note for the sheet")),
            el("div", { class: "menu-row" }, text, button(say("Add note"), withText((words) => words && lane.mark("note", { text: words })), { role: "add-note" })),
            button(say("Call the head judge"), withText((words) => lane.mark("note", { text: `Head judge called.${words ? ` ${words}` : ""}` })), { role: "call-head-judge" }),
          )
        : null,
      this.#practice(),
      this.#languages(),
      this.#marks(),
      el("section", {}, el("h3", {}, say("This tablet")), el("div", { class: "menu-row" }, ...this.#choices()), this.#footing()),
    );
  }

  /** Why there is no line to the desk, and the way back where there is one. */
  #wayBack() {
    const { reach } = this.lane.tablet;
    if (!reach.sentence) return null;
    const again = reach.found === "untrusted" ? el("p", {}, el("a", { class: "button look", href: trustPage(reach.plainPort), role: "trust-again" }, say("Trust the desk again"))) : null;
    return el("section", { class: "notice", "data-tone": "look" }, el("p", { role: "way-back" }, el("b", {}, reach.sentence), ` ${reach.advice}`), again);
  }

  /** What this page rests on. */
  #footing() {
    const alone = this.lane.tablet.loadsAlone;
    const words = alone ? say("This screen opens even when the desk can't be reached.") : say("Keep this page open: it can't be reloaded on this connection while the desk can't be reached.");
    return el("p", { class: "soft", role: "footing" }, `${words} ${this.lane.tablet.room.doubt}`.trim());
  }

  /** Before the day's work: nothing that leaves this page is offered while the lane's heat runs. */
  #practice() {
    if (!this.lane.idle) return null;
    const link = (/** @type {string} */ href, /** @type {string} */ words) => el("a", { class: "button", href }, words);
    return el("section", {}, el("h3", {}, say("Before the first heat")), el("div", { class: "menu-row" }, link("/ten", say("Count ten together")), link("/train", say("Practise judging"))));
  }

  /** Another language for this tablet alone. It comes as a newer app does, so only while the heat does not run. */
  #languages() {
    const others = this.lane.idle ? othersOf(document) : [];
    return others.length ? el("section", {}, el("h3", {}, say("Language")), el("div", { class: "menu-row" }, ...others.map(([code, name]) => button(name, () => this.#act(() => speak(code)), { lang: code, role: "language" })))) : null;
  }

  /** What became of lost marks, and the ways to the desk when this tablet can't send. */
  #marks() {
    const { outbox, packet } = this.lane.tablet;
    const read = () => this.#act(() => outbox.copies.lossWasRead());
    const loss = outbox.loss ? [el("p", { class: "notice", "data-tone": "look", role: "loss" }, outbox.loss), button(say("I have told the desk"), read, { role: "loss-read" })] : [];
    const again = () => this.#act(() => outbox.offerAgain());
    const refused = outbox.counts.refused ? [el("p", {}, say("marks.not_here", { n: outbox.counts.refused })), ...reasons(outbox.reasons()), button(say("Offer them to the desk again"), again, { role: "offer-again" })] : [];
    const save = () => saveFile(`lane-${packet.value.device.lane}-marks.json`, outbox.file(packet.value.device.name));
    return el(
      "section",
      {},
      el("h3", {}, say("If this tablet can't send")),
      ...loss,
      ...refused,
      el("div", { class: "menu-row" }, button(say("Save all marks as a file"), save, { role: "save-marks" })),
      this.lane.heat ? el("details", { role: "totals" }, el("summary", {}, say("Totals to read out to the desk")), el("ol", {}, ...this.#totals())) : null,
    );
  }

  #totals() {
    const { format, entry, tally } = this.lane;
    const worked = tally.windows.filter((/** @type {any} */ found) => format.windows[found.index].task != null);
    return worked.map((/** @type {any} */ found) => {
      const window = format.windows[found.index];
      const what = `${timeText(window.start * 1000)}, ${whoText(format, window, entry)}, ${taskText(format, window)}: `;
      return el("li", {}, what, el("b", {}, resultText(format, found)));
    });
  }

  /** @param {string} why */
  #stop(why) {
    return button(known(why), () => this.#act(() => this.lane.mark("stop", { why })), { class: "look", role: "stop" });
  }

  #choices() {
    const { sound } = this.lane;
    const ground = button(groundNow() === "slate" ? say("Paper ground, for sunlight") : say("Slate ground, for a dark hall"), () => this.#act(turnGround), { role: "ground" });
    const hand = button(handNow() === "right" ? say("Count with the left hand") : say("Count with the right hand"), () => this.#act(() => this.#turnHand()), { role: "hand" });
    const beeps = button(sound.on ? say("Turn the sound off") : say("Turn the sound on"), () => this.#act(() => sound.turn(!sound.on)), { role: "sound" });
    return [ground, hand, beeps, button(say("Sound check"), () => sound.play("bell")), this.#signal("flash", say("Turn flashes on"), say("Turn flashes off")), this.signals.canVibrate && this.#signal("vibration", say("Turn vibration on"), say("Turn vibration off"))];
  }

  /** Felt or seen where nobody hears a beep: each change of window and the last ten seconds. @param {"flash" | "vibration"} what @param {string} turnOn @param {string} turnOff */
  #signal(what, turnOn, turnOff) {
    const on = this.signals[what];
    return button(on ? turnOff : turnOn, () => this.#act(() => this.signals.turn(what, !on)), { role: what });
  }

  /** A clock that may be wrong is started anew, from whatever it shows. */
  #anew() {
    const { node } = new ByHand({ ...ANEW, act: () => this.#act(() => this.lane.hand.start()) });
    node.hidden = false;
    return el("section", {}, el("h3", {}, say("The clock")), node);
  }

  /** Holds this lane's clock on the head judge's word; only where the desk's own can't come. */
  #hold() {
    const reading = this.lane.reading();
    const may = this.lane.hand.mayHold && reading && !reading.standing && reading.ms >= 0;
    return may ? button(say("The heat is held: hold this clock"), () => this.#act(() => this.lane.hand.hold()), { role: "hold-by-hand" }) : null;
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
