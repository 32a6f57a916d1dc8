// @ts-check
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

const BY_HAND = say("Set the tablet's screen to stay on for 30 minutes or more.");

/** Keeps the screen from going dark while `wanted`. Where the browser can't (plain http), says so. */
export class Wake extends Watched {
  /** @type {WakeLockSentinel | null} */
  #lock = null;
  #wanted = false;
  #refused = false;

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
    if (!this.possible) return say("This page can't keep the screen on. {how}", { how: BY_HAND });
    return this.#refused ? say("The browser does not keep the screen on now, perhaps to spare the battery. {how}", { how: BY_HAND }) : "";
  }

  /** Asks for a screen that stays on, from now on. */
  keepOn() {
    this.#wanted = true;
    return this.#take();
  }

  async #take() {
    if (!this.#wanted || this.#lock || !this.possible || document.visibilityState !== "visible") return;
    try {
      const lock = await navigator.wakeLock.request("screen");
      this.#lock = lock;
      this.#refused = false;
      lock.addEventListener("release", () => {
        this.#lock = null;
        this.changed();
      });
    } catch {
      this.#lock = null; // asked again when the page next shows
      this.#refused = true;
    }
    this.changed();
  }
}
