// @ts-check
/** The board: takes updates from the stream, turns the tabs, runs the heat clock. */

import { startStream } from "../../device/stream.js";
import { Changes } from "./board/changes.js";
import { Floor } from "./board/floor.js";
import { Tabs } from "./board/tabs.js";
import { which } from "./which.js";
import { LOCALES, say } from "../../words/say.js";

const main = /** @type {HTMLElement} */ (document.getElementById("board"));
const line = /** @type {HTMLElement} */ (document.getElementById("board-line"));
const SILENT_MS = 3000; // a restart of the server is over by then, and nobody needs to have been told

const tabs = new Tabs(main);
const floor = new Floor(main);
const changes = new Changes(main, () => {
  tabs.refresh();
  floor.refresh();
});

document.body.addEventListener("ledger:board", (event) => changes.take(/** @type {CustomEvent} */ (event).detail));
document.body.addEventListener("ledger:link", (event) => showLine(/** @type {CustomEvent} */ (event).detail.live));
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) changes.catchUp(); // the leading tab may have told of changes while this one slept
});
startStream(`/board/stream${which}`, { topics: ["board"], since: () => changes.version, instead: askInstead });

/** Where there are more watchers than streams the board asks, and nobody need know. */
async function askInstead() {
  const data = await changes.ask();
  return data && { topic: "board", data };
}

let warning = 0;

/** Says when the numbers may be old; a wall that looks alive and is not would lie. @param {boolean} live */
function showLine(live) {
  clearTimeout(warning);
  if (live) line.hidden = true;
  else if (line.hidden) {
    const since = new Date().toLocaleTimeString(LOCALES, { hour: "2-digit", minute: "2-digit" });
    warning = setTimeout(() => {
      line.textContent = say("No line to the desk. Numbers as of {since}.", { since });
      line.hidden = false;
    }, SILENT_MS);
  }
}
