// @ts-check
import { button, el, fill, setText } from "../../../parts/dom.js";
import { clock } from "./player.js";
import { recall, remember } from "./remembered.js";

/** @typedef {import("./sheet.js").VideoSheet} VideoSheet */
/** @typedef {import("../../../parts/film.js").Film} Film */

const NAME = "lane-ledger.video.name";
const MOST_NAME = 80;

/** What a film has to show, each with the moment at which it does; and the name of whoever judged. */
export class Checks {
  /** @param {VideoSheet} sheet @param {Film} film */
  constructor(sheet, film) {
    this.sheet = sheet;
    this.film = film;
    this.list = el("ul", { class: "video-checks", role: "checks" });
    this.who = el("input", { id: "video-name", autocomplete: "name", "aria-describedby": "video-name-wrong", maxlength: MOST_NAME, value: recall(NAME) ?? "" });
    this.signed = el("p", { role: "video-signed", "aria-live": "polite" });
    this.wrong = el("p", { class: "wrong", id: "video-name-wrong", role: "video-name-wrong", "aria-live": "polite" });
    const sign = el("p", { class: "video-sign" }, el("label", { for: "video-name" }, "Judged from video by"), this.who, button("Sign this sheet", () => this.#sign(), { role: "sign-video" }));
    this.node = el("details", { class: "video-more" }, el("summary", {}, "What the film shows, and signing"), el("p", { class: "soft" }, "Each answer goes on the sheet with the moment of the film at which you gave it."), this.list, sign, this.wrong, this.signed);
  }

  /** Shows what is written down. */
  fill() {
    fill(this.list, ...this.sheet.packet.value.checklist.map((/** @type {any} */ item) => this.#item(item)));
    const last = this.sheet.outbox.marks(this.sheet.key).filter((mark) => mark.kind === "sign").sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1);
    setText(this.signed, last ? `Signed by ${last.body.name}.` : "");
  }

  /** @param {{id: string, text: string}} item */
  #item({ id, text }) {
    const begins = `Film: ${text}: `;
    const noted = this.sheet.noted(begins);
    const answer = noted ? noted.body.text.slice(begins.length) : "not looked at yet";
    const state = noted ? (answer.startsWith("yes") ? "safe" : "look") : "kept";
    const says = (/** @type {string} */ word) => () => this.#note(begins, word);
    const seen = el("span", { class: "state", "data-state": state }, answer);
    const there = noted && this.film.go !== null ? button("Show", () => this.film.seek(noted.at), { class: "plain", "aria-label": `Show the moment: ${text}` }) : null;
    return el("li", { "data-check": id }, el("span", { class: "video-check-words" }, text), seen, there, button("Yes", says("yes"), { "aria-label": `Yes: ${text}` }), button("No", says("no"), { "aria-label": `No: ${text}` }));
  }

  /** @param {string} begins @param {string} word */
  #note(begins, word) {
    const moment = this.film.moment();
    const where = this.film.ready ? `, at ${clock(this.film.at)} of the film` : "";
    this.sheet.mark("note", { text: `${begins}${word}${where}` }, null, moment ?? { ms: 0, held_ms: 0, into_ms: 0 }, Math.ceil(2 * this.film.frameMs));
  }

  #sign() {
    const name = this.who.value.trim().replace(/[\p{Cc}\p{Cf}]/gu, "");
    if (!name) {
      setText(this.wrong, "Type your name first.");
      this.who.focus();
      return;
    }
    setText(this.wrong, "");
    remember(NAME, name);
    this.sheet.mark("sign", { who: "judge", name }, null, this.film.moment() ?? { ms: 0, held_ms: 0, into_ms: 0 }, 0);
  }
}
