// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";
import { ageText } from "../call/ahead.js";
import { Caller } from "../call/caller.js";
import { languageRow } from "../call/languages.js";
import { startMatters } from "../lane/lifting/openers.js";
import { clockUnsure } from "../lane/warnings.js";
import { Lifter } from "./lifter.js";
import { LifterList } from "./list.js";

/** @typedef {import("../../../device/tablet.js").Tablet} Tablet */

const STARTS_MS = 60_000; // openers end by the minute
const OLD_MS = 5000; // what the desk said of the order is said to be old from then on

/** A coach's screen: all lifters in a list; whoever is turned to, as on a lifter's own phone. */
export class Coach {
  /** By entry. @type {Map<string, Lifter>} */
  #lifters = new Map();
  #open = "";
  /** @type {Caller | null} */
  #caller = null;
  /** When the desk was last in reach, by the wall. */
  #inReach = 0;
  #asked = performance.now();

  /** @param {Tablet} tablet @param {import("../../../parts/sound.js").Sound} sound @param {HTMLElement} root */
  constructor(tablet, sound, root) {
    this.tablet = tablet;
    this.sound = sound;
    this.root = root;
    this.title = el("h1", { class: "call-entry", role: "entry" });
    this.line = el("p", { class: "call-line soft", "aria-live": "polite", role: "line" });
    this.kept = el("span", { class: "state", "data-state": "kept", role: "kept", hidden: true });
    this.refused = el("p", { class: "notice", "data-tone": "look", role: "refused", hidden: true });
    this.languages = languageRow();
    this.age = el("p", { class: "coach-age", role: "order-age", hidden: true });
    this.list = new LifterList((entry) => this.#turnTo(entry));
    this.none = el("p", { class: "call-none", hidden: true }, say("The desk has given this phone no lifters."));
    this.back = button(say("All lifters"), () => this.#turnTo(""), { class: "press quiet coach-back", role: "all-lifters" });
    this.next = el("p", { class: "coach-next", "aria-live": "polite", role: "must-declare" });
    this.one = el("div", { class: "call-screen coach-one" });
    const all = el("section", { class: "coach-all", "aria-label": say("Your lifters") }, this.refused, this.age, this.list.node, this.none);
    const at = el("section", { class: "coach-at", "aria-label": say("Next load") }, el("div", { class: "coach-bar" }, this.back, this.next), this.one);
    const strip = el("header", { class: "call-strip platform-strip", role: "strip" }, el("div", {}, this.title, this.line, this.kept), this.languages);
    fill(root, strip, el("div", { class: "coach" }, all, at));
  }

  /** Whether nothing is going on with any of the lifters. */
  get idle() {
    return [...this.#lifters.values()].every((lifter) => lifter.idle);
  }

  /** Says that something changed; the next step shows it. */
  touch() {
    this.#caller?.touch();
  }

  /** One step. */
  step() {
    this.#follow();
    for (const lifter of this.#lifters.values()) lifter.turn();
    const lifters = [...this.#lifters.values()];
    const top = this.list.render(lifters, this.#open);
    this.none.hidden = lifters.length > 0;
    this.#showLine(lifters);
    this.#showOne(top);
    this.#showAge();
    this.#askStarts(lifters);
  }

  /** Asks again when heats will probably start: of a later flight that moves with each heat before it. @param {Lifter[]} lifters */
  #askStarts(lifters) {
    if (performance.now() - this.#asked < STARTS_MS || !lifters.some(startMatters)) return;
    this.#asked = performance.now();
    this.tablet.packet.refresh();
  }

  /** Takes over for whom this phone stands now. */
  #follow() {
    const { lifters } = this.tablet.packet.value;
    const ids = new Set(lifters.map((/** @type {{id: string}} */ { id }) => id));
    for (const gone of [...this.#lifters.keys()].filter((id) => !ids.has(id))) this.#lifters.delete(gone);
    for (const who of lifters) if (!this.#lifters.has(who.id)) this.#lifters.set(who.id, new Lifter(this.tablet, this.sound, who));
    if (this.#open && !ids.has(this.#open)) this.#turnTo("");
  }

  /** @param {Lifter[]} lifters */
  #showLine(lifters) {
    const { tablet } = this;
    const unsure = lifters.map(clockUnsure).find(Boolean);
    const trouble = tablet.outbox.trouble || unsure || tablet.deskTrouble;
    setText(this.title, tablet.packet.value.device.name);
    setText(this.line, trouble || tablet.packet.value.competition.name);
    setData(this.line, "tone", trouble ? "look" : null);
    const { here, refused } = tablet.outbox.counts;
    this.kept.hidden = here === 0;
    setText(this.kept, say("{refused} waiting on this tablet", { refused: here }));
    this.refused.hidden = refused === 0;
    setText(this.refused, refused ? `${say("marks.not_here", { n: refused })} ${tablet.outbox.reasons()[0]?.sentence ?? ""}` : "");
    this.languages.hidden = !this.idle;
  }

  /** Whoever is turned to, and who else must declare meanwhile. @param {string} top */
  #showOne(top) {
    setData(this.root, "view", this.#open ? "one" : "all");
    const lifter = this.#lifters.get(this.#open);
    const must = this.#lifters.get(top);
    const silent = must && must !== lifter && must.see().silent;
    setText(this.next, silent ? say("{who} must declare.", { who: must.who.name }) : "");
    if (lifter) this.#caller?.step();
  }

  /** How old the order of lifting is, while the desk is out of reach. */
  #showAge() {
    if (this.tablet.link.online) this.#inReach = Date.now();
    const old = Date.now() - this.#inReach;
    this.age.hidden = this.tablet.link.online || (this.#inReach > 0 && old < OLD_MS);
    setText(this.age, this.#inReach ? say("The order of lifting is as the desk said it {age} ago.", { age: ageText(old) }) : say("The order of lifting is as the desk said it last."));
  }

  /** @param {string} entry empty for all of them */
  #turnTo(entry) {
    this.#open = entry;
    for (const [id, lifter] of this.#lifters) lifter.shown = id === entry;
    const lifter = this.#lifters.get(entry);
    this.one.hidden = !lifter;
    if (!lifter) return;
    this.#caller ??= new Caller(lifter, this.one, { loaders: false });
    this.#caller.about(lifter);
    scrollTo(0, 0);
  }
}
