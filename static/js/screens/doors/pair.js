// @ts-check
// Pairing on the tablet: a token from the QR code, or a typed code, shows what this device will become; then it is asked.

import { say } from "../../words/say.js";

const LOOK_EVERY_MS = 1000; // whether the desk has let this device in
const NO_DESK = say("The desk can't be reached. Is this device on the same network? Then try again.");

/** @typedef {{token: string} | {code: string}} Secret */
/** @typedef {{ok: boolean, answer: any}} Answered */

/** @template {HTMLElement} T @param {string} id @returns {T} */
function byId(id) {
  return /** @type {T} */ (document.getElementById(id));
}

const ask = /** @type {HTMLFormElement} */ (byId("ask"));
const code = /** @type {HTMLInputElement} */ (byId("code"));
const agree = /** @type {HTMLButtonElement} */ (byId("agree"));
const wrong = byId("wrong");
const promise = byId("promise");
const waiting = byId("waiting");

/** @type {Secret | null} */
let secret = null;

/** @param {string} path @param {Secret} body @returns {Promise<Answered>} */
async function post(path, body) {
  try {
    const response = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json" },
      body: JSON.stringify(body),
      credentials: "same-origin",
      cache: "no-store",
    });
    return { ok: response.ok, answer: await response.json() };
  } catch {
    return { ok: false, answer: { sentence: NO_DESK } };
  }
}

/** @param {string} sentence empty to say nothing */
function complain(sentence) {
  wrong.textContent = sentence;
  wrong.hidden = sentence === "";
}

/** @param {Secret} offered */
async function look(offered) {
  complain("");
  const { ok, answer } = await post("/pair/look", offered);
  if (!ok) {
    complain(answer.sentence ?? NO_DESK);
    askForCode();
    return;
  }
  secret = offered;
  byId("becomes").textContent = answer.becomes;
  byId("of").textContent = answer.competition ? say("of {competition}", { competition: answer.competition }) : "";
  const givesUp = byId("gives-up");
  givesUp.textContent = answer.gives_up ? say("It stops being “{name}”.", { name: answer.gives_up }) : "";
  givesUp.hidden = !answer.gives_up;
  ask.hidden = true;
  promise.hidden = false;
  agree.focus();
}

function askForCode() {
  secret = null;
  promise.hidden = true;
  waiting.hidden = true;
  ask.hidden = false;
  code.focus();
}

ask.addEventListener("submit", (event) => {
  event.preventDefault();
  look({ code: code.value });
});

byId("refuse").addEventListener("click", () => {
  complain("");
  askForCode();
});

agree.addEventListener("click", async () => {
  if (!secret) return;
  agree.disabled = true;
  const { ok, answer } = await post("/pair", secret);
  agree.disabled = false;
  if (ok && answer.word) waitFor(answer.word);
  else if (ok) location.replace(answer.to);
  else {
    await look(secret); // it says why, in the language of this page
    if (wrong.hidden) complain(answer.sentence ?? NO_DESK); // what it would become still holds: the asking itself failed
  }
});

/** @param {string} word what the desk has to see too */
function waitFor(word) {
  byId("word").textContent = word;
  promise.hidden = true;
  ask.hidden = true;
  waiting.hidden = false;
  setTimeout(lookAtDesk, LOOK_EVERY_MS);
}

/** Whether the desk has answered. A desk that can't be reached is asked again. */
async function lookAtDesk() {
  try {
    const response = await fetch("/pair/waiting", { headers: { accept: "application/json" }, cache: "no-store" });
    const told = await response.json();
    if (told.state === "in") return location.replace(told.to);
    if (told.state === "no" || told.state === "none") {
      complain(told.sentence);
      return askForCode();
    }
    complain("");
  } catch {
    complain(NO_DESK);
  }
  setTimeout(lookAtDesk, LOOK_EVERY_MS);
}

/** The token leaves the address at once: it must not stay in the history, nor on a screen that others photograph. */
function takeToken() {
  const token = location.hash.slice(1);
  if (!token) return;
  history.replaceState(null, "", location.pathname);
  ask.hidden = true;
  look({ token });
}

if (!waiting.hidden) setTimeout(lookAtDesk, LOOK_EVERY_MS); // a page that was loaded again
addEventListener("hashchange", takeToken); // a second QR code scanned into the open page
takeToken();
