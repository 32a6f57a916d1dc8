// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";
// The desk's list of tablets, kept fresh: what each one last said, and the list anew when a device came or went.

const EVERY_MS = 3000;

drawWhenLifted();

/** `waits`: what of other pairings waits for the desk's yes, as the page's rows name it. @typedef {{state: string, words: string, refused: string, waits: string}} Said */
/** @typedef {Record<string, Said>} States */

function shown() {
  return /** @type {HTMLElement[]} */ ([...document.querySelectorAll("[data-device]")]);
}

/** Whether somebody is in the middle of something that a new page would throw away. */
function busy() {
  return document.activeElement instanceof HTMLInputElement || document.querySelector("details[open]") !== null;
}

/** What waits for the desk's yes, as the row says it. @param {HTMLElement} device */
function waitsFor(device) {
  const rows = /** @type {HTMLElement[]} */ ([...device.querySelectorAll("[data-waits]")]);
  return rows.map((row) => row.dataset.waits).join(" ");
}

/** @param {States} states */
function show(states) {
  const devices = shown();
  const changed = devices.length !== Object.keys(states).length || devices.some((device) => waitsFor(device) !== states[device.dataset.device ?? ""]?.waits);
  if (changed && !busy()) {
    location.replace("/desk/tablets");
    return;
  }
  for (const device of devices) {
    const said = states[device.dataset.device ?? ""];
    const place = /** @type {HTMLElement | null} */ (device.querySelector(".state"));
    if (!place) continue;
    place.dataset.state = said ? said.state : "stopped";
    place.textContent = said ? said.words : "no longer paired";
    const why = /** @type {HTMLElement | null} */ (device.querySelector(".refused"));
    if (!why) continue;
    why.textContent = said?.refused ?? "";
    why.hidden = !said?.refused;
  }
}

async function refresh() {
  if (document.visibilityState !== "visible") return;
  try {
    const response = await fetch("/desk/tablets/states", { headers: { accept: "application/json" }, cache: "no-store" });
    if (response.status === 401) location.replace("/desk/enter?next=/desk/tablets");
    else if (response.ok) show(await response.json());
  } catch {
    // the server is away; the next round asks again
  }
}

/** A menu closes by Escape, and when something else is pressed. @param {Event} event */
function closeMenus(event) {
  if (event instanceof KeyboardEvent && event.key !== "Escape") return;
  for (const menu of document.querySelectorAll("details.menu[open]")) {
    if (event instanceof KeyboardEvent) menu.querySelector("summary")?.focus();
    if (event instanceof KeyboardEvent || !menu.contains(/** @type {Node} */ (event.target))) menu.removeAttribute("open");
  }
}

document.addEventListener("keydown", closeMenus);
document.addEventListener("pointerdown", closeMenus);
setInterval(refresh, EVERY_MS);
document.addEventListener("visibilitychange", refresh);
