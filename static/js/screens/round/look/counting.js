// @ts-check
import { button, el, fill, setText } from "../../../parts/dom.js";
import { onLand } from "../../../parts/press.js";
import { clock } from "../../floor/video/player.js";

/** @typedef {{name: string, start: number, end: number, taps: boolean}} Part times on the heat clock, in ms; 0 and 0 for not known */
/** @typedef {import("../../../parts/film.js").Film} Film */

/** Counting one part after another: each repetition with its moment on the film, written into the form's own fields. */
export class Counting {
  #now = 0;
  /** The moments of each part's repetitions, ms of the film. @type {number[][]} */
  #reps;
  #shown = "";

  /** @param {Part[]} parts @param {HTMLFormElement} form @param {Film} film */
  constructor(parts, form, film) {
    this.parts = parts;
    this.form = form;
    this.film = film;
    this.#reps = parts.map(() => []);
    this.choice = el("select", { "aria-label": "What is counted", onchange: () => this.#choose(this.choice.selectedIndex) }, ...parts.map((part) => el("option", {}, part.name)));
    this.count = el("output", { class: "video-count", role: "look-count" }, "0");
    this.rep = el("button", { type: "button", class: "video-press", "data-verdict": "good", "data-role": "look-rep" }, "Rep");
    this.back = button("Take back last", () => this.takeBack(), { class: "press-wide", role: "look-take-back" });
    this.says = el("p", { class: "soft", role: "look-says", "aria-live": "polite" });
    this.list = el("div", { class: "look-reps" });
    onLand(this.rep, () => this.good());
    const title = parts.length > 1 ? this.choice : el("h2", {}, parts[0].name);
    this.node = el("section", { class: "video-judge", "aria-label": "Counting" }, title, this.count, this.rep, this.back, this.says, this.list);
    form.addEventListener("input", (event) => this.#typed(/** @type {HTMLInputElement} */ (event.target)));
    this.read();
  }

  /** Takes over what the form holds, such as what was kept of an earlier visit. */
  read() {
    this.#reps = this.parts.map((_, n) => this.#field("reps", n).value.split(" ").filter(Boolean).map(Number));
    this.#show();
  }

  /** One more repetition, where the film stands. */
  good() {
    if (!this.parts[this.#now].taps || !this.film.ready) return;
    this.#reps[this.#now].push(Math.round(this.film.at));
    this.#write();
  }

  /** Nothing here is called a no rep: what does not count is not counted. */
  refuse() {}

  /** Takes back the repetition that was counted last. */
  takeBack() {
    this.#reps[this.#now].pop();
    this.#write();
  }

  /** @param {1 | -1} way to the next part, or the one before */
  turn(way) {
    const to = Math.min(this.parts.length - 1, Math.max(0, this.#now + way));
    if (this.parts[to].end) this.film.seek(this.parts[to].start);
    this.#choose(to);
  }

  /** Follows the film into its windows. @param {import("../../../parts/film.js").Moment | null} moment */
  draw(moment) {
    const at = moment ? this.parts.findIndex((part) => part.start <= moment.ms && moment.ms < part.end) : -1;
    if (at >= 0 && at !== this.#now) this.#choose(at);
    this.#show();
  }

  /** @param {number} to */
  #choose(to) {
    this.#now = to;
    this.choice.selectedIndex = to;
    this.#show();
  }

  #write() {
    const reps = this.#reps[this.#now];
    this.#field("reps", this.#now).value = reps.join(" ");
    this.#field("count", this.#now).value = reps.length ? String(reps.length) : "";
    this.form.dispatchEvent(new Event("change"));
    this.#show();
  }

  /** A count that is typed stands for what was tapped. @param {HTMLInputElement} field */
  #typed(field) {
    const number = Number(/^count-(\d+)$/.exec(field.name)?.[1] ?? -1);
    if (number < 0) return;
    this.#reps[number] = [];
    this.#field("reps", number).value = "";
    this.#show();
  }

  #show() {
    const part = this.parts[this.#now];
    const reps = this.#reps[this.#now];
    const off = !part.taps || !this.film.ready;
    const count = this.#field("count", this.#now).value || "0";
    const stamp = `${this.#now}/${off}/${count}/${reps.join(" ")}`;
    if (stamp === this.#shown) return;
    this.#shown = stamp;
    this.rep.disabled = off;
    this.back.disabled = !reps.length;
    setText(this.count, count);
    setText(this.says, part.taps ? "Press once for each repetition that counts, while the film runs or stands still." : "Type the number below: it is not counted one by one.");
    fill(this.list, ...reps.map((ms, n) => button(`${n + 1} · ${clock(ms)}`, () => this.film.jump(ms), { class: "plain", "aria-label": `Show repetition ${n + 1}, at ${clock(ms)}` })));
    this.list.scrollTop = this.list.scrollHeight;
  }

  /** @param {string} what @param {number} number @returns {HTMLInputElement} */
  #field(what, number) {
    return /** @type {HTMLInputElement} */ (this.form.elements.namedItem(`${what}-${number}`));
  }
}
