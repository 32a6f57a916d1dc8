// @ts-check
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

// Why the desk can't be reached, told apart: a browser calls every one of these "failed", and the errors of fetch and of the service
// worker's update are the same for a dead and for an untrusted one (tried). Refused is told at once, swallowed never.

const ANSWER_MS = 4000; // nothing heard for so long: it never comes
const AT_ONCE_MS = 700; // a refused connection is told within a round trip; longer means that packets are lost on the way
const HELD_MS = 700; // our server holds a TLS greeting on its plain port for a second (app/listening/listeners.py); a dead one refuses it
const AGAIN_MS = 5000;

/**
 * yes: it answers. dead: nobody listens at its address. silent: no answer comes. untrusted: it runs, but this tablet
 * does not accept its certificate. stranger: something else answers. adrift: this tablet is in no network.
 * @typedef {"yes" | "dead" | "silent" | "untrusted" | "stranger" | "adrift"} Found
 */

/** What is so, short enough for a strip; and what to do about it. @type {Record<Found, [string, string]>} */
const WORDS = {
  yes: ["", ""],
  dead: [say("This tablet can't reach the desk."), say("Nothing answers at its address. Ask the desk whether the program is running and whether the laptop's address has changed.")],
  silent: [say("This tablet can't reach the desk: no answer comes."), say("The Wi-Fi may be weak here, or the laptop asleep. Keep judging, or move closer.")],
  untrusted: [say("This tablet no longer trusts the desk."), say("The desk has a new certificate. Between heats, trust it again and come back.")],
  stranger: [say("Something else answers at the desk's address."), say("Show this tablet to the desk.")],
  adrift: [say("This tablet is on no network."), say("Check its Wi-Fi.")],
};

/** Looks for the reason while there is no line to the desk, and forgets it when there is one. */
export class Reach extends Watched {
  #looking = false;
  #needed = false;
  /** @type {number | undefined} */
  #timer;

  /** Null until the first look. @type {Found | null} */
  found = null;

  /** @param {string} plainPort where the desk speaks plain HTTP; empty: unknown, and an untrusted desk is called dead */
  constructor(plainPort) {
    super();
    this.plainPort = plainPort;
    addEventListener("offline", () => this.#needed && this.#look());
  }

  /** Why there is no line to the desk, or an empty text. */
  get sentence() {
    return this.#needed && this.found ? WORDS[this.found][0] : "";
  }

  /** What to do about it, or an empty text. */
  get advice() {
    return this.#needed && this.found ? WORDS[this.found][1] : "";
  }

  /** The line broke (true), or is there again (false). @param {boolean} broken */
  needed(broken) {
    if (broken === this.#needed) return;
    this.#needed = broken;
    clearTimeout(this.#timer);
    if (broken) this.#look();
    else this.found = null;
  }

  async #look() {
    if (this.#looking) return;
    clearTimeout(this.#timer);
    this.#looking = true;
    const found = await lookFor(this.plainPort);
    this.#looking = false;
    if (!this.#needed) return;
    const before = this.found;
    this.found = found;
    if (found !== before) this.changed();
    this.#timer = setTimeout(() => this.#look(), AGAIN_MS);
  }
}

/**
 * One look at the desk.
 * @param {string} plainPort
 * @returns {Promise<Found>}
 */
export async function lookFor(plainPort) {
  if (navigator.onLine === false && !atHome()) return "adrift";
  const { ms, aborted, answer } = await knock("/trust/yes", { credentials: "omit", redirect: "error" });
  if (answer) return answer.ours ? "yes" : "stranger";
  if (aborted || ms > AT_ONCE_MS) return "silent";
  if (location.protocol !== "https:" || !plainPort) return "dead";
  const plainDoor = new URL("/", location.href);
  plainDoor.port = plainPort;
  const held = await knock(plainDoor.href, { mode: "no-cors", credentials: "omit" });
  return held.aborted || held.ms > HELD_MS ? "untrusted" : "dead";
}

/** The laptop itself needs no network to be reached. */
function atHome() {
  return ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
}

/**
 * @param {string} address
 * @param {RequestInit} how
 * @returns {Promise<{ms: number, aborted: boolean, answer: {ours: boolean} | null}>}
 */
async function knock(address, how) {
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), ANSWER_MS);
  const begun = performance.now();
  try {
    const response = await fetch(address, { ...how, cache: "no-store", signal: giveUp.signal });
    const body = await response.json().catch(() => null);
    return { ms: performance.now() - begun, aborted: false, answer: { ours: body?.lane_ledger === true } };
  } catch {
    return { ms: performance.now() - begun, aborted: giveUp.signal.aborted, answer: null };
  } finally {
    clearTimeout(timer);
  }
}
