// @ts-check
import { AfterPaint } from "./after_paint.js";
import { say } from "../words/say.js";

const IN_DOUBT = say("What the desk holds comes back when the desk is reached; anything else is missing: tell the desk.");
const ALL_BACK = say("All of them are back; nothing is missing.");
const NOT_SURE = say("None is known to be missing, but the last ones before that may be: compare with the desk.");
const NOTHING_LEFT = say("Everything this tablet kept is gone. What the desk holds comes back; nobody knows whether there was more: tell the desk.");

/** @typedef {import("./shelf.js").Mark} Mark */

/**
 * What is known of a loss, kept until the judge has told the desk. all: nothing was left that could say what was lost. sure: the
 * second copy was whole, so nothing beyond `missing` can be lost. doubt: the numbers given out before, until the desk has said what
 * it holds.
 * @typedef {{wiped: boolean, all: boolean, sure: boolean, restored: number, missing: number, doubt: Record<string, number> | null}} Loss
 */

/** @type {Loss} */
const NONE = { wiped: false, all: false, sure: false, restored: 0, missing: 0, doubt: null };

/**
 * How many marks a browser lost when it wiped its store: beside the store it keeps the numbers that it gave out, so that the desk's
 * word on what it holds shows what is missing. A browser writes that record late (9 seconds were seen), so it gives a least number;
 * only a second copy that was whole shows that there was no more.
 */
export class Losses {
  /** The last number given out, by device and epoch, of what the desk does not hold in full. @type {Record<string, number>} */
  #made;
  /** Called with what is known, to be kept for the next life of the page; with null when it was read. @type {(loss: Loss | null) => unknown} */
  #keep;
  #remembering = new AfterPaint(() => this.#remember());
  /** What is written down, as it is written. */
  #written = "";

  /** @type {Loss} */
  loss = { ...NONE };
  /** Settled when what is known is kept. @type {unknown} */
  kept;

  /** @param {string} [place] the name of the device's store @param {(loss: Loss | null) => unknown} [keep] */
  constructor(place = "lane-ledger", keep = () => {}) {
    this.madeKey = `${place}-made`; // in localStorage
    this.#made = recall(this.madeKey);
    this.#keep = keep;
  }

  /** What an earlier life of the page knew. @param {Loss | null | undefined} loss */
  recall(loss) {
    if (loss) this.loss = { ...NONE, ...loss };
  }

  /**
   * The store came up empty where there had been one.
   * @param {boolean} sure the second copy was whole
   * @param {boolean} [all] the second copy and the record of numbers are gone as well
   */
  wiped(sure, all = false) {
    this.#tell({ ...this.loss, wiped: true, sure, all, doubt: { ...this.#made } });
  }

  /** A mark was numbered. @param {Mark} mark */
  made({ device, epoch, seq }) {
    this.#made[`${device}/${epoch}`] = seq;
    this.#remembering.ask();
  }

  /** The desk holds everything. */
  settled() {
    if (!Object.keys(this.#made).length || this.loss.doubt) return;
    this.#made = {};
    this.#remembering.ask();
  }

  /** Marks came back from the second copy. @param {number} count */
  restored(count) {
    this.#tell({ ...this.loss, restored: this.loss.restored + count });
  }

  /**
   * The desk said what it holds through: what was given out, is not here and is not there either, is missing. Of a device that it
   * did not speak of nothing is known.
   * @param {Map<string, Record<string, number>>} held by device and epoch
   * @param {Mark[]} here
   */
  heard(held, here) {
    if (!this.loss.doubt) return;
    const known = new Set(here.map(({ device, epoch, seq }) => `${device}/${epoch}/${seq}`));
    let { missing, sure } = { ...this.loss, missing: 0 };
    for (const [name, last] of Object.entries(this.loss.doubt)) {
      const [device, epoch] = name.split("/");
      const through = held.get(device);
      if (!through) sure = false;
      for (let seq = (through?.[epoch] ?? 0) + 1; through && seq <= last; seq += 1) missing += known.has(`${name}/${seq}`) ? 0 : 1;
    }
    this.#tell({ ...this.loss, missing, sure, doubt: null });
  }

  /** How many marks are known to be missing for good. */
  get missing() {
    return this.loss.missing;
  }

  /** The judge has told the desk. */
  wasRead() {
    this.loss = { ...NONE };
    this.kept = this.#keep(null);
  }

  /** What the desk should know, as a key; empty where nothing was lost. */
  get trouble() {
    const { wiped, all, sure, restored, missing, doubt } = this.loss;
    if (!wiped) return restored ? "restored" : "";
    if (all) return "blank";
    if (missing) return sure ? "lost" : "lost-more";
    return sure && !doubt ? "restored" : "unsure";
  }

  /** What the judge should know, or an empty text. */
  get sentence() {
    const { wiped, all, sure, restored, missing, doubt } = this.loss;
    const back = restored ? ` ${say("marks.came_back", { n: restored })}` : "";
    if (!wiped) return back && say("This browser had lost marks.{back}", { back });
    if (all) return NOTHING_LEFT;
    const lost = say("This browser had lost its marks.{back}", { back });
    if (doubt) return `${lost} ${IN_DOUBT}`;
    if (missing) return `${lost} ${say(sure ? "marks.missing" : "marks.missing_least", { n: missing })}`;
    return `${lost} ${sure ? ALL_BACK : NOT_SURE}`;
  }

  /** Writes down what is not written down so. */
  #remember() {
    const made = JSON.stringify(this.#made);
    if (made === this.#written) return;
    this.#written = made;
    try {
      localStorage.setItem(this.madeKey, made);
    } catch {
      // without it a loss is told, but not how large it was
    }
  }

  /** @param {Loss} loss */
  #tell(loss) {
    this.loss = loss;
    this.kept = this.#keep(loss);
  }
}

/** @param {string} key @returns {Record<string, number>} */
function recall(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "{}") ?? {};
  } catch {
    return {};
  }
}

