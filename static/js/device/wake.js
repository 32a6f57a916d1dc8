// @ts-check
import { Watched } from "./watched.js";

/** Keeps the screen from going dark while `wanted`. Where the browser can't (plain http), says so. */
export class Wake extends Watched {
  /** @type {WakeLockSentinel | null} */
  #lock = null;
  #wanted = false;

  /** Whether the browser offers it at all. */
  possible = "wakeLock" in navigator;

  constructor() {
    super();
    // the browser takes the lock away whenever the page is hidden
    document.addEventListener("visibilitychange", () => this.#take());
  }

  /** Whether the screen is kept on now. */
  get on() {
    return this.#lock !== null;
  }

  /** A sentence for the judge when the screen may go dark, else empty. */
  get sentence() {
    if (this.possible) return "";
    return "This page can't keep the screen on. Set the tablet's screen to stay on for 30 minutes or more.";
  }

  /** Asks for a screen that stays on, from now until `letGo`. */
  keepOn() {
    this.#wanted = true;
    return this.#take();
  }

  /** The screen may go dark again. */
  async letGo() {
    this.#wanted = false;
    await this.#lock?.release();
  }

  async #take() {
    if (!this.#wanted || this.#lock || !this.possible || document.visibilityState !== "visible") return;
    try {
      const lock = await navigator.wakeLock.request("screen");
      this.#lock = lock;
      lock.addEventListener("release", () => {
        this.#lock = null;
        this.changed();
      });
    } catch {
      this.#lock = null; // a battery saver may refuse; asked again when the page next shows
    }
    this.changed();
  }
}
