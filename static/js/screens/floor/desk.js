// @ts-check
/** The desk: one stream that says when to look, the heat clock with its countdown and sound, and the state of the line. */

import { drawWhenLifted } from "../../parts/under_finger.js";
import { ServerClock } from "../../device/server_clock.js";
import { startStream } from "../../device/stream.js";
import { cuesOf } from "../../parts/cues.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { setText } from "../../parts/dom.js";
import { HandClock } from "./desk/hand_clock.js";
import { Untouched } from "./desk/untouched.js";
import { say } from "../../words/say.js";

drawWhenLifted();
const floor = /** @type {HTMLElement} */ (document.getElementById("floor"));
const line = /** @type {HTMLElement} */ (document.getElementById("desk-line"));
const switchSound = /** @type {HTMLButtonElement} */ (document.getElementById("desk-sound"));
const SILENT_MS = 3000; // a restart of the server is over by then

const server = new ServerClock("/board/time");
const sound = new Sound();
const clock = new HandClock(server);
let followed = "";
/** @type {import("../../parts/timing.js").Frames | null} */
let drawing = null;

/** Takes over what the fragment says of the heat at hand; its cues are followed once for each run. */
function takeOver() {
  clock.read(document.getElementById("hand"));
  drawing?.soon();
  sound.look();
  const key = clock.key;
  if (key === followed) return;
  followed = key;
  sound.follow(clock.running ? cuesOf(clock.format) : [], () => clock.heatTime());
}

/** The fragment is fetched again when the clock passes GO or the last bell: the server has no event for that. */
function look() {
  floor.dispatchEvent(new CustomEvent("desk:look"));
}

function showSound() {
  setText(switchSound, say(sound.on ? "sound.on" : "sound.off"));
}

switchSound.addEventListener("click", () => {
  sound.turn(!sound.on);
  showSound();
  if (sound.on) sound.play("tick");
});

/** @param {string} words */
function announce(words) {
  setText(line, words);
  line.hidden = false;
}

let warning = 0;
document.body.addEventListener("ledger:link", (event) => {
  clearTimeout(warning);
  if (/** @type {CustomEvent} */ (event).detail.live) line.hidden = true;
  else {
    warning = setTimeout(() => announce("No line to the server. What you see may be out of date; the lanes keep going."), SILENT_MS);
  }
});
document.addEventListener("htmx:after:swap", takeOver);
document.addEventListener("htmx:before:swap", (event) => {
  // A desk that was logged out is sent to the door; the door's page must not land in the middle of this one.
  if (!/** @type {CustomEvent} */ (event).detail.ctx?.response?.raw?.redirected) return;
  event.preventDefault();
  location.assign("/desk/enter?next=/desk");
});
for (const trouble of ["htmx:error", "htmx:response:error"]) {
  document.addEventListener(trouble, (event) => {
    const ctx = /** @type {CustomEvent} */ (event).detail?.ctx;
    const status = ctx?.response?.raw?.status ?? 0;
    if (ctx?.request?.method?.toUpperCase() !== "POST" || status === 409 || status === 422) return;
    announce("That did not reach the server, or the server could not do it. Check the heat's state, then press again.");
  });
}
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) look();
});

new Untouched(floor);
showSound();
takeOver();
server.start();
drawing = frames(() => {
  if (clock.show()) look();
  return clock.still;
});
startStream("/desk/stream", { topics: ["desk"] });
