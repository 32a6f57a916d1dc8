// @ts-check
/** Sends what the outbox holds, in order, until all of it is safe. */

import { bare } from "./shelf.js";
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

/** @typedef {import("./outbox.js").Outbox} Outbox */
/** @typedef {import("./outbox.js").Mark} Mark */
/** @typedef {import("./link.js").Link} Link */

const MOST_MARKS = 200; // what the desk takes in one request
const MOST_BYTES = 200_000; // and its limit is 256 kB
const AROUND_BYTES = 200; // of a message, around its marks
const ANSWER_MS = 5000; // a black-holed network answers never
const LINE_ANSWER_MS = 3000; // then a request is tried beside the line: a mark sent twice is one
const LEAST_WAIT_MS = 250;
const MOST_WAIT_MS = 5000;
const MOST_TOLD_MS = 60_000; // the desk never lets a tablet wait for longer
const LOOK_AGAIN_MS = 1000; // marks become due by themselves: a stalled disk, a closed tab

const NO_DESK = say("The desk can't be reached. Marks are kept here and are sent by themselves.");
const NOT_PAIRED = say("The desk doesn't know this tablet. Its marks are kept; pair it again at the desk.");

/** How one attempt went. @typedef {"sent" | "smaller" | "wait"} Outcome */

/**
 * @typedef {object} SyncState
 * @property {boolean} online the desk answered the last request
 * @property {boolean} paired false after the desk said it doesn't know this tablet
 * @property {number} pending marks on this tablet only
 * @property {number} safe marks at the desk
 * @property {number} refused marks the desk refused
 * @property {string} sentence what the judge should know, else empty
 */

/**
 * Sends what the outbox holds, in order, some at a time, until all of it is safe; by itself, for ever. It goes on the tablet's own line
 * where the desk takes marks on it, and what is not answered there as a request.
 */
export class Sync extends Watched {
  #waitMs = 0;
  /** Before this moment the desk takes nothing more from this tablet, on performance.now's line. */
  #notBefore = 0;
  #most = MOST_MARKS;
  #running = false;
  #backingOff = false;
  #stopped = false;
  /** @type {(() => void) | null} */
  #wake = null;
  #trouble = "";
  /** What the desk last said of marks that it keeps but does not count. */
  #doubled = "";
  /** The same of marks that are more than hands make. */
  #aside = "";

  /** @type {SyncState} */
  state = { online: true, paired: true, pending: 0, safe: 0, refused: 0, sentence: "" };

  /** @param {Outbox} outbox @param {string} url @param {Link | null} link */
  constructor(outbox, url, link = null) {
    super();
    this.outbox = outbox;
    this.url = url;
    this.link = link;
    outbox.watch(() => this.#outboxChanged());
    addEventListener("online", () => this.nudge());
  }

  /** Tries again now: the network is back, or somebody asked. */
  nudge() {
    this.#waitMs = 0;
    this.#wake?.();
  }

  /** Ends sending after the request under way. */
  stop() {
    this.#stopped = true;
    this.#wake?.();
  }

  /** Runs until stopped. */
  async run() {
    if (this.#running) return;
    this.#running = true;
    while (!this.#stopped) {
      const toldToWait = this.#notBefore - performance.now();
      if (toldToWait > 0) {
        await this.#pause(toldToWait); // new marks and a network that is back wake it, and change nothing in this
        continue;
      }
      const { marks: batch, again } = this.outbox.due(this.#most, (marks) => fitting(marks, this.#room || MOST_BYTES));
      if (!batch.length) {
        await this.#pause(this.outbox.counts.here ? LOOK_AGAIN_MS : null);
        continue;
      }
      const outcome = await this.#attempt(batch, again);
      if (outcome === "wait" && performance.now() >= this.#notBefore) await this.#backOff();
      else this.#waitMs = 0;
    }
    this.#running = false;
  }

  #outboxChanged() {
    this.#tell();
    if (!this.#backingOff) this.#wake?.(); // a new mark brings no network back
  }

  /** The most bytes of marks that go on the line at once; 0 where it carries none, or is another device's than makes them. */
  get #room() {
    const { link, outbox } = this;
    return link?.room && link.device === outbox.device ? Math.min(MOST_BYTES, link.room - AROUND_BYTES) : 0;
  }

  /** @param {Mark[]} batch @param {boolean} again whether the desk held these before @returns {Promise<Outcome>} */
  async #attempt(batch, again) {
    const told = this.#room ? await this.link?.ask({ type: "marks", ...(again && { again }), marks: batch.map(bare) }, LINE_ANSWER_MS) : null;
    return told ? this.#answered(batch, told.status, told) : this.#request(batch, again);
  }

  /** @param {Mark[]} batch @param {boolean} again @returns {Promise<Outcome>} */
  async #request(batch, again) {
    let response, answer;
    const giveUp = new AbortController();
    const timer = setTimeout(() => giveUp.abort(), ANSWER_MS);
    try {
      const url = again ? `${this.url}${this.url.includes("?") ? "&" : "?"}again=1` : this.url;
      response = await fetch(url, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ marks: batch.map(bare) }),
        credentials: "same-origin",
        redirect: "error",
        cache: "no-store",
        signal: giveUp.signal,
      });
      answer = await response.json().catch(() => null);
    } catch {
      return this.#failed(false, NO_DESK);
    } finally {
      clearTimeout(timer);
    }
    return this.#answered(batch, response.status, answer);
  }

  /** @param {Mark[]} batch @param {number} status @param {any} answer @returns {Outcome} */
  #answered(batch, status, answer) {
    const sentence = typeof answer?.sentence === "string" ? answer.sentence : "";
    if (status === 200 && typeof answer?.held === "object" && answer.held) return this.#taken(batch, answer);
    if (status === 429 && answer?.retry_s > 0) {
      this.#notBefore = performance.now() + Math.min(MOST_TOLD_MS, answer.retry_s * 1000);
      return this.#failed(true, sentence);
    }
    if (status === 401 || status === 403) {
      this.state.paired = false;
      return this.#failed(true, sentence || NOT_PAIRED);
    }
    if (status === 400 || status === 413 || status === 415 || status === 422) return this.#unreadable(batch, sentence);
    // A sentence means our desk speaks; anything else is a stranger on this address.
    return sentence ? this.#failed(true, sentence) : this.#failed(false, NO_DESK);
  }

  /** @param {Mark[]} batch @param {any} answer @returns {Outcome} */
  #taken(batch, answer) {
    Object.assign(this.state, { online: true, paired: true });
    this.#trouble = "";
    this.#most = Math.min(MOST_MARKS, this.#most * 2);
    const sentences = new Map((answer.refused ?? []).map((/** @type {any} */ r) => [`${r.epoch}/${r.seq}`, String(r.sentence)]));
    const refusal = (/** @type {Mark} */ mark) => sentences.get(`${mark.epoch}/${mark.seq}`);
    const refused = batch.filter((mark) => refusal(mark) !== undefined);
    this.outbox.received(batch.map((mark, n) => ({ ...mark, receipt: answer.receipts?.[n] ?? undefined })));
    this.outbox.held(answer);
    this.outbox.acknowledge(batch.filter((mark) => refusal(mark) === undefined));
    this.#tellDoubled(answer.doubled ?? []);
    this.#aside = String(answer.aside ?? "");
    if (refused.length) this.outbox.refuse(refused.map((mark) => ({ mark, sentence: refusal(mark) ?? "" })));
    this.#tell();
    return "sent";
  }

  /** Marks that the desk keeps, but beside others under their numbers. @param {{epoch: number, sentence: string}[]} doubled */
  #tellDoubled(doubled) {
    if (!doubled.length) return;
    this.#doubled = String(doubled[0].sentence);
    this.outbox.beginAnew(doubled.map(({ epoch }) => epoch));
  }

  /**
   * One bad mark must not hold up the others: smaller batches find it.
   * @param {Mark[]} batch
   * @param {string} sentence
   * @returns {Outcome}
   */
  #unreadable(batch, sentence) {
    if (batch.length === 1) {
      this.outbox.refuse([{ mark: batch[0], sentence: sentence || say("The desk could not read this mark.") }]);
      return "smaller";
    }
    this.#most = Math.ceil(batch.length / 2);
    return "smaller";
  }

  /** @param {boolean} online @param {string} sentence @returns {Outcome} */
  #failed(online, sentence) {
    this.state.online = online;
    this.#trouble = sentence;
    this.#tell();
    return "wait";
  }

  async #backOff() {
    this.#waitMs = Math.min(MOST_WAIT_MS, Math.max(LEAST_WAIT_MS, this.#waitMs * 2));
    // jitter, so that a dozen tablets don't come back in step
    this.#backingOff = true;
    await this.#pause(this.#waitMs * (0.5 + Math.random() / 2));
    this.#backingOff = false;
  }

  /** @param {number | null} ms null: until woken @returns {Promise<void>} */
  async #pause(ms) {
    await new Promise((resolve) => {
      const timer = ms === null ? undefined : setTimeout(resolve, ms, null);
      this.#wake = () => {
        clearTimeout(timer);
        resolve(null);
      };
    });
    this.#wake = null;
  }

  #tell() {
    const { here, safe, refused } = this.outbox.counts;
    // Marks whose answer was lost become safe by the desk's word on what it holds: then nothing is sent that would end the trouble.
    if (!here && this.state.paired) this.#trouble = "";
    const odd = refused ? `${say("marks.not_here", { n: refused })} ${this.outbox.reasons()[0]?.sentence ?? ""}`.trim() : "";
    Object.assign(this.state, { pending: here, safe, refused, sentence: this.#trouble || odd || this.#aside || this.#doubled });
    this.changed();
  }
}

/** The first marks that keep a message below the desk's limit, one at least. @param {Mark[]} marks @param {number} most bytes */
function fitting(marks, most) {
  const encoder = new TextEncoder();
  let bytes = 0;
  const end = marks.findIndex((mark) => (bytes += encoder.encode(JSON.stringify(mark)).length + 1) > most);
  return end === -1 ? marks : marks.slice(0, Math.max(1, end));
}

/**
 * Begins to send the outbox's marks.
 * @param {Outbox} outbox
 * @param {{url?: string, link?: Link}} [options]
 * @returns {Sync}
 */
export function startSync(outbox, { url = "/marks", link } = {}) {
  const sync = new Sync(outbox, url, link);
  sync.run();
  return sync;
}
