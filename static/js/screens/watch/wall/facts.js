// @ts-check
/** What a wall makes of the pieces it was sent. Values in, values out. */

/** @typedef {import("../../../parts/ribbon.js").Window & {says: string, up: boolean}} Window */
/** @typedef {{weight: string, colour: string, across: number, thick: number}} Plate */
/** @typedef {{load: string, sign: string, good: boolean, best: boolean, spoken: string}} Attempt */
/** @typedef {{kind: string, sign: string, word: string}} Light */
/** @typedef {{window: number, earlier: number, attempts: Attempt[], who: string, declared: string, other: string, locked: boolean, then: string, best: string, lights: Light[], spent: boolean}} Shown */
/** @typedef {{shown: Shown, plates: Plate[], judged_since: number | null, decided_at: number | null}} Lifts */
/** @typedef {{id: string, lane: number, entry: string, division: string, variant: string, members: string[], club: string, colours: string[], score: string, counts: string[], work: string[], done: number | null, whole: number | null, stopped: boolean, lifts: Lifts[], picture: string}} Lane */
/** @typedef {{name: string, order: string[][], by: string, behind: string[]}} Group */
/** @typedef {{heat: string, event: string, number: number, state: string, go_ms: number, boot: string, bound_ms: number | null, holds: string, clock: string, unit: string, lifting: number[], lanes: string[]}} Floor */
/** @typedef {{groups: Group[], order: string, after: string, called: string, attempt: import("../clock/face.js").Attempt | null}} Race */
/** @typedef {{id: string, place: string, entry: string, members: string[], score: string, unit: string, note: string, variant: string, colours: string[]}} Row */
/** @typedef {{id: string, division: string, title: string, state: string, score_name: string, event: string, rows: string[], fresh: string[]}} Panel */
/** @typedef {{heat: string, event: string, number: number, planned: string, lanes: {lane: number, entry: string, division: string, members: string[], club: string, colours: string[], picture: string}[]}} Waiting */
/** @typedef {{division: string, title: string, state: string, notes: string[], lines: {step: number, place: string, entry: string, members: string, score: string, colours: string[], picture: string}[]}} Podium */
/** @typedef {{competition: string, where: string, said: string, waiting: number, beside: string, panels: string[], heats: string[], podiums: string[]}} Head */

const VERDICT_MS = 7000; // for how long a lift that was decided stays the one to look at

/** How far each lane's bar is drawn, 0 to 1 of the row; null where no length would be true. @param {Lane[]} lanes @returns {Map<string, number | null>} */
export function lengths(lanes) {
  const most = Math.max(1, ...lanes.map(({ done, whole }) => whole ?? done ?? 0));
  return new Map(lanes.map(({ id, done, whole }) => [id, done === null ? null : Math.min(1, done / (whole ?? most))]));
}

/** The lanes that lead, each with the group it leads. @param {Group[]} groups @returns {Map<string, Group>} */
export function leaders(groups) {
  return new Map(groups.flatMap((group) => (group.order.length > 1 || group.order[0]?.length === 1 ? group.order[0].map((id) => /** @type {const} */ ([id, group])) : [])));
}

/** How far each lane is before the second, or behind the first, of its standing; nothing where that is not known. @param {Group[]} groups @returns {Map<string, string>} */
export function gaps(groups) {
  return new Map(groups.flatMap(({ order, by, behind }) => order.flatMap((level, n) => level.map((id) => /** @type {const} */ ([id, n ? behind[n] : by])))));
}

/**
 * The lane whose bar is looked at: whose attempt is being judged, the latest, until all lights are told, though somebody else was called; then
 * its verdict, for a while; else who is called, or whoever has declared and lifted longest ago.
 * @param {Lane[]} lanes @param {string} called @param {number} window @param {number} ms on the heat clock
 * @returns {{lane: Lane, lifts: Lifts, fresh: boolean} | null} fresh: it is looked at for its verdict
 */
export function looked(lanes, called, window, ms) {
  const all = lanes.flatMap((lane) => lane.lifts.filter(({ shown }) => shown.window === window).map((lifts) => ({ lane, lifts, fresh: false })));
  const judged = all.filter(({ lifts }) => lifts.judged_since !== null).sort((a, b) => Number(b.lifts.judged_since) - Number(a.lifts.judged_since))[0];
  const decided = all.filter(({ lifts }) => lifts.decided_at !== null && ms - lifts.decided_at < VERDICT_MS).sort((a, b) => Number(b.lifts.decided_at) - Number(a.lifts.decided_at))[0];
  if (decided && (!judged || Number(decided.lifts.decided_at) > Number(judged.lifts.judged_since))) return { ...decided, fresh: true };
  if (judged) return { ...judged, fresh: Number(judged.lifts.decided_at) > Number(judged.lifts.judged_since) };
  const waits = all.filter(({ lane, lifts }) => lifts.shown.declared && (!called || lane.id === called));
  return waits.sort((a, b) => (a.lifts.decided_at ?? -1) - (b.lifts.decided_at ?? -1))[0] ?? null;
}

/** Whether some judges have decided the newest try, and are not told before all have. @param {Lifts} lifts */
export const deciding = ({ shown }) => shown.lights.some(({ kind }) => kind === "in");

/** Who is called or next, beside the lift that is looked at: of whoever is looked at as the next one, those after them. @param {ReturnType<typeof looked>} found @param {Race} race */
export function besides(found, { order, after, called }) {
  const own = found !== null && !found.fresh && !deciding(found.lifts) && found.lane.id === called;
  return own ? after : order;
}

/** Whether nobody lifts any more in a window: every attempt is used up. @param {Lane[]} lanes @param {number} window */
export function spent(lanes, window) {
  const all = lanes.flatMap((lane) => lane.lifts.filter(({ shown }) => shown.window === window));
  return all.length > 0 && all.every(({ shown }) => shown.spent);
}

/**
 * By how many places each row has moved through those who have just come in: what it would be without them, less what it is.
 * @param {Row[]} rows of a standing @param {Set<string>} fresh the rows that came in @returns {Map<string, number>} below zero: down
 */
export function moved(rows, fresh) {
  const before = rows.filter(({ id }) => !fresh.has(id));
  const found = new Map();
  for (const row of before) {
    const place = placeOf(row);
    if (place !== null) found.set(row.id, before.filter((other) => (placeOf(other) ?? Infinity) < place).length + 1 - place);
  }
  return found;
}

/** @param {Row} row @returns {number | null} */
function placeOf({ place }) {
  const number = Number(place.replace("=", ""));
  return place && Number.isFinite(number) ? number : null;
}

/** The page of a standing that holds the first of those who have just come in. @param {string[]} rows @param {string[]} fresh @param {number} size */
export function pageOf(rows, fresh, size) {
  const first = rows.findIndex((id) => fresh.includes(id));
  return first < 0 ? 0 : Math.floor(first / size);
}

/** The lanes as the heat ended, standing by standing, those without anything last; and the place of each in this heat. @param {Lane[]} lanes @param {Group[]} groups */
export function ranked(lanes, groups) {
  /** @type {Map<string, string>} */
  const places = new Map();
  for (const { order } of groups) {
    let before = 0;
    for (const level of order) {
      for (const id of level) places.set(id, `${level.length > 1 ? "=" : ""}${before + 1}`);
      before += level.length;
    }
  }
  const sequence = groups.flatMap(({ order }) => order.flat());
  const at = (/** @type {Lane} */ { id }) => (sequence.includes(id) ? sequence.indexOf(id) : sequence.length);
  return { order: [...lanes].sort((a, b) => at(a) - at(b) || a.lane - b.lane), places };
}
