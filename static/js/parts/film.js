// @ts-check
import { heatTime, sinceGo } from "../rules/holding.js";

/** A film that somebody opened in this page, played by the browser alone: nothing of it is sent anywhere. */

/** @typedef {import("../rules/holding.js").Hold} Hold */
/** @typedef {{ms: number, held_ms: number, into_ms: number}} Moment on the heat clock, with what a mark says of it */

export const SPEEDS = [0.1, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 2];
const USUAL_FRAME_MS = 1000 / 30;
const LEAST_FRAME_MS = 1000 / 250;
const END_OF_TIME_S = 1e7;

/**
 * Where so many frames on or back lead, in ms. A phone's film shows some frames longer than others: a step on leads on all the same.
 * @param {number} shown where the frame begins that is seen @param {number} at where the film stands @param {number} frameMs the least time of a frame @param {number} frames
 */
export function stepped(shown, at, frameMs, frames) {
  const here = Math.abs(shown - at) < 2 * frameMs ? shown : at;
  const there = here + (frames + 0.1) * frameMs; // a tenth into the frame: on its edge, rounding could show the one before
  return frames < 0 || there > at ? there : at + frames * frameMs;
}

/** One film: its element, its GO, moments of the heat on it. */
export class Film {
  /** @type {File | null} */
  file = null;
  /** GO on the film, ms from its beginning; null until somebody set it. @type {number | null} */
  go = null;
  /** Whether the film was stopped while the heat was held. */
  cutAtHolds = false;
  /** How long one frame is seen, as found while it played, in ms. */
  frameMs = USUAL_FRAME_MS;
  /** What went wrong with the film, else empty. */
  trouble = "";
  /** When GO or the film changes, and with each frame. */
  onchange = () => {};

  #shown = 0;
  #url = "";

  /** @param {HTMLVideoElement} video @param {string} key names the lane and the run @param {Hold[]} [holds] */
  constructor(video, key, holds = []) {
    this.video = video;
    this.key = `lane-ledger.film.${key}`;
    this.holds = holds;
    this.#remembered();
    video.addEventListener("loadedmetadata", () => this.#findLength());
    video.addEventListener("error", () => this.#say(video.error ? "This browser can't play that file. Try another format, such as MP4 or WebM." : ""));
    for (const news of ["seeked", "play", "pause", "ratechange", "durationchange", "timeupdate"]) video.addEventListener(news, () => this.onchange());
    this.#follow();
  }

  /** Whether there is a film to play. */
  get ready() {
    return this.file !== null && !this.trouble && this.video.readyState >= 1;
  }

  /** Where the film is, ms from its beginning. */
  get at() {
    return this.video.currentTime * 1000;
  }

  /** How long it is, in ms; 0 while unknown. */
  get length() {
    return Number.isFinite(this.video.duration) ? this.video.duration * 1000 : 0;
  }

  /** @param {File} file */
  open(file) {
    if (this.#url) URL.revokeObjectURL(this.#url);
    this.file = file;
    this.#url = URL.createObjectURL(file);
    this.#say("");
    this.video.src = this.#url;
  }

  /** Says where GO is on the film. @param {number} ms from its beginning */
  setGo(ms) {
    this.go = Math.max(0, Math.round(ms));
    this.#remember();
    this.onchange();
  }

  /** @param {boolean} cut whether the film was stopped while the heat was held */
  cut(cut) {
    this.cutAtHolds = cut;
    this.#remember();
    this.onchange();
  }

  /** The heat's moment that the film shows, or null before its GO is known. @returns {Moment | null} */
  moment() {
    if (this.go === null) return null;
    const since = this.at - this.go;
    if (!this.cutAtHolds) return heatTime(since, this.holds);
    return { ms: since, held_ms: sinceGo(since, this.holds) - since, into_ms: 0 };
  }

  /** Shows a moment of the heat clock. @param {number} ms @param {number} [before] how much earlier to begin */
  seek(ms, before = 0) {
    if (this.go === null || !this.ready) return;
    const since = this.cutAtHolds ? ms : sinceGo(ms, this.holds);
    this.jump(this.go + since - before);
  }

  /** Shows a place of the film. @param {number} ms from its beginning */
  jump(ms) {
    const end = this.length || Infinity;
    this.video.currentTime = Math.min(Math.max(0, ms), end) / 1000;
  }

  /** Goes on by frames, standing still. @param {number} frames */
  step(frames) {
    this.video.pause();
    this.jump(stepped(this.#shown, this.at, this.frameMs, frames));
  }

  async play() {
    await this.video.play().catch(() => this.#say("The browser did not play the film. Press play again."));
  }

  /** Plays or stands still. */
  toggle() {
    if (this.video.paused) this.play();
    else this.video.pause();
  }

  /** @param {1 | -1} way to the next speed */
  faster(way) {
    const now = SPEEDS.findIndex((speed) => speed >= this.video.playbackRate);
    this.speed(SPEEDS[Math.min(SPEEDS.length - 1, Math.max(0, now + way))]);
  }

  /** @param {number} speed 1 is life */
  speed(speed) {
    this.video.playbackRate = speed;
  }

  /** @param {string} words */
  #say(words) {
    this.trouble = words;
    this.onchange();
  }

  /** Films straight from a browser's recorder do not say how long they are: their end is looked for once. */
  #findLength() {
    const { video } = this;
    this.onchange();
    if (Number.isFinite(video.duration)) return;
    const back = () => {
      if (!Number.isFinite(video.duration)) return;
      video.removeEventListener("durationchange", back);
      video.currentTime = 0;
    };
    video.addEventListener("durationchange", back);
    video.currentTime = END_OF_TIME_S;
  }

  /** Hears of each frame, where the browser tells; the least time between two is how long one is seen. */
  #follow() {
    const { video } = this;
    if (!("requestVideoFrameCallback" in video)) return;
    const frame = (/** @type {number} */ _now, /** @type {{mediaTime: number}} */ { mediaTime }) => {
      const at = mediaTime * 1000;
      const since = at - this.#shown;
      if (!video.paused && since >= LEAST_FRAME_MS && since < this.frameMs * 1.5) this.frameMs = since;
      this.#shown = at;
      this.onchange();
      video.requestVideoFrameCallback(frame);
    };
    video.requestVideoFrameCallback(frame);
  }

  #remember() {
    try {
      localStorage.setItem(this.key, JSON.stringify({ go: this.go, cut: this.cutAtHolds, name: this.file?.name ?? "" }));
    } catch {
      // without storage GO is set again after a reload, or read off the sheet
    }
  }

  #remembered() {
    try {
      const { go = null, cut = false } = JSON.parse(localStorage.getItem(this.key) ?? "{}");
      this.go = typeof go === "number" ? go : null;
      this.cutAtHolds = cut === true;
    } catch {
      // as if nothing had been remembered
    }
  }
}
