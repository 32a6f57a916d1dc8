// @ts-check
import { el, fill, setData } from "../../../parts/dom.js";
import { ROWS } from "../../../rules/rows.js";

/** @typedef {import("./sheet.js").VideoSheet} VideoSheet */
/** @typedef {import("../../../parts/film.js").Film} Film */

const PX_PER_S = 60;

/** One's own marks, and those of the others once one's own are signed, as tracks in time that run past a line for now. A press on a track goes there. */
export class Tracks {
  /** @param {VideoSheet} sheet @param {Film} film */
  constructor(sheet, film) {
    this.sheet = sheet;
    this.film = film;
    this.moving = el("div", { class: "video-moving" });
    this.view = el("div", { class: "video-view", role: "tracks", onclick: (/** @type {MouseEvent} */ event) => this.#goTo(event) }, this.moving, el("div", { class: "video-now", "aria-hidden": "true" }));
    this.names = el("div", { class: "video-names" });
    this.later = el("p", { class: "soft", role: "marks-later" }, "What others marked comes here once this sheet is signed.");
    this.node = el("section", { class: "video-tracks", "aria-label": "Marks in time" }, el("div", { class: "video-tracks-head" }, el("h2", {}, "Marks in time"), this.later), el("div", { class: "video-strip" }, this.names, this.view));
  }

  /** Puts the marks on their tracks. */
  fill() {
    this.later.hidden = this.sheet.beside;
    const tracks = [["video", "Yours"], ...this.sheet.others()];
    fill(this.names, ...tracks.map(([kind, words]) => el("span", { "data-kind": kind }, `${words} ${this.sheet.judged(kind).length}`)));
    fill(this.moving, ...tracks.map(([kind]) => this.#track(kind)), ...this.#seconds());
  }

  /** @param {import("../../../parts/film.js").Moment | null} moment */
  draw(moment) {
    const ms = moment?.ms ?? 0;
    this.moving.style.transform = `translateX(${(-ms * PX_PER_S) / 1000}px)`;
    setData(this.view, "still", moment === null);
  }

  /** @param {string} kind */
  #track(kind) {
    return el("div", { class: "video-track", "data-kind": kind }, ...this.sheet.judged(kind).map((mark) => placed(el("i", { "data-shape": shapeOf(mark), "data-mark": mark.id, title: `${mark.kind === "norep" ? "no rep" : mark.kind} at ${(mark.at / 1000).toFixed(1)} s` }), mark.at)));
  }

  #seconds() {
    const { windows } = this.sheet.format;
    return windows.filter((window) => window.task != null).flatMap(({ start, seconds }) => [
      placed(el("b", { "data-edge": "start" }, "start"), start * 1000),
      placed(el("b", { "data-edge": "end" }, "bell"), (start + seconds) * 1000),
    ]);
  }

  /** @param {MouseEvent} event */
  #goTo(event) {
    const moment = this.film.moment();
    if (!moment) return;
    const box = this.view.getBoundingClientRect();
    this.film.seek(moment.ms + ((event.clientX - box.left - box.width / 2) * 1000) / PX_PER_S);
  }
}

/** @param {any} mark */
function shapeOf(mark) {
  if (mark.kind === "lift") return mark.body.good ? "good" : "refused";
  return ROWS.kinds[mark.kind].track;
}

/** @template {HTMLElement} T @param {T} element @param {number} ms @returns {T} */
function placed(element, ms) {
  element.style.left = `${(ms * PX_PER_S) / 1000}px`;
  return element;
}
