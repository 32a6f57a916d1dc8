// @ts-check
/** What a voice calls out in a heat, and when. Values in, words out; parts/voice.js says them. */
import { cuesOf } from "./cues.js";
import { say } from "../words/say.js";

/** @typedef {"count" | "ten" | "time" | "held" | "lanes" | "lifters"} What what can be switched on and off by itself */
/** @typedef {{at: number, what: What, text: string}} Callout `at` in ms on the heat clock */
/** @typedef {{what: What, text: string, late: number}} Call a call-out that is due; late: how many ms ago it was */
/** @typedef {import("../rules/holding.js").HeatTime} HeatTime */
/** @typedef {{windows: {start: number, seconds: number, task: string | null}[]}} Format */

const TEN_MS = 10_000;
const A_LETTER_MS = 75; // a voice at its usual pace
const A_BREATH_MS = 500;

/** The last seconds to what comes. */
const countWords = () => new Map([[3000, say("voice.three")], [2000, say("voice.two")], [1000, say("voice.one")]]);

/**
 * The call-outs of an event: the last ten seconds and three, two, one to each change; what begins, changes or ends there.
 * @param {Format} format
 * @returns {Callout[]} in order of time
 */
export function calloutsOf(format) {
  const cues = cuesOf(format);
  const changes = new Map(cues.filter(({ kind }) => kind === "go" || kind === "bell").map(({ at }) => [at, changeAt(format, at)]));
  /** @type {Callout[]} */
  const calls = [{ at: -TEN_MS, what: "ten", text: say("voice.ten") }];
  for (const { at, kind } of cues) {
    const before = [...countWords()].reverse().find(([ms]) => changes.has(at + ms));
    if (kind === "soon") calls.push({ at, what: "ten", text: say("voice.ten") });
    else if (kind === "tick" && before) calls.push({ at, what: "count", text: before[1] });
    else if (changes.get(at)) calls.push({ at, ...changes.get(at) });
  }
  return calls.sort((a, b) => a.at - b.at);
}

/** What is called at a change of windows; undefined where neither work begins nor ends. @param {Format} format @param {number} at @returns {any} */
function changeAt({ windows }, at) {
  const work = windows.filter(({ task }) => task !== null);
  const begins = work.some(({ start }) => start * 1000 === at);
  const ends = work.some(({ start, seconds }) => (start + seconds) * 1000 === at);
  if (begins) return { what: "count", text: ends ? say("voice.change") : say("voice.go") };
  return ends ? { what: "time", text: say("voice.time") } : undefined;
}

/**
 * The newest call-out that a heat's clock has come past between two looks at it; null for none. A clock that was set back, or that
 * nobody knew, calls nothing.
 * @param {Callout[]} callouts @param {HeatTime | null} before @param {HeatTime | null} now @returns {Call | null}
 */
export function passed(callouts, before, now) {
  if (before === null || now === null) return null;
  if (now.standing) return whileStanding(before, now);
  if (before.standing) return now.ms < before.ms ? null : { what: "count", text: say("voice.go"), late: now.ms - before.ms };
  const call = callouts.filter(({ at }) => before.ms < at && at <= now.ms).at(-1);
  return call ? { what: call.what, text: call.text, late: now.ms - call.at } : null;
}

/** @param {HeatTime} before @param {HeatTime} now @returns {Call | null} */
function whileStanding(before, { into_ms, left_ms }) {
  if (left_ms === null) return before.standing ? null : { what: "held", text: say("heat.held"), late: into_ms };
  const left = before.standing && before.left_ms !== null ? before.left_ms : Infinity;
  const come = (/** @type {number} */ ms) => left > ms && left_ms <= ms;
  const count = [...countWords()].filter(([ms]) => come(ms)).at(-1);
  if (count) return { what: "count", text: count[1], late: count[0] - left_ms };
  return come(TEN_MS) ? { what: "ten", text: say("voice.ten"), late: TEN_MS - left_ms } : null;
}

/** How many ms there are until the clock's next call-out. @param {Callout[]} callouts @param {HeatTime} now */
export function roomAt(callouts, now) {
  if (now.standing) return now.left_ms ?? Infinity;
  return (callouts.find(({ at }) => at > now.ms)?.at ?? Infinity) - now.ms;
}

/** How long a voice needs for some texts, at the most that is usual. @param {string[]} texts ms */
export function takes(texts) {
  return texts.reduce((ms, text) => ms + A_BREATH_MS + text.length * A_LETTER_MS, 0);
}
