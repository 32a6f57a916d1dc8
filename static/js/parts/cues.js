// @ts-check
/** What is to be heard, felt and seen in a heat, and when. Values in, values out. */

/** @typedef {"tick" | "go" | "bell" | "soon"} Kind */
/** @typedef {{at: number, kind: Kind}} Cue `at` in ms on the heat clock */
/** @typedef {{ms: number, standing?: boolean, left_ms?: number | null}} Clock a moment of the heat, see rules/holding.js */
/** @typedef {{key: string, kind: Kind, in: number}} Coming a cue and how many ms from now; `key` names it for good */

const LAST_TEN_MS = 10_000;
const COUNTDOWN_MS = [3000, 2000, 1000];

/**
 * The cues of an event: 3-2-1 and GO, each change of window, the last ten seconds of each.
 * @param {{windows: {start: number, seconds: number, task: string | null}[]}} format
 * @returns {Cue[]} in order of time
 */
export function cuesOf(format) {
  /** @type {Map<number, Kind>} */
  const cues = new Map([[0, "go"]]);
  const starts = new Set(format.windows.map((window) => window.start * 1000));
  const ends = new Set(format.windows.map((window) => (window.start + window.seconds) * 1000));
  for (const at of [...ends, ...starts]) if (at > 0) cues.set(at, starts.has(at) && !ends.has(at) ? "go" : "bell");
  for (const at of [...cues.keys()]) {
    for (const before of COUNTDOWN_MS) if (!cues.has(at - before)) cues.set(at - before, "tick");
  }
  for (const at of ends) if (!cues.has(at - LAST_TEN_MS)) cues.set(at - LAST_TEN_MS, "soon");
  return [...cues].map(([at, kind]) => ({ at, kind })).sort((a, b) => a.at - b.at);
}

/**
 * The cues that come within the next `ahead` ms. While the heat is held only its going on is counted down to.
 * @param {Cue[]} cues
 * @param {Clock} clock
 * @param {number} ahead
 * @returns {Coming[]}
 */
export function coming(cues, { ms, standing = false, left_ms = null }, ahead) {
  const list = standing ? goingOn(ms, left_ms) : cues.map(({ at, kind }) => ({ key: `${kind}${at}`, kind, in: at - ms }));
  return list.filter((cue) => cue.in >= 0 && cue.in <= ahead);
}

/** @param {number} ms @param {number | null} left @returns {Coming[]} */
function goingOn(ms, left) {
  if (left === null) return [];
  const ticks = COUNTDOWN_MS.map((before) => ({ key: `on${ms}-${before}`, kind: /** @type {Kind} */ ("tick"), in: left - before }));
  return [...ticks, { key: `on${ms}`, kind: "go", in: left }];
}
