// @ts-check
import { setText } from "../../parts/dom.js";
import { say } from "../../words/say.js";

/** Counting together before the first heat: one target, one number, sent to the desk when the judge says so. */

const LOOK_MS = 1500;
const MOST = 1000;
const ENDED = 409; // no count is open

const byId = (/** @type {string} */ id) => /** @type {HTMLButtonElement} */ (document.getElementById(id));
const page = byId("ten");
const [target, number, back, send, said] = ["ten-count", "ten-number", "ten-back", "ten-send", "ten-said"].map(byId);
let round = "";
let count = 0;

/** @param {string} state @param {string} words */
function turn(state, words) {
  page.dataset.state = state;
  for (const one of [target, back, send]) one.disabled = state !== "counting";
  setText(said, words);
}

/** @param {number} by */
function add(by) {
  if (page.dataset.state !== "counting") return;
  count = Math.max(0, Math.min(MOST, count + by));
  setText(number, count);
}

async function look() {
  try {
    const response = await fetch("/ten/now", { cache: "no-store" });
    const { open } = response.ok ? await response.json() : { open: round };
    if (open !== round) begin(open);
  } catch {
    if (page.dataset.state === "waiting") setText(said, say("The desk can't be reached. Trying again."));
  }
  setTimeout(look, LOOK_MS);
}

/** @param {string} open the count that is open, or nothing */
function begin(open) {
  round = open;
  if (!open && page.dataset.state === "counting") return turn("waiting", say("The desk has ended the count."));
  if (!open) return;
  count = 0;
  setText(number, 0);
  turn("counting", say("Count what is shown. Then send it."));
}

async function deliver() {
  send.disabled = true;
  try {
    const response = await fetch("/ten/count", { method: "POST", body: new URLSearchParams({ count: String(count) }) });
    const answer = await response.json();
    if (response.ok) turn("sent", say("The desk has your count: {count}.", { count: answer.count }));
    else if (response.status === ENDED) turn("waiting", say("The desk has ended the count."));
    else turn("counting", answer.sentence);
  } catch {
    turn("counting", say("The desk can't be reached. Your count is kept here: send it again."));
  }
}

target.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  add(1);
});
target.addEventListener("keydown", (event) => {
  if (event.repeat || (event.key !== "Enter" && event.key !== " ")) return;
  event.preventDefault();
  add(1);
});
back.addEventListener("click", () => add(-1));
send.addEventListener("click", deliver);
look();
