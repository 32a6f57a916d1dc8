// @ts-check
/** A wall screen: takes what changes from the stream, decides which scene it is time for, and draws it. */

import { ServerClock } from "../../device/server_clock.js";
import { startStream } from "../../device/stream.js";
import { Wake } from "../../device/wake.js";
import { setData, setText } from "../../parts/dom.js";
import { frames } from "../../parts/timing.js";
import { Clock } from "./wall/clock.js";
import { Heard } from "./wall/heard.js";
import { knownOf } from "./wall/known.js";
import { fitBesidePictures } from "./wall/looks.js";
import { Pieces } from "./wall/pieces.js";
import { sceneOf } from "./wall/scene.js";
import { Stage } from "./wall/stage.js";
import { which } from "./which.js";
import { LOCALES, say } from "../../words/say.js";

const STREAM = `/wall/stream${which}`;
const SILENT_MS = 3000; // a restart of the server is over by then
const STEP_MS = 100; // tenths are shown in the last ten seconds
const HAND_MS = 4000; // for how long after a hand moved the buttons are seen
const ASK_AGAIN_MS = 2000;

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const [main, line] = ["wall", "wall-line"].map(part);
const asked = new URLSearchParams(location.search);
const purpose = asked.get("for") ?? "all";
const block = { first: Number(asked.get("first")) || 0, last: Number(asked.get("last")) || Infinity };

const pieces = new Pieces();
const server = new ServerClock("/board/time");
const clock = new Clock(server);
const stage = new Stage(main, block);
let size = "";

/** One step. @returns {number} how many ms the screen can stand still */
function step() {
  const floor = pieces.get("floor");
  const reading = clock.read(floor, pieces.get("race")?.attempt ?? null);
  const scene = sceneOf(knownOf(pieces, reading, purpose, performance.now()));
  const changed = stage.show(scene, pieces, reading);
  const now = `${innerWidth}x${innerHeight}`;
  if (changed || now !== size) fitBesidePictures(main);
  size = now;
  return STEP_MS;
}

const { soon } = frames(step);
addEventListener("resize", soon);

/** @param {import("./wall/pieces.js").Update} update */
async function take(update) {
  try {
    if (!pieces.take(update)) pieces.take(await pieces.ask());
    soon();
  } catch {
    // No network: the stream comes back by itself and begins with what was missed.
  }
}

/** A window beside another of this browser shares its line, and hears only what changes from then on: it asks until it has all. */
async function begin() {
  if (pieces.version) return;
  const whole = await pieces.ask().catch(() => null);
  if (!whole) setTimeout(begin, ASK_AGAIN_MS);
  else if (!pieces.version) take(whole);
}

let warning = 0;
document.body.addEventListener("ledger:wall", (event) => take(/** @type {CustomEvent} */ (event).detail));
document.body.addEventListener("ledger:link", (event) => {
  const { url, live } = /** @type {CustomEvent} */ (event).detail;
  if (url !== STREAM) return;
  clearTimeout(warning);
  if (live) begin();
  if (live) line.hidden = true;
  else if (line.hidden) {
    const since = new Date().toLocaleTimeString(LOCALES, { hour: "2-digit", minute: "2-digit" });
    warning = setTimeout(() => {
      setText(line, say("No line to the desk. Numbers as of {since}.", { since }));
      line.hidden = false;
    }, SILENT_MS);
  }
});

let hand = 0;
for (const kind of ["pointermove", "pointerdown", "keydown"]) {
  addEventListener(kind, () => {
    setData(document.body, "hand", true);
    clearTimeout(hand);
    hand = setTimeout(() => setData(document.body, "hand", false), HAND_MS);
  });
}
part("wall-full").addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()));
part("wall-full").hidden = !document.fullscreenEnabled;
document.fonts.ready.then(() => fitBesidePictures(main));

server.start();
new Heard(server);
new Wake().keepOn();
startStream(STREAM, { topics: ["wall"], since: () => pieces.version, instead: async () => ({ topic: "wall", data: await pieces.ask() }) });
