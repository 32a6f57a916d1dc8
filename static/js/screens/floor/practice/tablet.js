// @ts-check
/** What the lane screen takes for its tablet in a dry run or a practice heat: memory and nothing else. */

import { Watched } from "../../../device/watched.js";
import { Lane } from "../lane/state.js";

/** @typedef {import("../../../device/outbox.js").Draft} Draft */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

const HEX = 16;
const BOUND_MS = 3; // what a tablet on the same network usually knows the clock to

/** Marks in the memory of this page and nowhere else: none is kept, and none waits. */
class DryOutbox extends Watched {
  /** @type {Mark[]} */
  #marks = [];
  loss = "";
  trouble = "";
  counts = { here: 0, safe: 0, refused: 0 };

  /** @param {string} sheet @returns {Mark[]} */
  marks(sheet) {
    return this.#marks.filter((mark) => mark.sheet === sheet);
  }

  /** @param {Draft} draft */
  add(draft) {
    const seq = (this.#marks.at(-1)?.seq ?? 0) + 1;
    const mark = Object.freeze({
      id: seq.toString(HEX).padStart(32, "0"),
      device: "dry",
      epoch: 1,
      seq,
      sheet: draft.sheet,
      kind: draft.kind,
      at: Math.round(draft.at),
      err: BOUND_MS,
      win: draft.win ?? null,
      body: draft.body ?? {},
    });
    this.#marks.push(mark);
    this.changed();
    return { mark, kept: Promise.resolve(true) };
  }

  /** @param {() => void} make */
  together(make) {
    make();
  }

  /** Forgets what was marked from a moment on: the clock was set back. @param {number} ms */
  backTo(ms) {
    this.#marks = this.#marks.filter((mark) => mark.at < ms);
    this.changed();
  }
}

/** What the lane screen takes for its tablet: a packet from the page, a clock of its own, no network, no disk. */
export class DryTablet extends Watched {
  link = { online: true, sentence: "" };
  sync = { state: { sentence: "" } };
  outbox = new DryOutbox();
  forgets = true;
  room = { sentence: "", doubt: "" };
  wake = { sentence: "" };
  deskTrouble = "";
  loadsAlone = true;

  /** @param {any} packet @param {import("./clock.js").DryClock} clock */
  constructor(packet, clock) {
    super();
    this.packet = Object.assign(new Watched(), { value: packet, sentence: "", holdByHand() {} });
    this.timesync = {
      reading: () => (clock.waiting ? null : { ms: clock.ms, bound: BOUND_MS, clock: "synced", life: null }),
      handLate: () => null,
    };
    this.outbox.watch(() => this.changed());
  }

  show() {}

  startByHand() {}
}

/** A lane whose sheet is left for the same heat again: there is no other. */
export class DryLane extends Lane {
  /** @param {DryTablet} tablet @param {any} sound @param {() => void} onleave */
  constructor(tablet, sound, onleave) {
    super(/** @type {any} */ (tablet), sound);
    this.onleave = onleave;
  }

  leave() {
    this.onleave();
    this.turn();
  }
}
