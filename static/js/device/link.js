// @ts-check
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

const OPEN_MS = 5000; // a connection that isn't open by then is tried again
const SILENCE_MS = 7000; // nothing heard for so long, though we ping every second: the line is dead
const WAKING_MS = 2000; // the same on coming back to the front: a sleep may have ended the line without a word
const FIRST_PINGS = 32; // over 0 to 80 ms of delay: 99 of 100 tablets within 6 ms; with half as many it is 10
const FIRST_PING_MS = 125;
const PING_MS = 1000; // follows 100 ppm of drift as closely
const REPORT_MS = 2000;
const LEAST_WAIT_MS = 250;
const MOST_WAIT_MS = 5000;

/** @typedef {(message: any, receivedMs: number) => void} Handler receivedMs on performance.now's line */

/** The one socket of a tablet: pings for the clock, reports and marks to the desk, news from it. It comes back by itself. */
export class Link extends Watched {
  /** @type {WebSocket | null} */
  #socket = null;
  /** @type {Map<string, Set<Handler>>} */
  #handlers = new Map();
  #waitMs = 0;
  #heardMs = 0;
  /** When the line was opened, by performance.now: what comes over it was so at that moment or later. */
  openedMs = 0;
  #pings = 0;
  #reportedMs = 0;
  /** @type {number | undefined} */
  #pingTimer;
  /** @type {number | undefined} */
  #openTimer;
  #reportDue = false;
  #ended = false;
  /** Who waits for which answer. @type {Map<number, (answer: any) => void>} */
  #asked = new Map();
  #asks = 0;
  #greeting = { device: "", marks: 0 };
  #silent = false;

  /** True from the server's hello until the line breaks. */
  online = false;
  /** Why the desk sent this tablet away, else empty. */
  sentence = "";
  /** Makes the report that goes with every ping. @type {() => Record<string, any> | null} */
  report = () => null;

  /** @param {string} url */
  constructor(url) {
    super();
    this.url = new URL(url, location.href);
    this.url.protocol = this.url.protocol === "https:" ? "wss:" : "ws:";
    addEventListener("online", () => this.#again(0));
    addEventListener("pageshow", () => this.burst());
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.burst());
  }

  /**
   * Calls `handler` for each message of one type: hello, pong, packet, run, marks, bye. (An answer goes to whoever asked.)
   * @param {string} type
   * @param {Handler} handler
   */
  on(type, handler) {
    const handlers = this.#handlers.get(type) ?? new Set();
    this.#handlers.set(type, handlers.add(handler));
  }

  /** @param {Record<string, any>} message @returns {boolean} whether it could be handed to the line */
  send(message) {
    if (this.#socket?.readyState !== WebSocket.OPEN) return false;
    this.#socket.send(JSON.stringify(message));
    return true;
  }

  /** As whom the desk knows this line; empty before its hello. */
  get device() {
    return this.#greeting.device;
  }

  /** The most bytes that the desk takes as one message with marks; 0 while this line carries none. */
  get room() {
    return this.online && !this.#silent ? this.#greeting.marks : 0;
  }

  /**
   * Sends what has an answer, and waits for it. Null where none came: the line is not open, broke, or was silent for too long. A line
   * that was carries no more marks until it answers after all, or is opened anew.
   * @param {Record<string, any>} message @param {number} ms @returns {Promise<any>}
   */
  ask(message, ms) {
    const n = (this.#asks += 1);
    return new Promise((resolve) => {
      const timer = setTimeout(() => {
        this.#silent = true;
        this.#answered(n, null);
      }, ms);
      this.#asked.set(n, (answer) => {
        clearTimeout(timer);
        resolve(answer);
      });
      if (!this.send({ ...message, n })) this.#answered(n, null);
    });
  }

  /** @param {number} n @param {any} answer */
  #answered(n, answer) {
    const waits = this.#asked.get(n);
    this.#asked.delete(n);
    waits?.(answer);
  }

  /** Sends a report soon; many changes in one quarter of a second make one report. */
  reportSoon() {
    if (this.#reportDue) return;
    this.#reportDue = true;
    setTimeout(() => {
      this.#reportDue = false;
      this.#report();
    }, 250);
  }

  /** Pings in quick order again, to find the clock: after sleep, or on coming back to the front. */
  burst() {
    this.#pings = 0;
    this.#heardMs = Math.min(this.#heardMs, performance.now() - SILENCE_MS + WAKING_MS);
    if (this.online) this.#ping();
    else this.#again(0);
  }

  /** Opens the line. */
  open() {
    if (this.#ended || this.#socket) return;
    const socket = new WebSocket(this.url);
    this.#socket = socket;
    clearTimeout(this.#openTimer);
    this.#openTimer = setTimeout(() => !this.online && this.#broken(socket), OPEN_MS);
    socket.onopen = () => {
      this.#heardMs = this.openedMs = performance.now();
      this.#pings = 0;
      this.#ping();
    };
    socket.onmessage = (event) => this.#message(socket, event.data, performance.now());
    socket.onclose = socket.onerror = () => this.#broken(socket);
  }

  /** Closes the line for good. */
  close() {
    this.#ended = true;
    const socket = this.#socket;
    if (socket) this.#broken(socket);
  }

  /** @param {WebSocket} socket @param {unknown} data @param {number} receivedMs */
  #message(socket, data, receivedMs) {
    if (socket !== this.#socket) return;
    this.#heardMs = receivedMs;
    const message = read(data);
    if (message?.type === "hello") this.#greeted(message);
    if (message?.type === "answer") {
      this.#silent = false;
      this.#answered(message.n, message);
    }
    if (message?.type === "bye") this.#sentAway(message);
    for (const handler of this.#handlers.get(message?.type) ?? []) handler(message, receivedMs);
  }

  /** @param {any} message */
  #greeted(message) {
    this.online = true;
    this.#greeting = { device: String(message.device ?? ""), marks: Number(message.marks) || 0 };
    this.#silent = false;
    this.sentence = "";
    this.#waitMs = 0;
    this.#report();
    this.changed();
  }

  /** @param {any} message */
  #sentAway(message) {
    this.sentence = String(message.sentence ?? say("The desk has closed this tablet's line."));
    this.close();
  }

  #ping() {
    clearTimeout(this.#pingTimer);
    const socket = this.#socket;
    if (!socket) return;
    if (performance.now() - this.#heardMs > SILENCE_MS) {
      this.#broken(socket);
      return;
    }
    this.send({ type: "ping", t1: performance.now() });
    this.#pings += 1;
    const quick = this.#pings < FIRST_PINGS;
    if (performance.now() - this.#reportedMs >= REPORT_MS) this.#report();
    this.#pingTimer = setTimeout(() => this.#ping(), quick ? FIRST_PING_MS : PING_MS);
  }

  #report() {
    this.#reportedMs = performance.now();
    const values = this.report();
    if (values) this.send({ type: "report", ...values });
  }

  /** @param {WebSocket} socket */
  #broken(socket) {
    if (socket !== this.#socket) return;
    socket.onopen = socket.onmessage = socket.onclose = socket.onerror = null;
    socket.close();
    this.#socket = null;
    this.online = false;
    for (const n of [...this.#asked.keys()]) this.#answered(n, null);
    clearTimeout(this.#pingTimer);
    clearTimeout(this.#openTimer);
    if (!this.#ended) {
      this.#waitMs = Math.min(MOST_WAIT_MS, Math.max(LEAST_WAIT_MS, this.#waitMs * 2));
      this.#again(this.#waitMs * (0.5 + Math.random() / 2));
    }
    this.changed();
  }

  /** @param {number} ms */
  #again(ms) {
    if (this.#socket || this.#ended) return;
    clearTimeout(this.#openTimer);
    this.#openTimer = setTimeout(() => this.open(), ms);
  }
}

/** @param {unknown} data @returns {any} null for what isn't JSON */
function read(data) {
  try {
    return JSON.parse(String(data));
  } catch {
    return null;
  }
}

/**
 * Opens the tablet's line to the desk.
 * @param {{url?: string}} [options]
 * @returns {Link}
 */
export function startLink({ url = "/lane/socket" } = {}) {
  const link = new Link(url);
  link.open();
  return link;
}
