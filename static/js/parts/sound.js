// @ts-check
import { choose, chosen } from "./choices.js";
import { coming } from "./cues.js";

/** The beeps. They are placed on the audio clock ahead of time, so that a busy page can't delay them. */

const AHEAD_MS = 1200; // how far ahead cues are handed to the audio clock
const LOOK_EVERY_MS = 250;
const MOVED_MS = 12; // a cue that is due so much sooner or later than it was placed for is placed anew
const FRAME_MS = 12; // the picture of a change comes within a frame after it, so its sound waits half as long
const PLAY_SOON_S = 0.03;

/** One kind of cue, or the answer to a touch: tones as [hertz, starts after ms, lasts ms]. @type {Record<string, [number, number, number][]>} */
const TONES = {
  tick: [[740, 0, 110]],
  go: [[1175, 0, 650]],
  bell: [[880, 0, 180], [660, 200, 480]],
  soon: [[988, 0, 90], [988, 160, 90]],
  norep: [[185, 0, 190]],
};

/** @typedef {import("./cues.js").Cue} Cue */
/** @typedef {{key: string, due: number, when: number, stop: () => void}} Placed due: on performance.now's line; when: on the audio clock */

export class Sound {
  /** @type {AudioContext | null} */
  #audio = null;
  /** @type {Placed[]} */
  #placed = [];
  /** @type {Cue[]} */
  #cues = [];
  /** @type {() => import("./cues.js").Clock | null} */
  #clock = () => null;

  constructor() {
    this.on = chosen("sound", "on") !== "off";
    setInterval(() => this.#placeCues(), LOOK_EVERY_MS);
    // Browsers give sound only after a touch; the first one anywhere will do.
    for (const touch of ["pointerdown", "pointerup", "keydown"]) addEventListener(touch, () => this.wake(), { capture: true, passive: true });
  }

  /** Whether the browser lets us sound. */
  get ready() {
    return this.#audio?.state === "running";
  }

  /** The cues handed to the audio clock lately, and the clock itself. */
  get schedule() {
    return { placed: this.#placed.map(({ key, due, when }) => ({ key, due, when })), audio: this.#audio };
  }

  /** Asks the browser for sound; only does anything inside a touch or a key press. */
  wake() {
    if (!this.on || this.ready || typeof AudioContext === "undefined") return;
    this.#audio ??= new AudioContext({ latencyHint: "interactive" });
    this.#audio.resume().catch(() => {}); // not yet allowed; the next touch tries again
  }

  /** @param {boolean} on */
  turn(on) {
    this.on = on;
    if (!on) this.quiet();
    choose("sound", on ? "on" : "off");
  }

  /** Plays a cue now, for the sound check. @param {Cue["kind"]} kind */
  play(kind) {
    this.wake();
    if (this.#audio) this.#sound(kind, this.#audio.currentTime + PLAY_SOON_S);
  }

  /** Answers a touch, where the sound is on. @param {"norep"} kind */
  answer(kind) {
    if (this.on && this.#audio) this.#sound(kind, this.#audio.currentTime + PLAY_SOON_S);
  }

  /**
   * Follows a heat: its cues, and its clock.
   * @param {Cue[]} cues
   * @param {() => import("./cues.js").Clock | null} clock null while there is none
   */
  follow(cues, clock) {
    this.quiet();
    this.#cues = cues;
    this.#clock = clock;
    this.#placeCues();
  }

  /** Forgets cues that have been placed and not yet sounded. */
  quiet() {
    for (const placed of this.#placed) placed.stop();
    this.#placed = [];
  }

  /** Looks at the clock at once: it was held, let go on, or moved. */
  look() {
    this.#placeCues();
  }

  #placeCues() {
    const audio = this.#audio;
    if (!this.on || !this.ready || !audio) return;
    const now = performance.now();
    const clock = this.#clock();
    const due = clock ? coming(this.#cues, clock, AHEAD_MS) : [];
    this.#takeBack(audio, due, now);
    for (const cue of due) {
      if (this.#placed.some((placed) => placed.key === cue.key)) continue;
      const when = audioTime(audio, now + cue.in + FRAME_MS);
      if (when > audio.currentTime) this.#placed.push({ key: cue.key, due: now + cue.in, when, stop: this.#sound(cue.kind, when) });
    }
  }

  /**
   * Takes back what will not be heard when it is due, because the heat's clock moved or the audio clock did; forgets what has sounded.
   * @param {AudioContext} audio @param {import("./cues.js").Coming[]} due @param {number} now
   */
  #takeBack(audio, due, now) {
    const times = new Map(due.map((cue) => [cue.key, now + cue.in]));
    this.#placed = this.#placed.filter((placed) => {
      if (placed.due < now) return placed.due > now - AHEAD_MS;
      const off = Math.abs((times.get(placed.key) ?? Infinity) - placed.due);
      const drifted = Math.abs(audioTime(audio, placed.due + FRAME_MS) - placed.when) * 1000;
      if (off < MOVED_MS && drifted < MOVED_MS) return true;
      placed.stop();
      return false;
    });
  }

  /**
   * @param {Cue["kind"] | "norep"} kind
   * @param {number} when seconds on the audio clock
   * @returns {() => void} takes it back
   */
  #sound(kind, when) {
    const audio = /** @type {AudioContext} */ (this.#audio);
    const voices = TONES[kind].map(([hertz, after, lasts]) => {
      const from = when + after / 1000;
      const until = from + lasts / 1000;
      const gain = new GainNode(audio, { gain: 0 });
      const voice = new OscillatorNode(audio, { type: "triangle", frequency: hertz });
      gain.gain.setValueAtTime(0, from);
      gain.gain.linearRampToValueAtTime(0.5, from + 0.008); // a ramp, for a step would click
      gain.gain.setValueAtTime(0.5, Math.max(from + 0.008, until - 0.03));
      gain.gain.linearRampToValueAtTime(0, until);
      voice.connect(gain).connect(audio.destination);
      voice.start(from);
      voice.stop(until);
      return voice;
    });
    return () => voices.forEach((voice) => voice.disconnect());
  }
}

/**
 * The audio clock's time at which a sound leaves the loudspeaker at a moment of the page's clock. What the sound needs on its way
 * through the device is in the browser's own pair of time stamps, where it gives one.
 * @param {AudioContext} audio
 * @param {number} moment on performance.now's line
 */
function audioTime(audio, moment) {
  const { contextTime = 0, performanceTime = 0 } = audio.getOutputTimestamp?.() ?? {};
  if (contextTime > 0 && performanceTime > 0) return contextTime + (moment - performanceTime) / 1000;
  return audio.currentTime - (audio.outputLatency || audio.baseLatency || 0) + (moment - performance.now()) / 1000;
}
