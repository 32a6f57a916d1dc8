// @ts-check
import { SPEEDS } from "../../../parts/film.js";
import { onsets } from "../../../parts/onset.js";
import { button, el, setData, setText } from "../../../parts/dom.js";
import { clockText } from "../../../words/clock_times.js";

/** @typedef {Pick<import("./sheet.js").VideoSheet, "holds" | "judged" | "mark">} Sheet where GO is written down */
/** @typedef {import("../../../parts/film.js").Film} Film */

const MOST_BYTES = 600 * 2 ** 20; // beyond it, reading the sound would ask for more memory than a tablet has
const RATE = 8000; // samples a second: enough to hear where a beep begins
const SMALL_STEP_MS = 1000;
const BEFORE_SOUND_MS = 700;

/** The film with its controls, and its GO. */
export class Player {
  /** @type {number[]} */
  #sounds = [];
  #sound = 0;
  #told = "";

  /** @param {Sheet} sheet @param {Film} film */
  constructor(sheet, film) {
    this.sheet = sheet;
    this.film = film;
    this.choose = el("input", { type: "file", accept: "video/*", id: "film-file", onchange: () => this.#open(), "data-role": "film-file" });
    this.place = el("input", { type: "range", min: 0, max: 0, step: 0.01, value: 0, "aria-label": "Place on the film", oninput: () => film.jump(Number(this.place.value) * 1000), "data-role": "place" });
    this.time = el("output", { class: "video-time", role: "film-time" }, "–");
    this.heat = el("output", { class: "video-clock", role: "heat-time" }, "–");
    this.playing = button("Play", () => film.toggle(), { class: "act", role: "play" });
    this.speed = el("select", { "aria-label": "Speed", onchange: () => film.speed(Number(this.speed.value)), "data-role": "speed" }, ...SPEEDS.map((speed) => el("option", { value: speed, selected: speed === 1 }, `${speed} ×`)));
    this.says = el("p", { class: "video-says", role: "film-says", "aria-live": "polite" });
    this.go = button("GO is here", () => this.setGo(), { role: "set-go" });
    this.find = button("Find the start sound", () => this.#find(), { role: "find-sound" });
    this.cut = el("input", { type: "checkbox", id: "film-cut", checked: film.cutAtHolds, onchange: () => film.cut(this.cut.checked), "data-role": "film-cut" });
    this.node = el("section", { class: "video-player", "aria-label": "Film" }, ...this.#parts());
  }

  /** Writes GO down where the film stands. */
  setGo() {
    const { film, sheet } = this;
    if (!film.ready) return;
    film.video.pause();
    this.#sounds = [];
    this.#told = "";
    setText(this.find, "Find the start sound");
    film.setGo(film.at);
    const at = /** @type {number} */ (film.go);
    const name = (film.file?.name ?? "").replace(/[\p{Cc}\p{Cf}]/gu, "").slice(0, 120);
    sheet.mark("note", { text: `GO is ${(at / 1000).toFixed(2)} s into the film ${name}.`, go: at }, null, { ms: 0, held_ms: 0, into_ms: 0 }, Math.ceil(film.frameMs));
  }

  /** @param {import("../../../parts/film.js").Moment | null} moment */
  draw(moment) {
    const { film } = this;
    const off = !film.ready;
    for (const control of [this.place, this.playing, this.speed, this.go, this.find, ...this.steps]) /** @type {any} */ (control).disabled = off;
    setData(this.node, "empty", off);
    setText(this.playing, film.video.paused ? "Play" : "Pause");
    setText(this.time, off ? "–" : `${clock(film.at)} of ${clock(film.length)}`);
    setText(this.heat, moment ? clock(moment.ms) : "GO is not set");
    this.place.max = String(film.length / 1000);
    if (document.activeElement !== this.place) this.place.value = String(film.at / 1000);
    if (this.speed.value !== String(film.video.playbackRate)) this.speed.value = String(film.video.playbackRate);
    setData(this.go, "set", film.go !== null);
    setText(this.says, film.trouble || this.#words());
  }

  /** @returns {HTMLElement[]} */
  #parts() {
    const { film } = this;
    const step = (/** @type {string} */ words, /** @type {string} */ label, /** @type {() => void} */ act) => button(words, act, { "aria-label": label, class: "video-step" });
    this.steps = [
      step("−1 s", "One second back", () => film.jump(film.at - SMALL_STEP_MS)),
      step("−1 frame", "One frame back", () => film.step(-1)),
      step("+1 frame", "One frame on", () => film.step(1)),
      step("+1 s", "One second on", () => film.jump(film.at + SMALL_STEP_MS)),
    ];
    const holds = this.sheet.holds.length > 0;
    return [
      el("p", { class: "video-open" }, el("label", { for: "film-file" }, "The film"), this.choose, el("span", { class: "small soft" }, "It is played here and sent nowhere.")),
      film.video,
      el("div", { class: "video-line" }, this.heat, this.time),
      this.place,
      el("div", { class: "video-buttons" }, this.steps[0], this.steps[1], this.playing, this.steps[2], this.steps[3]),
      el("div", { class: "video-buttons" }, this.speed, this.go, this.find, this.says),
      holds ? el("p", { class: "video-cut" }, this.cut, el("label", { for: "film-cut" }, "The film was stopped while the heat was held")) : null,
    ].filter((part) => part !== null);
  }

  #open() {
    const file = this.choose.files?.[0];
    if (!file) return;
    this.#sounds = [];
    this.#told = "";
    setText(this.find, "Find the start sound");
    this.film.open(file);
  }

  #words() {
    const { film } = this;
    if (!film.file) return "Open the film to begin.";
    if (this.#told) return this.#told;
    if (this.#sounds.length) return `Sound ${this.#sound + 1} of ${this.#sounds.length}, at ${clock(this.#sounds[this.#sound])}. Is it the start? Then press “GO is here”; if not, “Next sound”.`;
    if (film.go === null) return "Find the moment of GO, by picture or by sound, and press “GO is here”.";
    const marks = this.sheet.judged("video").length;
    return `GO is ${(film.go / 1000).toFixed(2)} s into the film.${marks ? " Marks that stand keep their times if you move it." : ""}`;
  }

  /** Goes to where the sound rises most; pressed again, to the next. */
  async #find() {
    const { film } = this;
    if (!film.file) return;
    if (!this.#sounds.length) await this.#listen(film.file);
    else this.#sound = (this.#sound + 1) % this.#sounds.length;
    if (!this.#sounds.length) return;
    setText(this.find, "Next sound");
    film.video.pause();
    film.jump(this.#sounds[this.#sound]);
    film.onchange();
  }

  /** @param {File} file */
  async #listen(file) {
    this.#sound = 0;
    this.#told = "Searching the film for its sound…";
    this.film.onchange();
    this.#sounds = file.size > MOST_BYTES ? [] : await heard(file);
    const why = file.size > MOST_BYTES ? "The film is too large to search for its sound." : "No sound was found on this film.";
    this.#told = this.#sounds.length ? "" : `${why} Set GO by the picture.`;
    this.film.onchange();
  }

  /** Plays what comes just before GO, to hear whether it is right. */
  hear() {
    if (this.film.go === null) return;
    this.film.jump(this.film.go - BEFORE_SOUND_MS);
    this.film.play();
  }
}

/** The moments of a film at which a sound begins most suddenly, ms. @param {File} file @returns {Promise<number[]>} */
async function heard(file) {
  try {
    const sound = await new OfflineAudioContext(1, 1, RATE).decodeAudioData(await file.arrayBuffer());
    return onsets(sound.getChannelData(0), sound.sampleRate);
  } catch {
    return []; // a film without sound, or one whose sound this browser can't read by itself
  }
}

/** A time with its hundredths, m:ss.cc. @param {number} ms */
export function clock(ms) {
  return (ms < 0 ? "−" : "") + clockText(Math.round(Math.abs(ms) / 10) * 10, 2);
}
