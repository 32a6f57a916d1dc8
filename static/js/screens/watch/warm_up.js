// @ts-check
/** The warm-up area's page: follow.js beside it keeps it up to date; here the attempt's clock runs, and it is kept, on this device, who was ticked off. */

import { ServerClock } from "../../device/server_clock.js";
import { attemptWords } from "../../parts/lifting/attempt_clock.js";
import { setData, setText } from "../../parts/dom.js";
import { frames } from "../../parts/timing.js";
import { heatTime } from "../../rules/holding.js";

const STEP_MS = 250; // whole seconds
const SELDOM = { first: 8, thenEveryMs: 20_000 }; // many phones look at once

const TICKS = "lane-ledger.warm-up";
const MOST = 500; // attempts; a long day has fewer

const place = /** @type {HTMLElement} */ (document.getElementById("followed"));
const ticks = recall();

function show() {
  for (const box of boxes()) box.checked = ticks.has(box.dataset.tick ?? "");
}

/** @returns {HTMLInputElement[]} */
const boxes = () => [...place.querySelectorAll("input")].filter((box) => box.dataset.tick !== undefined);

place.addEventListener("change", (event) => {
  const box = event.target;
  if (!(box instanceof HTMLInputElement) || box.dataset.tick === undefined) return;
  if (box.checked) ticks.add(box.dataset.tick);
  else ticks.delete(box.dataset.tick);
  try {
    localStorage.setItem(TICKS, JSON.stringify([...ticks].slice(-MOST)));
  } catch {
    // No storage: the ticks stay for as long as the page lives.
  }
});
const server = new ServerClock("/board/time", SELDOM);

/** The time of each attempt that runs; nothing of one whose clock may be wrong. @returns {number} ms until the next look */
function step() {
  for (const node of /** @type {NodeListOf<HTMLElement>} */ (place.querySelectorAll("[data-runs]"))) {
    const { since, over, hurry, floor, bound, go, go_bound, boot, holds } = JSON.parse(node.dataset.runs ?? "");
    const now = server.nowMs(boot);
    const ms = now === null || server.unsure(go_bound, bound) ? null : heatTime(now - go, JSON.parse(holds)).ms;
    node.hidden = ms === null || ms < since;
    if (ms === null || node.hidden) continue;
    setText(node, attemptWords(over - ms, floor));
    setData(node, "tone", over - ms <= hurry ? "look" : null);
  }
  return STEP_MS;
}

server.start();
const { soon } = frames(step);
new MutationObserver(() => {
  show();
  soon();
}).observe(place, { childList: true });
show();

/** @returns {Set<string>} */
function recall() {
  try {
    return new Set(JSON.parse(localStorage.getItem(TICKS) ?? "[]"));
  } catch {
    return new Set();
  }
}
