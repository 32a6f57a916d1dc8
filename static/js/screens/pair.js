// @ts-check
// Pairing on the tablet: a token from the QR code, or a typed code, shows what this device will become; then it is asked.

const NO_DESK = "The desk can't be reached. Is this device in the same network? Then try again.";

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
  byId("of").textContent = answer.competition ? `of ${answer.competition}` : "";
  const givesUp = byId("gives-up");
  givesUp.textContent = answer.gives_up ? `It stops being “${answer.gives_up}”.` : "";
  givesUp.hidden = !answer.gives_up;
  ask.hidden = true;
  promise.hidden = false;
  agree.focus();
}

function askForCode() {
  secret = null;
  promise.hidden = true;
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
  if (ok) location.replace(answer.to);
  else {
    complain(answer.sentence ?? NO_DESK);
    askForCode();
  }
});

/** The token leaves the address at once: it must not stay in the history, nor on a screen that others photograph. */
function takeToken() {
  const token = location.hash.slice(1);
  if (!token) return;
  history.replaceState(null, "", location.pathname);
  ask.hidden = true;
  look({ token });
}

addEventListener("hashchange", takeToken); // a second QR code scanned into the open page
takeToken();
