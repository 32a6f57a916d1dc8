// @ts-check
import { el, setData } from "./dom.js";

/** The whole event drawn to scale: each member a track, each window of work a bar, rest a thin line, and now a line that moves. */

/** @typedef {{start: number, seconds: number, task: string | null, who: "all" | "any" | number[], holding?: number[]}} Window */

/** Members that a window puts to work. @param {Window} window @param {number} members @returns {number[]} */
function membersOf(window, members) {
  if (Array.isArray(window.who)) return window.who;
  return Array.from({ length: members }, (_, i) => i + 1);
}

export class Ribbon {
  /** @type {{index: number, bar: HTMLElement, from: number, until: number, member: number}[]} */
  #bars = [];
  /** @type {HTMLElement[]} */
  #names = [];
  #line = el("div", { class: "ribbon-line" });
  #length;
  #stamp = "";
  #place = "";

  /**
   * @param {{members: number, windows: Window[]}} format
   * @param {string[]} names one for each member; a single one may be empty
   */
  constructor(format, names) {
    this.#length = Math.max(...format.windows.map((window) => (window.start + window.seconds) * 1000));
    const tracks = Array.from({ length: format.members }, (_, i) => this.#track(format, i + 1));
    this.#names = names.slice(0, format.members).map((name) => el("span", { class: "ribbon-name" }, name));
    const over = el("div", { class: "ribbon-over" }, this.#line);
    over.style.gridRow = `1 / span ${format.members}`;
    tracks.forEach((track, i) => {
      track.style.gridRow = `${i + 1}`;
      if (this.#names[i]) this.#names[i].style.gridRow = `${i + 1}`;
    });
    const rows = tracks.flatMap((track, i) => [this.#names[i] ?? el("span"), track]);
    this.node = el("div", { class: "ribbon", role: "ribbon", "aria-hidden": "true", "data-members": format.members }, ...rows, over);
  }

  /**
   * Moves the line and marks what is past and what is now.
   * @param {number} ms on the heat clock
   */
  show(ms) {
    const part = Math.min(1, Math.max(0, ms / this.#length));
    const place = `translateX(${(part * 100).toFixed(1)}%)`;
    if (place !== this.#place) this.#line.style.transform = this.#place = place;
    const stamp = this.#bars.map(({ from, until }) => (ms >= until ? "p" : ms >= from ? "n" : "-")).join("");
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    const working = new Set(this.#bars.filter((_, i) => stamp[i] === "n").map((bar) => bar.member));
    this.#bars.forEach(({ bar }, i) => {
      setData(bar, "past", stamp[i] === "p");
      setData(bar, "now", stamp[i] === "n");
    });
    this.#names.forEach((name, i) => setData(name, "now", working.has(i + 1)));
  }

  /** @param {{members: number, windows: Window[]}} format @param {number} member */
  #track(format, member) {
    const track = el("div", { class: "ribbon-track" });
    format.windows.forEach((window, index) => {
      const holding = window.holding?.includes(member) ?? false;
      if (window.task == null || !(holding || membersOf(window, format.members).includes(member))) return;
      const bar = el("div", { class: "ribbon-window", "data-holding": holding });
      bar.style.left = `${((window.start * 1000) / this.#length) * 100}%`;
      bar.style.width = `${((window.seconds * 1000) / this.#length) * 100}%`;
      track.append(bar);
      this.#bars.push({ index, bar, from: window.start * 1000, until: (window.start + window.seconds) * 1000, member });
    });
    return track;
  }
}
