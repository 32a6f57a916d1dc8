// @ts-check
/**
 * One stream of server-sent events for all tabs of a browser: a browser opens six connections to a server, and no more.
 * The leading tab holds the stream and passes on what it hears; hidden tabs hold none. Each event arrives in every tab as a
 * CustomEvent `ledger:<topic>` on document.body, and the state of the line as `ledger:link` {url, live}.
 */

import { candidate } from "./leader.js";

const RETRY_FIRST_MS = 400;
const RETRY_MOST_MS = 5000;
const RETRY_FULL_MS = 30_000; // while asking instead is answered: the server has no place for a stream, or not yet again
const ASK_EVERY_MS = 4000;
const SILENCE_MS = 40_000; // the server beats each 15 s: after this long the line is dead, whatever the browser believes

/**
 * What a page wishes for. `topics` to pass on; `since`: the version this tab shows; `instead` asks once what a stream would tell,
 * for while there is none: null for nothing new, and it throws when nobody answers.
 * @typedef {{ topics: string[], since?: () => string, instead?: () => Promise<Message | null> }} Wishes
 */

/**
 * Begins to listen. The first connection may fail, the server may be restarted: it keeps trying.
 * @param {string} url
 * @param {Wishes} wishes
 * @returns {{ stop: () => void }}
 */
export function startStream(url, wishes) {
  const channel = new BroadcastChannel(`stream:${url}`);
  const line = new Line(url, wishes, (message) => {
    channel.postMessage(message);
    deliver(url, message);
  });
  const office = candidate(`stream:${url}`, () => line.open(), () => line.close());
  const standIfSeen = () => (document.hidden ? office.withdraw() : office.stand());
  const leave = () => office.withdraw();

  channel.onmessage = ({ data }) => {
    if (data.topic !== "ask") deliver(url, data);
    else if (office.leads()) channel.postMessage(line.state());
  };
  document.addEventListener("visibilitychange", standIfSeen);
  addEventListener("pageshow", standIfSeen);
  addEventListener("pagehide", leave);
  channel.postMessage({ topic: "ask" });
  standIfSeen();

  return {
    stop() {
      document.removeEventListener("visibilitychange", standIfSeen);
      removeEventListener("pageshow", standIfSeen);
      removeEventListener("pagehide", leave);
      office.withdraw();
      channel.close();
    },
  };
}

/** @typedef {{ topic: string, data: any }} Message */

/**
 * @param {string} url
 * @param {Message} message
 */
function deliver(url, message) {
  const detail = message.topic === "link" ? { url, ...message.data } : message.data;
  document.body.dispatchEvent(new CustomEvent(`ledger:${message.topic}`, { detail }));
}

/** A signal that ends what takes longer. @param {number} ms @returns {AbortSignal} */
export function inTime(ms) {
  const giveUp = new AbortController();
  setTimeout(() => giveUp.abort(), ms);
  return giveUp.signal;
}

/** The connection itself: opens, watches, and opens again. */
class Line {
  /**
   * @param {string} url
   * @param {Wishes} wishes
   * @param {(message: Message) => void} tell
   */
  constructor(url, wishes, tell) {
    this.url = url;
    this.wishes = wishes;
    this.tell = tell;
    this.live = false;
    this.retryMs = RETRY_FIRST_MS;
    this.timer = 0;
    this.turn = 0; // each opening and closing is another
    /** @type {EventSource | null} */
    this.source = null;
  }

  open() {
    this.close();
    const since = this.wishes.since?.() ?? "";
    const source = new EventSource(`${this.url}${this.url.includes("?") ? "&" : "?"}since=${encodeURIComponent(since)}`);
    this.source = source;
    this.watch();
    source.onopen = () => {
      this.retryMs = RETRY_FIRST_MS;
      this.say(true);
    };
    // The browser itself retries a dropped line but not one that failed at first or answered 503: so it is always done here.
    source.onerror = () => this.again();
    source.addEventListener("beat", () => this.watch());
    for (const topic of this.wishes.topics) {
      source.addEventListener(topic, (event) => {
        this.watch();
        this.tell({ topic, data: JSON.parse(event.data) });
      });
    }
  }

  close() {
    clearTimeout(this.timer);
    this.turn += 1;
    this.source?.close();
    this.source = null;
  }

  /** Counts the silence from now. */
  watch() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.again(), SILENCE_MS);
  }

  async again() {
    this.close();
    this.say(false);
    const { turn, retryMs } = this;
    const openAt = performance.now() + retryMs * (0.75 + Math.random() / 2);
    const answered = await this.ask();
    if (turn !== this.turn) return;
    this.retryMs = Math.min(retryMs * 2, answered ? RETRY_FULL_MS : RETRY_MOST_MS);
    this.wait(openAt);
  }

  /** Until the stream is tried again it is asked instead, every few seconds. @param {number} openAt */
  wait(openAt) {
    const { turn } = this;
    const left = Math.max(0, openAt - performance.now());
    if (left <= ASK_EVERY_MS || !this.wishes.instead) {
      this.timer = setTimeout(() => this.open(), left);
      return;
    }
    this.timer = setTimeout(async () => {
      await this.ask();
      if (turn === this.turn) this.wait(openAt);
    }, ASK_EVERY_MS);
  }

  /** Asks once what the stream would have told. @returns {Promise<boolean>} whether somebody answered */
  async ask() {
    if (!this.wishes.instead) return false;
    const { turn } = this;
    try {
      const message = await this.wishes.instead();
      if (turn !== this.turn) return true;
      if (!this.live) this.say(true);
      if (message) this.tell(message);
      return true;
    } catch {
      if (turn === this.turn && this.live) this.say(false);
      return false;
    }
  }

  /** @param {boolean} live */
  say(live) {
    this.live = live;
    this.tell(this.state());
  }

  /** @returns {Message} */
  state() {
    return { topic: "link", data: { live: this.live } };
  }
}
