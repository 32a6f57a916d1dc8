// @ts-check
import { el, fill, setText } from "../../../parts/dom.js";
import { Checks } from "./checks.js";
import { JudgePanel } from "./judge.js";
import { listenToKeys, keysHelp } from "./keys.js";
import { Player } from "./player.js";
import { Tracks } from "./tracks.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./sheet.js").VideoSheet} VideoSheet */
/** @typedef {import("../../../parts/film.js").Film} Film */

/** The page on which a lane is judged from a film: the film, the judging, the tracks, the checks. Redrawn at most once a frame. */
export class Bench {
  #asked = false;
  #stale = true;

  /** @param {HTMLElement} root @param {VideoSheet} sheet @param {Film} film @param {import("../../../device/sync.js").Sync} sync */
  constructor(root, sheet, film, sync) {
    this.sheet = sheet;
    this.film = film;
    this.sync = sync;
    this.player = new Player(sheet, film);
    this.judge = new JudgePanel(sheet, film);
    this.tracks = new Tracks(sheet, film);
    this.checks = new Checks(sheet, film);
    this.state = el("span", { class: "state", role: "outbox" });
    this.signed = el("p", { class: "notice", "data-tone": "look", role: "signed-note", hidden: true });
    fill(root, this.#head(), this.signed, el("div", { class: "video-bench" }, this.player.node, this.judge.node), this.tracks.node, this.checks.node, keysHelp());
    film.onchange = () => this.#soon();
    listenToKeys(film, this.judge, this.player);
    this.#soon();
  }

  /** Whether somebody is at work here: the page must not be replaced. */
  get busy() {
    return this.film.file !== null;
  }

  /** Says that the sheet changed. */
  touch() {
    this.#stale = true;
    this.#soon();
  }

  #soon() {
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame(() => {
      this.#asked = false;
      this.#draw();
    });
  }

  #draw() {
    const moment = this.film.moment();
    this.player.draw(moment);
    this.judge.draw(moment);
    if (this.#stale) {
      this.tracks.fill();
      this.checks.fill();
      this.#showState();
      this.#showSigned();
    }
    this.#stale = false;
    this.tracks.draw(moment);
  }

  #head() {
    const { heat, event, entry } = this.sheet;
    const judge = heat.assignment.judge ? `, judged by ${heat.assignment.judge}` : "";
    return el(
      "header",
      { class: "video-head" },
      el("div", {}, el("h1", {}, entry.name), el("p", { class: "soft" }, `${event.name}, heat ${heat.number}, lane ${heat.assignment.lane}${judge}`)),
      el("p", { class: "video-links" }, this.state, el("a", { class: "button", href: this.sheet.packet.value.compare }, "Compare with the judge"), el("a", { class: "button", href: "/review/compare" }, "All lanes")),
    );
  }

  /** That the event is signed off, and where it is opened again: said where a mark is made that changes nothing. */
  #showSigned() {
    const note = this.sheet.packet.value.signed_note;
    const words = note?.words ?? "";
    if (this.signed.hidden === !note && this.signed.dataset.words === words) return;
    this.signed.hidden = !note;
    this.signed.dataset.words = words;
    fill(this.signed, ...(note ? [el("span", { class: "state", "data-state": "look" }, "Signed off."), ` ${words} `, el("a", { href: note.link }, "Reopen it")] : []));
  }

  #showState() {
    const { here, refused } = this.sheet.outbox.counts;
    const kind = refused ? "look" : here ? "kept" : "safe";
    this.state.dataset.state = kind;
    const held = say("marks.here", { n: here });
    const waiting = this.sync.state.sentence ? `${held}. ${this.sync.state.sentence}` : held;
    setText(this.state, refused ? this.sync.state.sentence : here ? waiting : "All marks at the desk");
  }
}
