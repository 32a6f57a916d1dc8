// @ts-check
/** The beeps: 3-2-1, GO, the change of window, the last ten seconds. Placed on the audio clock, so a busy page can't delay them. */

const AHEAD_MS = 1200; // how far ahead cues are handed to the audio clock
const LOOK_EVERY_MS = 250;
const KEY = "lane-ledger.sound";

/** One kind of cue: tones as [hertz, starts after ms, lasts ms]. @type {Record<string, [number, number, number][]>} */
const TONES = {
  tick: [[740, 0, 110]],
  go: [[1175, 0, 650]],
  bell: [[880, 0, 180], [660, 200, 480]],
  soon: [[988, 0, 90], [988, 160, 90]],
};

/** @typedef {{at: number, kind: "tick" | "go" | "bell" | "soon"}} Cue `at` in ms on the heat clock */

/**
 * The cues of an event.
 * @param {{windows: {start: number, seconds: number, task: string | null}[]}} format
 * @returns {Cue[]}
 */
export function cuesOf(format) {
  const cues = new Map([[0, "go"]]);
  const starts = new Set(format.windows.map((window) => window.start * 1000));
  const ends = new Set(format.windows.map((window) => (window.start + window.seconds) * 1000));
  for (const at of [...ends, ...starts]) if (at > 0) cues.set(at, starts.has(at) && !ends.has(at) ? "go" : "bell");
  for (const at of [...cues.keys()]) {
    for (const before of [3000, 2000, 1000]) if (!cues.has(at - before)) cues.set(at - before, "tick");
  }
  for (const at of ends) if (!cues.has(at - 10_000)) cues.set(at - 10_000, "soon");
  return [...cues].map(([at, kind]) => /** @type {Cue} */ ({ at, kind })).sort((a, b) => a.at - b.at);
}

export class Sound {
  /** @type {AudioContext | null} */
  #audio = null;
  /** @type {{key: string, stop: () => void}[]} */
  #placed = [];
  /** @type {Cue[]} */
  #cues = [];
  /** @type {() => number | null} */
  #heatMs = () => null;

  constructor() {
    this.on = recall() !== "off";
    setInterval(() => this.#placeCues(), LOOK_EVERY_MS);
    // Browsers give sound only after a touch; the first one anywhere will do.
    for (const touch of ["pointerdown", "pointerup", "keydown"]) addEventListener(touch, () => this.wake(), { capture: true, passive: true });
  }

  /** Whether the browser lets us sound. */
  get ready() {
    return this.#audio?.state === "running";
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
    try {
      localStorage.setItem(KEY, on ? "on" : "off");
    } catch {
      // No storage: the choice lasts as long as the page.
    }
  }

  /** Plays a cue now, for the sound check. @param {Cue["kind"]} kind */
  play(kind) {
    this.wake();
    if (this.#audio) this.#sound(kind, this.#audio.currentTime + 0.03);
  }

  /**
   * Follows a heat: its cues, and its clock.
   * @param {Cue[]} cues
   * @param {() => number | null} heatMs null while there is no clock
   */
  follow(cues, heatMs) {
    this.quiet();
    this.#cues = cues;
    this.#heatMs = heatMs;
  }

  /** Forgets cues that have been placed and not yet sounded: the heat was aborted, or its clock moved. */
  quiet() {
    for (const placed of this.#placed) placed.stop();
    this.#placed = [];
  }

  #placeCues() {
    const now = this.#heatMs();
    if (now === null || !this.on || !this.ready || !this.#audio) return;
    for (const cue of this.#cues) {
      const wait = cue.at - now;
      if (wait < 0 || wait > AHEAD_MS) continue;
      const key = `${cue.kind}${cue.at}`;
      if (this.#placed.some((placed) => placed.key === key)) continue;
      this.#placed.push({ key, stop: this.#sound(cue.kind, this.#audio.currentTime + wait / 1000) });
      this.#placed.splice(0, Math.max(0, this.#placed.length - 16));
    }
  }

  /**
   * @param {Cue["kind"]} kind
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

function recall() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
