// @ts-check
import { heatTime } from "../../../rules/holding.js";
import { HallSound } from "../sound/hall_sound.js";
import { CLOCK_STREAM, followClock } from "../sound/told.js";

/** @typedef {import("../clock/face.js").Heat} Heat */

/** What a wall sounds like: what the hall clock is told, over a line of its own, which is there only while sound or voice is on. */
export class Heard {
  /** @type {{stop: () => void} | null} */
  #line = null;
  /** @type {Heat | null} */
  #heat = null;

  /** @param {import("../../../device/server_clock.js").ServerClock} server */
  constructor(server) {
    this.server = server;
    this.hall = new HallSound(() => this.#now(), { sound: "wall-sound", voice: "wall-voice" });
    this.hall.onturn = () => this.#listen();
    document.body.addEventListener("ledger:clock", (event) => this.#take(/** @type {CustomEvent} */ (event).detail.heat));
    document.body.addEventListener("ledger:link", (event) => {
      const { url, live } = /** @type {CustomEvent} */ (event).detail;
      if (url === CLOCK_STREAM && !live) this.hall.lost();
    });
    this.#listen();
  }

  #listen() {
    if (this.hall.on) this.#line ??= followClock(() => this.hall.lost());
    else if (this.#line) {
      this.#line.stop();
      this.#line = null;
      this.hall.lost();
      this.#take(null);
    }
  }

  /** @param {Heat | null} heat */
  #take(heat) {
    this.#heat = heat;
    this.hall.take(heat, heat ? JSON.parse(heat.clock) : { members: 1, windows: [] });
  }

  #now() {
    const server_ms = this.#heat && this.server.nowMs(this.#heat.boot);
    return server_ms === null || !this.#heat ? null : heatTime(server_ms - this.#heat.go_ms, JSON.parse(this.#heat.holds));
  }
}
