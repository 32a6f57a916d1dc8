// @ts-check
/** The heat clock of a dry run or of a practice heat: as fast as asked, stopped and set at will. */

export const LEAD_MS = 10_000; // before GO, so that the countdown is seen

export class DryClock {
  #at = -LEAD_MS;
  #since = performance.now();
  #speed = 20;
  #playing = true;

  /** Before the desk has given a GO: there is no clock yet. */
  waiting = false;

  /** @param {number} end ms of the heat clock at which it stands still */
  constructor(end) {
    this.end = end;
  }

  /** Milliseconds since GO. */
  get ms() {
    const gone = this.playing ? (performance.now() - this.#since) * this.#speed : 0;
    return Math.min(this.#at + gone, this.end);
  }

  get playing() {
    return this.#playing && !this.waiting;
  }

  get speed() {
    return this.#speed;
  }

  /** @param {number} speed how many times faster than life */
  set speed(speed) {
    this.#stay();
    this.#speed = speed;
  }

  /** @param {boolean} playing */
  play(playing) {
    this.#stay();
    this.#playing = playing;
  }

  /** @param {number} ms */
  jump(ms) {
    this.waiting = false;
    this.#at = Math.min(Math.max(ms, -LEAD_MS), this.end);
    this.#since = performance.now();
  }

  /** Goes on from the time it is. */
  #stay() {
    this.#at = this.ms;
    this.#since = performance.now();
  }
}
