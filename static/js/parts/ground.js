// @ts-check
/**
 * The ground a screen is drawn on: slate for a dark hall, paper for sunlight, or what the system says.
 * The choice is this device's own, so it lives in its own storage and never on the server.
 */

const KEY = "lane-ledger.ground";

/** @typedef {"slate" | "paper"} Ground */

/** @returns {Ground} the ground that is on the screen now */
export function groundNow() {
  const chosen = document.documentElement.dataset.ground;
  if (chosen === "slate" || chosen === "paper") return chosen;
  return matchMedia("(prefers-color-scheme: light)").matches ? "paper" : "slate";
}

/** @param {Ground} ground */
function setGround(ground) {
  document.documentElement.dataset.ground = ground;
  try {
    localStorage.setItem(KEY, ground);
  } catch {
    // Storage may be switched off; the choice then lasts as long as the page.
  }
}

/** Turns slate into paper and back. @returns {Ground} */
export function turnGround() {
  const next = groundNow() === "slate" ? "paper" : "slate";
  setGround(next);
  return next;
}

/** Puts the remembered choice on the page. */
function recallGround() {
  try {
    const kept = localStorage.getItem(KEY);
    if (kept === "slate" || kept === "paper") document.documentElement.dataset.ground = kept;
  } catch {
    // As above: no storage, no memory.
  }
}

recallGround();
