// @ts-check
/** The hall's big clock: the heat on the floor by the server's time; between heats the time of day and what comes next. */

import { ServerClock } from "../../device/server_clock.js";
import { Wake } from "../../device/wake.js";
import { el, fill, setData, setText } from "../../parts/dom.js";
import { Ribbon } from "../../parts/ribbon.js";
import { frames } from "../../parts/timing.js";
import { heatTime } from "../../rules/holding.js";
import { attemptFace, faceAt, isShown } from "./clock/face.js";
import { HallSound } from "./sound/hall_sound.js";
import { followClock } from "./sound/told.js";
import { LOCALES, say } from "../../words/say.js";

/** @typedef {import("./clock/face.js").Face} Face */
/** @typedef {{words: string, query: string}} Floor */
/** @typedef {{competition: string, heat: import("./clock/face.js").Heat | null, next: string, beside: {only: Floor | null, working: Floor[]}}} View */

const SILENT_MS = 3000; // a restart of the server is over by then
const STEP_MS = 250; // how often a clock that stands is looked at
const LETTERS = "ABCDEFGHIJKL";

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const [main, title, time, beside, label, big, minutes, tenths, now, next, place, line] = [
  "hall-clock", "hall-title", "hall-time", "hall-beside", "hall-label", "hall-big", "hall-minutes", "hall-tenths", "hall-now", "hall-next", "hall-ribbon", "hall-line",
].map(part);

const server = new ServerClock("/board/time");
const heard = new HallSound(heatNow, { sound: "hall-sound", voice: "voice" }); // the hall has loudspeakers or it has not; the desk's choice is another

/** @type {View} */
let view = JSON.parse(main.dataset.view ?? "");
/** @type {import("./clock/face.js").Format} */
let format = { members: 1, windows: [] };
/** @type {import("../../rules/holding.js").Hold[]} */
let holds = [];
/** @type {Ribbon | null} */
let ribbon = null;
let drawn = "";

/** Takes over what the stream says. @param {View} told */
function take(told) {
  view = told;
  const { heat } = view;
  holds = heat ? JSON.parse(heat.holds) : [];
  if (heat && heat.clock !== drawn) {
    drawn = heat.clock;
    format = JSON.parse(heat.clock);
    ribbon = new Ribbon(format, Array.from({ length: format.members }, (_, i) => (format.members > 1 ? LETTERS[i] : "")));
    fill(place, ribbon.node);
  }
  heard.take(heat, format);
  showBeside();
}

/** Says what else is on the floor, each with the way to its clock, and shows the way to the whole hall from one floor's; a link that somebody stands on stays while nothing changes. */
function showBeside() {
  part("hall-whole").hidden = !view.beside.only;
  const { working } = view.beside;
  const told = JSON.stringify(working);
  if (beside.dataset.told === told) return;
  beside.dataset.told = told;
  const links = working.flatMap(({ words, query }, at) => [at ? ", " : " ", el("a", { href: `/clock${query}` }, words)]);
  fill(beside, ...(links.length ? [say("Also on the floor:"), ...links] : []));
}

/** The heat's moment, null while there is none or the server's clock isn't known. */
function heatNow() {
  const server_ms = view.heat && server.nowMs(view.heat.boot);
  return server_ms === null || !view.heat ? null : heatTime(server_ms - view.heat.go_ms, holds);
}

/** One step. @returns {number} how many ms the screen can stand still */
function step() {
  const { heat } = view;
  const moment = heatNow();
  const shown = heat && moment && isShown(format, heat, moment.ms) ? moment : null;
  const attempt = shown && heat ? attemptFace(format, heat.attempt, shown) : null;
  const face = attempt ?? (shown ? faceAt(format, shown) : idleFace());
  const unsure = shown !== null && heat !== null && server.unsure(heat.bound_ms, attempt ? heat.attempt?.bound : 0);
  paint(unsure ? { ...face, next: say("clock.unsure") } : face);
  setData(main, "unsure", unsure);
  setText(title, shown && heat ? say("Heat {number} · {event}", { number: heat.number, event: heat.event }) : view.competition);
  setText(time, shown ? say("Time of day {time}", { time: timeOfDay() }) : "");
  place.hidden = !shown;
  ribbon?.show(shown?.ms ?? -1);
  if (!shown || face.tone === "over") return STEP_MS;
  if (shown.standing) return shown.left_ms === null ? STEP_MS : shown.left_ms % 1000;
  // Windows begin on whole seconds of the heat clock, so all that is shown in seconds or tenths changes on them.
  if (attempt) return STEP_MS;
  const each = face.tenths ? 100 : 1000;
  return each - (((shown.ms % each) + each) % each);
}

/** @returns {Face} */
function idleFace() {
  const stopped = view.heat?.state === "stopped" ? say("Heat {number} was stopped.", { number: view.heat.number }) : "";
  return { tone: "idle", label: say("Time of day"), minutes: timeOfDay(), tenths: "", now: view.next ? say("Next: {next}", { next: view.next }) : "", next: stopped, hurry: false };
}

/** @param {Face} face */
function paint(face) {
  setData(main, "tone", face.tone);
  setData(document.body, "held", face.tone === "held");
  setData(main, "digits", face.minutes.length);
  setData(main, "tenths", face.tenths !== "");
  setData(big, "hurry", face.hurry);
  setText(label, face.label);
  setText(minutes, face.minutes);
  setText(tenths, face.tenths);
  setText(now, face.now);
  setText(next, face.next);
}

function timeOfDay() {
  return new Date().toLocaleTimeString(LOCALES, { hour: "2-digit", minute: "2-digit", hour12: false });
}

part("hall-full").addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()));
part("hall-full").hidden = !document.fullscreenEnabled;

let warning = 0;
document.body.addEventListener("ledger:link", (event) => {
  clearTimeout(warning);
  if (!/** @type {CustomEvent} */ (event).detail.live) heard.lost();
  if (/** @type {CustomEvent} */ (event).detail.live) line.hidden = true;
  else {
    warning = setTimeout(() => {
      setText(line, say("No line to the desk. The clock keeps running; a new GO or a hold would not show here."));
      line.hidden = false;
    }, SILENT_MS);
  }
});
document.body.addEventListener("ledger:clock", (event) => {
  take(/** @type {CustomEvent} */ (event).detail);
  soon();
});

take(view);
server.start();
new Wake().keepOn();
const { soon } = frames(step);
followClock(() => heard.lost());
