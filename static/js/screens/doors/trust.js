// @ts-check
import { openOutbox } from "../../device/outbox.js";
import { say } from "../../words/say.js";

// Whether this device trusts the desk's certificate: asked over https from the plain page, again and again while somebody works on
// it, so that the page knows by itself when it has worked. The token of the QR code goes along to where the device is paired.

const ANSWER_MS = 4000; // a blocked port answers never
const EVERY_MS = 4000;
const TOKEN = "lane-ledger.token";
const CLOCK_OFF_MS = 20 * 3_600_000; // a certificate begins two days before it is made, so only days matter

const SAYS = {
  yes: say("This device trusts the desk."),
  no: say("Not trusted yet"),
  closed: say("The secure address does not answer"),
  away: say("The desk does not answer"),
};
const WHY = {
  yes: "",
  no: "",
  closed: say("The desk answers here, but not over https: something on the laptop, perhaps its firewall, is blocking that port."),
  away: say("Is this device still on the hall's network? It keeps trying."),
};

/** @typedef {keyof typeof SAYS} Found */

/** @template {HTMLElement} T @param {string} id @returns {T} */
function byId(id) {
  return /** @type {T} */ (document.getElementById(id));
}

const main = byId("trust");
const origins = (main.dataset.origins ?? "").split(" ").filter(Boolean);
const token = takeToken();

/**
 * The token leaves the address at once, for screens are photographed. It is kept for this tab alone, because some tablets load the
 * page anew after a visit to their settings.
 */
function takeToken() {
  const fresh = location.hash.slice(1);
  if (fresh) history.replaceState(null, "", location.pathname);
  try {
    if (fresh) sessionStorage.setItem(TOKEN, fresh);
    return fresh || (sessionStorage.getItem(TOKEN) ?? "");
  } catch {
    return fresh;
  }
}

/** Where the device is paired, with the token. @param {string} origin empty: here @param {string} [query] */
function pairing(origin, query = "") {
  return `${origin}/pair${query}${token ? `#${token}` : ""}`;
}

/**
 * Asks one address for its yes.
 * @param {string} origin
 * @returns {Promise<"yes" | "no" | "silent">} no: refused at once, so the certificate is not trusted or the port is shut
 */
async function ask(origin) {
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), ANSWER_MS);
  try {
    const response = await fetch(`${origin}/trust/yes`, { cache: "no-store", credentials: "omit", signal: giveUp.signal });
    const answer = await response.json();
    return answer.lane_ledger === true ? "yes" : "no";
  } catch {
    return giveUp.signal.aborted ? "silent" : "no";
  } finally {
    clearTimeout(timer);
  }
}

/** Asks all addresses; the best one that says yes is used. @returns {Promise<{found: Found, origin: string}>} */
async function look() {
  const answers = await Promise.all(origins.map(ask));
  const best = answers.indexOf("yes");
  if (best !== -1) return { found: "yes", origin: origins[best] };
  if ((await ask("")) !== "yes") return { found: "away", origin: "" };
  return { found: answers.includes("no") ? "no" : "closed", origin: "" };
}

/** @param {Found} found @param {string} origin */
function show(found, origin) {
  const state = byId("state");
  const worked = found === "yes";
  if (state.textContent !== SAYS[found]) state.textContent = SAYS[found];
  state.dataset.state = worked ? "safe" : found === "no" ? "kept" : "look";
  byId("why").textContent = WHY[found];
  byId("why").hidden = !WHY[found];
  byId("check").hidden = worked;
  const goOn = /** @type {HTMLAnchorElement} */ (byId("go-on"));
  goOn.hidden = !worked;
  state.closest("section")?.toggleAttribute("data-worked", worked);
  if (worked) goOn.href = pairing(origin);
}

let asking = false;
let done = false;

async function check() {
  if (asking || done || document.visibilityState !== "visible") return;
  asking = true;
  const { found, origin } = await look();
  asking = false;
  done = found === "yes";
  show(found, origin);
}

/**
 * Marks that were made over the plain connection lie in a memory that the secure page does not see: they must go out from here.
 * @returns {Promise<number>} how many have not
 */
async function unsent() {
  try {
    const memories = await indexedDB.databases?.(); // a browser that does not list them is asked itself
    if (memories?.length === 0) return 0;
    const { here, refused } = (await openOutbox()).counts;
    return here + refused;
  } catch {
    return 0; // a browser without memory holds no marks
  }
}

/** @param {number} marks */
function warnOfMarks(marks) {
  const lane = document.createElement("a");
  lane.href = "/lane";
  lane.textContent = say("Open its screen");
  const warning = byId("warning");
  warning.replaceChildren(`${say("marks.plain", { n: marks })} `, lane, ` ${say("Wait there until they are safe; then come back here.")}`);
  warning.hidden = false;
}

/** A certificate has dates; a device that lives in another week refuses it. */
function compareClocks() {
  const off = Date.now() - Number(main.dataset.wallMs);
  if (Math.abs(off) < CLOCK_OFF_MS) return;
  const days = Math.max(1, Math.round(Math.abs(off) / 86_400_000));
  const warning = byId("warning");
  warning.textContent = say(off < 0 ? "clock.behind" : "clock.ahead", { n: days });
  warning.hidden = false;
}

/** An iPad calls itself a Mac; its screen can be touched in more than one place. */
function openSteps() {
  const steps = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll(".device-steps")]);
  const guess = navigator.userAgent.includes("Firefox") && !navigator.userAgent.includes("Android") ? "firefox" : navigator.maxTouchPoints > 1 && /Mac OS/.test(navigator.userAgent) ? "apple" : "";
  if (guess) for (const one of steps) one.open = one.dataset.device === guess;
  const open = steps.find((one) => one.open);
  if (open) open.parentElement?.prepend(open); // what this device needs comes first
}

async function begin() {
  openSteps();
  compareClocks();
  byId("check").addEventListener("click", check);
  /** @type {HTMLAnchorElement} */ (byId("go-without")).href = pairing("", "?plain");
  const [{ found, origin }, marks] = await Promise.all([look(), unsent()]);
  if (marks) warnOfMarks(marks);
  // A device that has trusted us before has nothing to do here.
  else if (found === "yes" && token) {
    location.replace(pairing(origin));
    return;
  }
  done = found === "yes";
  show(found, origin);
  setInterval(check, EVERY_MS);
  document.addEventListener("visibilitychange", check);
}

if (byId("check")) begin();
else {
  const onward = /** @type {HTMLAnchorElement | null} */ (document.querySelector("main a.act"));
  if (onward) onward.href = pairing("");
}
