// @ts-check
// Plays what a desk says, and the ways by which it comes, against the tablet's own packet: see test_told.py.
import { Packet } from "/static/js/device/packet.js";

/** The tablet's disk, as far as a packet needs one. */
class Disk {
  /** @type {Map<string, string>} */
  kept = new Map();

  /** @param {string} name */
  async get(name) {
    return JSON.parse(this.kept.get(name) ?? "null");
  }

  /** @param {string} name @param {(old: any) => any} next */
  async change(name, next) {
    this.kept.set(name, JSON.stringify(next(JSON.parse(this.kept.get(name) ?? "null"))));
  }
}

/** Each heat's run by what tells it from all others. @param {any} value */
const shown = (value) => value && Object.fromEntries(value.heats.map((/** @type {any} */ heat) => [heat.id, heat.run?.go_server_ms ?? null]));

async function settled() {
  for (let turn = 0; turn < 20; turn += 1) await Promise.resolve();
}

/**
 * @param {[string, any][]} steps opened (a line to the desk), told (a run over that line), asked, answered (the question that waits),
 * reload
 * @returns {Promise<any[]>} which run of each heat the packet holds after each step
 */
export async function played(steps) {
  const disk = new Disk();
  /** @type {((body: any) => void)[]} */
  const asked = [];
  const [real, realNow] = [window.fetch, performance.now];
  // The browser's own clock stands still for 0.1 ms, in which a whole play is over: no two steps are at the same moment in a hall.
  let moment = 0;
  performance.now = () => (moment += 1);
  window.fetch = /** @type {any} */ (() => new Promise((answer) => asked.push((body) => answer({ status: 200, ok: true, json: async () => body }))));
  const open = () => new Packet(/** @type {any} */ (disk), "/packet");
  const leave = (/** @type {Packet} */ left) => (left.refresh = async () => {});
  let [packet, openedMs] = [open(), 0];
  const seen = [];
  for (const [what, word] of steps) {
    if (what === "opened") openedMs = performance.now();
    if (what === "told") packet.applyRun(word, openedMs);
    if (what === "asked") packet.refresh();
    if (what === "answered") asked.shift()?.(word);
    if (what === "reload") {
      leave(packet);
      asked.length = 0;
      packet = open();
      await packet.load();
    }
    await settled();
    seen.push(shown(packet.value));
  }
  leave(packet);
  [window.fetch, performance.now] = [real, realNow];
  return seen;
}

/**
 * How a packet is asked for while each answer takes so long to come, by an imitated clock: when it was there, and how often it was asked for.
 * @param {number} afterMs @param {number[]} news when something happens that has it asked for anew @param {number} [hangs] so many of the first answers never come
 * @returns {Promise<[number | null, number]>} null: not within five minutes
 */
export async function waited(afterMs, news, hangs = 0) {
  const real = { fetch: window.fetch, setTimeout: window.setTimeout, clearTimeout: window.clearTimeout, now: performance.now };
  let [now, asked] = [0, 0];
  /** @type {Map<number, [number, () => void]>} */
  const due = new Map();
  let last = 0;
  const later = (/** @type {() => void} */ act, ms = 0) => (due.set((last += 1), [now + ms, act]), last);
  performance.now = () => now;
  window.setTimeout = /** @type {any} */ (later);
  window.clearTimeout = /** @type {any} */ ((/** @type {number} */ one) => due.delete(one));
  const body = { told: { boot: "boot-1", number: 0, at: 1 }, heats: [] };
  window.fetch = /** @type {any} */ ((/** @type {string} */ _, /** @type {RequestInit} */ { signal }) =>
    new Promise((answer, fail) => {
      asked += 1;
      signal?.addEventListener("abort", () => fail(signal.reason));
      if (asked > hangs) later(() => answer(/** @type {any} */ ({ status: 200, ok: true, json: async () => body })), afterMs);
    }));
  const packet = new Packet(/** @type {any} */ (new Disk()), "/packet");
  packet.refresh();
  for (const ms of news) later(() => packet.refresh(), ms);
  while (!packet.fresh && now < 300_000) {
    await settled();
    const [next] = [...due].sort(([a, [one]], [b, [other]]) => one - other || a - b);
    if (packet.fresh || !next) break;
    due.delete(next[0]);
    now = next[1][0];
    next[1][1]();
  }
  packet.refresh = async () => {};
  Object.assign(window, { fetch: real.fetch, setTimeout: real.setTimeout, clearTimeout: real.clearTimeout });
  performance.now = real.now;
  return [packet.fresh ? now : null, asked];
}
