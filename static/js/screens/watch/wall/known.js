// @ts-check
/** What a wall knows at a moment, for `sceneOf` to choose by: its pieces, its clock, what it is for. Values in, a value out. */
import { PAGE } from "./lists.js";

/** @typedef {import("./facts.js").Head} Head */
/** @typedef {import("./facts.js").Panel} Panel */
/** @typedef {import("./pieces.js").Pieces} Pieces */

/**
 * @param {Pieces} pieces @param {import("./clock.js").Reading} reading @param {string} purpose @param {number} clock_ms
 * @returns {import("./scene.js").Known}
 */
export function knownOf(pieces, reading, purpose, clock_ms) {
  /** @type {Head | null} */
  const head = pieces.get("head");
  const panels = head?.panels ?? [];
  const fresh = panels.flatMap((key) => freshPages(key, pieces.get(key)));
  return {
    purpose,
    said: head?.said ?? "",
    heat: reading.state,
    since_ms: reading.since_ms,
    lifting: reading.lifting,
    waiting: head?.waiting ?? 0,
    panels: panels.map((key) => ({ key, pages: pagesOf(pieces.get(key)) })),
    fresh,
    heats: (head?.heats ?? []).map((key) => ({ key, pages: 1 })),
    podiums: (head?.podiums ?? []).map((key) => ({ key, pages: 1 })),
    clock_ms,
  };
}

/** @param {Panel | null} panel */
const pagesOf = (panel) => Math.ceil((panel?.rows.length ?? 0) / PAGE);

/** The pages of a standing that somebody of the last heat is on. @param {string} key @param {Panel | null} panel */
function freshPages(key, panel) {
  return panel?.fresh.length ? [{ key, pages: pagesOf(panel) }] : [];
}
