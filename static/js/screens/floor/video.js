// @ts-check
import { openOutbox } from "../../device/outbox.js";
import { Packet } from "../../device/packet.js";
import { Store } from "../../device/store.js";
import { startSync } from "../../device/sync.js";
import { startWorker } from "../../device/worker.js";
import { Film } from "../../parts/film.js";
import { el, fill } from "../../parts/dom.js";
import { Bench } from "./video/bench.js";
import { VideoSheet } from "./video/sheet.js";

/**
 * A lane judged from a film. The film stays in the browser; the marks go out as any tablet's do, and wait while the desk is away.
 * This browser may be a lane's tablet as well, so what the desk marks lies in a store of its own.
 */

const LOOK_AGAIN_MS = 15_000;

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const assignment = new URLSearchParams(location.search).get("assignment") ?? "";
const store = new Store("lane-ledger-video");
const packet = new Packet(store, `/review/video/packet?assignment=${encodeURIComponent(assignment)}`);
const [outbox] = await Promise.all([openOutbox(store), packet.load()]);
const sync = startSync(outbox, { url: "/marks?seat=desk" });

/** @type {Bench | null} */
let bench = null;
let first = true;

packet.onask = () => outbox.safeNow();
packet.onfresh = (value, safe) => {
  outbox.belongTo(value.device.id);
  outbox.compare(value.marks ?? [], safe, (mark) => mark.sheet.startsWith(`${assignment}/`) && mark.sheet.endsWith("/video"));
  outbox.learn(value.marks ?? []);
  if (value.held) outbox.held({ device: value.device.id, held: value.held, before: value.before }, true);
  if (first || !sync.state.paired) outbox.offerAgain();
  first = false;
  sync.nudge();
};

function begin() {
  const sheet = new VideoSheet(outbox, packet);
  const picture = el("video", { playsinline: true, preload: "auto", "data-role": "film-picture" });
  const film = new Film(picture, sheet.film, sheet.holds);
  film.go ??= sheet.goNoted();
  return new Bench(root, sheet, film, sync);
}

function changed() {
  if (packet.value?.heats?.length) bench ??= begin();
  else if (packet.sentence) sayOnly(packet.sentence);
  bench?.touch();
}

/** @param {string} words */
function sayOnly(words) {
  const door = el("a", { class: "button act", href: "/desk/enter?next=/desk" }, "Log in at the desk");
  const list = el("a", { class: "button", href: "/review/compare" }, "Compared sheets");
  fill(root, el("div", { class: "only" }, el("h1", {}, "Judge from video"), el("p", { class: "notice", "data-tone": "look" }, words), el("p", {}, packet.paired ? list : door)));
}

for (const part of [packet, outbox, sync]) part.watch(changed);
changed();
packet.refresh();
setInterval(() => document.hidden || packet.refresh(), LOOK_AGAIN_MS); // the lane's tablet may still be sending
startWorker({ mayReload: () => outbox.counts.here === 0 && !bench?.busy });
