// @ts-check
/**
 * A page's own clock ends with the page. How the next page goes on with its time: after a reload by the browser's own account of when
 * the page before was left, which no wall clock enters; else by the wall clock, which alone goes on while no page is there.
 */

const LEFT = "lane-ledger-clock-left"; // of this tab alone: another tab's page is not the one before
const LEAST_BOUND_MS = 100; // what a reload may add: the wall clock's own resolution and slewing, the moments of leaving
const SLOW_LEAVING_MS = 2000; // what differs by less may be a page that was slow to go
const AGREE_MS = 1; // two looks at one clock so near that the look at the other falls between
const LOOKS = 3;
export const GAP_READ_MS = 1 + AGREE_MS; // between two looks at the gap, with nothing the matter: the wall clock tells whole milliseconds
export const MOST_BOUND_MS = 86_400_000; // no mark and no report can say more

/**
 * What a page leaves. Moments are on the wall clock, so that each page brings them to its own; `wrote`: when.
 * @typedef {{clock: {boot: string, delta: number, bound: number} | null, anchors: [string, any][], wrote: number}} Left
 */

/** The wall clock minus this page's. */
export function wallGap() {
  for (let look = 1; ; look += 1) {
    const before = performance.now();
    const wall = Date.now();
    const after = performance.now();
    if (after - before < AGREE_MS || look === LOOKS) return wall - (before + after) / 2;
  }
}

/** Leaves word as the page goes. @param {Left} left @param {number} gap the wall clock minus the page's */
export function leaveWord(left, gap) {
  write(sessionStorage, LEFT, { ...left, gap, now: performance.now() });
}

/** Takes the word back: the page is here again as it was. */
export function takeBack() {
  write(sessionStorage, LEFT, null);
}

/**
 * What the page before left, on the wall clock as it is now, and how far that may be off.
 * @param {Left | null} kept what was last written down in this browser
 * @param {number} gap the wall clock minus this page's
 * @returns {{left: Left, moved: number, bound: number} | null} moved: what is to be added to moments on the wall clock
 */
export function takeOver(kept, gap) {
  const word = read(sessionStorage, LEFT);
  takeBack();
  const [how] = /** @type {PerformanceNavigationTiming[]} */ (performance.getEntriesByType("navigation"));
  if (word && how?.type === "reload" && how.unloadEventStart > 0) return { left: word, ...afterReload(word, gap, how.unloadEventStart) };
  return kept && { left: kept, ...afterAbsence(kept.wrote) };
}

/** @param {{now: number, gap: number}} word @param {number} gap @param {number} unloadMs when the page before was left, by this page's clock */
function afterReload(word, gap, unloadMs) {
  const moved = unloadMs - word.now - (word.gap - gap);
  if (Math.abs(moved) > SLOW_LEAVING_MS) return { moved, bound: LEAST_BOUND_MS }; // the wall clock was set meanwhile
  return { moved: 0, bound: Math.max(LEAST_BOUND_MS, Math.abs(moved)) };
}

/**
 * The wall clock alone knows how long no page was there, and may have been set meanwhile. Forward by no more than it says that it was,
 * less what this page has been here; one that was set back says nothing, and no time is taken to have gone by before this page.
 * @param {number} wrote
 */
function afterAbsence(wrote) {
  const here = performance.now();
  const away = Date.now() - wrote;
  if (!(away >= -LEAST_BOUND_MS)) return { moved: Number.isFinite(away) ? away - here : 0, bound: MOST_BOUND_MS };
  return { moved: 0, bound: LEAST_BOUND_MS + Math.max(0, away - here) };
}

/** @param {Storage} storage @param {string} name @returns {any} */
export function read(storage, name) {
  try {
    return JSON.parse(storage.getItem(name) ?? "null");
  } catch {
    return null;
  }
}

/** @param {Storage} storage @param {string} name @param {any} value */
export function write(storage, name, value) {
  try {
    storage.setItem(name, JSON.stringify(value));
  } catch {
    // no storage: the clock is right as long as the page lives
  }
}
