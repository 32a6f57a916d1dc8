// @ts-check
import { Offset } from "../../rules/clock.js";

const FIRST_PINGS = 8;
const FIRST_EVERY_MS = 250;
const THEN_EVERY_MS = 10_000;

/** The server's timeline as this page knows it, from four time stamps over plain requests. */
export class ServerClock {
  #offset = new Offset();
  #boot = "";
  #pings = 0;

  /** @param {string} url answers {boot, t2, t3} */
  constructor(url) {
    this.url = url;
  }

  start() {
    this.#ping();
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.#exchange(); // a computer that slept may have stopped its clock
    });
  }

  /** Milliseconds on the server's timeline, null before the first answer or after the server's computer was restarted. @param {string} boot */
  nowMs(boot) {
    const now = performance.now();
    const estimate = boot === this.#boot ? this.#offset.estimate(now) : null;
    return estimate ? now + estimate.offset : null;
  }

  async #ping() {
    await this.#exchange();
    this.#pings += 1;
    setTimeout(() => this.#ping(), this.#pings < FIRST_PINGS ? FIRST_EVERY_MS : THEN_EVERY_MS);
  }

  async #exchange() {
    try {
      const t1 = performance.now();
      const answer = await fetch(this.url, { cache: "no-store" });
      const t4 = performance.now();
      if (!answer.ok) return;
      const { boot, t2, t3 } = await answer.json();
      if (boot !== this.#boot) {
        this.#boot = boot;
        this.#offset = new Offset();
      }
      this.#offset.add(t1, t2, t3, t4);
    } catch {
      // No network: the offset that is known goes on.
    }
  }
}
