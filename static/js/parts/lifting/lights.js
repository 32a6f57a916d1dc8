// @ts-check
import { CROSS, TICK } from "./attempts.js";
import { el, fill, setData, svg } from "../dom.js";
import { say } from "../../words/say.js";

/** Three judges' lights: white with a tick for good, red with a cross for no lift, an empty ring for one who has not decided. */

/** @typedef {{lights: (boolean | null)[], doubt: string | null, good: boolean}} Decided */

/**
 * Shows the judges' decisions on a lift: each judge's own one only when all have decided or none more is awaited.
 * @param {HTMLElement} node made by `lights`
 * @param {Decided | null} lift
 */
export function showLights(node, lift) {
  const lights = lift?.lights ?? [];
  node.hidden = !lights.length;
  if (!lift || !lights.length) return;
  const decided = lights.filter((light) => light !== null).length;
  const open = isOpen(lift);
  const shown = open ? lights.map((light) => (light === null ? null : "in")) : lights;
  setData(node, "open", open);
  fill(node, el("span", { class: "lights-row" }, ...shown.map(light)), el("span", { class: "lights-words" }, words(lift, decided, open)));
}

/** Whether a judge's decision is still awaited: nobody knows yet what the lift is. @param {Decided} lift */
export function isOpen({ doubt }) {
  return doubt === "waiting";
}

/** An empty row of lights. */
export function lights() {
  return el("p", { class: "lights", role: "lights", "aria-live": "polite", hidden: true });
}

/** @param {Decided} lift @param {number} decided @param {boolean} open */
function words(lift, decided, open) {
  if (open) return say("{decided} of {all} judges have decided", { decided, all: lift.lights.length });
  const white = lift.lights.filter((light) => light === true).length;
  const outcome = say(lift.good ? "lift.good" : "lift.no");
  if (lift.doubt) return say("{outcome}, provisionally: not all judges decided", { outcome });
  return say("{outcome}: {white} white, {red} red", { outcome, white, red: decided - white });
}

/** @param {boolean | null | "in"} light */
function light(light) {
  const kind = light === true ? "good" : light === false ? "no" : light === "in" ? "in" : "open";
  const sign = light === true ? [svg("path", { d: TICK })] : light === false ? [svg("path", { d: CROSS })] : [];
  return el("span", { class: "light", "data-light": kind, "aria-hidden": "true" }, svg("svg", { viewBox: "0 0 20 20" }, ...sign));
}
