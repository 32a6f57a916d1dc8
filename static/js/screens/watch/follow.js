// @ts-check
/** What is followed, one entry or what is to be announced: asked for anew while it is looked at; without a network the page stays and says since when. */
import { inTime } from "../../device/stream.js";
import { setText } from "../../parts/dom.js";
import { LOCALES, say } from "../../words/say.js";

const EVERY_MS = 4000;
const ANSWER_MS = 4000; // a network that swallows what it is sent answers never
const SILENT_MS = 9000; // two asks that nobody answered

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const [place, line] = ["followed", "follow-line"].map(part);
const address = place.dataset.now ?? "";

let tag = "";
let heard = performance.now();
let heardAt = new Date();
let timer = 0;

async function ask() {
  try {
    const answer = await fetch(address, { headers: tag ? { "If-None-Match": tag } : {}, cache: "no-store", signal: inTime(ANSWER_MS) });
    if (answer.status === 200) {
      const told = new DOMParser().parseFromString(await answer.text(), "text/html");
      tag = answer.headers.get("ETag") ?? "";
      place.replaceChildren(...told.body.childNodes);
    } else if (answer.status !== 304) throw new Error(`The followed: ${answer.status}`);
    [heard, heardAt] = [performance.now(), new Date()];
  } catch {
    // No network: what is here stays.
  }
  showLine();
}

function showLine() {
  const silent = performance.now() - heard > SILENT_MS;
  line.hidden = !silent;
  if (silent) setText(line, say("No network. This is as of {time}.", { time: heardAt.toLocaleTimeString(LOCALES, { hour: "2-digit", minute: "2-digit" }) }));
}

async function go() {
  clearTimeout(timer);
  if (document.hidden) return;
  await ask();
  timer = setTimeout(go, EVERY_MS);
}

document.addEventListener("visibilitychange", go);
addEventListener("pageshow", (event) => event.persisted && go());
addEventListener("online", go);
timer = setTimeout(go, EVERY_MS);
