// @ts-check
/** The scenes of a wall: what each puts on the stage, and its heading. */
import { Platform } from "./bar.js";
import { besides, looked, pageOf, ranked, spent } from "./facts.js";
import { Lanes } from "./lanes.js";
import { Leader } from "./leader.js";
import { LineUp, PAGE, PodiumSteps, Standing } from "./lists.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./facts.js").Floor} Floor */
/** @typedef {import("./facts.js").Lane} Lane */
/** @typedef {import("./facts.js").Panel} Panel */
/** @typedef {import("./facts.js").Row} Row */
/** @typedef {import("./facts.js").Waiting} Waiting */
/** @typedef {import("./facts.js").Podium} Podium */
/** @typedef {{scene: import("./scene.js").Scene, pieces: import("./pieces.js").Pieces, reading: import("./clock.js").Reading, block: {first: number, last: number}}} Context */
/**
 * What stands on the wall: its heading, what there is to know below it, what is under them, whether names have to be fitted.
 * @typedef {{title: string, about: string, order?: string, parts: HTMLElement[], changed: boolean}} Shown
 */

const lanes = new Lanes();
const leader = new Leader();
const platform = new Platform();
const lineUp = new LineUp();
const standing = new Standing();
const podium = new PodiumSteps();

/** @type {Record<import("./scene.js").Name, (context: Context) => Shown>} */
export const SCENES = { empty, lineup, race, lift, result, standing: table, next, podium: winners };

/** @param {Context} context @returns {Shown} */
function empty({ pieces }) {
  const head = /** @type {import("./facts.js").Head | null} */ (pieces.get("head"));
  return { title: head?.competition ?? "", about: head?.where ?? "", parts: [], changed: false };
}

/** @param {Context} context @returns {{floor: Floor, told: import("./facts.js").Race, all: Lane[], own: Lane[], heading: {title: string, about: string}}} */
function onFloor({ pieces, block }) {
  const floor = /** @type {Floor} */ (pieces.get("floor"));
  const told = /** @type {import("./facts.js").Race} */ (pieces.get("race"));
  const all = /** @type {Lane[]} */ (pieces.all(floor.lanes));
  const own = all.filter(({ lane }) => lane >= block.first && lane <= block.last);
  return { floor, told, all, own, heading: { title: say("{event} · Heat {number}", { event: floor.event, number: floor.number }), about: "" } };
}

/** @param {Context} context @returns {Shown} */
function lineup(context) {
  const { own, heading } = onFloor(context);
  return { ...heading, parts: [lineUp.node], changed: lineUp.show(own) };
}

/** @param {Context} context @returns {Shown} */
function race(context) {
  const { floor, told, all, own, heading } = onFloor(context);
  const led = leader.show(all, told.groups, context.reading);
  const changed = lanes.show(own, floor, told.groups, context.reading.window) || led;
  return { ...heading, parts: [leader.node, lanes.node], changed };
}

/** @param {Context} context @returns {Shown} */
function lift(context) {
  const { floor, told, own, heading } = onFloor(context);
  const { window, ms } = context.reading;
  const at = looked(own, told.called, window ?? 0, ms);
  const renamed = platform.show(at, spent(own, window ?? 0));
  const changed = lanes.show(own, floor, told.groups, window, { lifting: true }) || renamed;
  return { ...heading, order: besides(at, told), parts: [platform.node, lanes.node], changed };
}

/** After the last bell: as the heat ended; then how it settles into the standing. @param {Context} context @returns {Shown} */
function result(context) {
  if (context.scene.key) return table(context);
  const { floor, told, own, heading } = onFloor(context);
  const { order, places } = ranked(own, told.groups);
  return { title: heading.title, about: say("The result of the heat"), parts: [lanes.node], changed: lanes.show(order, floor, told.groups, null, { places }) };
}

/** A page of a standing. @param {Context} context @returns {Shown} */
function table({ scene, pieces }) {
  const panel = /** @type {Panel} */ (pieces.get(scene.key));
  const all = /** @type {Row[]} */ (pieces.all(panel.rows));
  const fresh = new Set(scene.name === "result" ? panel.fresh : []);
  const page = scene.name === "result" && scene.page === 0 ? pageOf(panel.rows, panel.fresh, PAGE) : scene.page;
  const changed = standing.show(all.slice(page * PAGE, (page + 1) * PAGE), all, fresh, panel.score_name);
  return { title: panel.division, about: [panel.title, panel.state].filter(Boolean).join(" · "), parts: [standing.node], changed };
}

/** Who comes next. @param {Context} context @returns {Shown} */
function next({ scene, pieces }) {
  const heat = /** @type {Waiting} */ (pieces.get(scene.key));
  return { title: heat.event, about: heat.planned ? say("Next: heat {number}, planned {planned}", { number: heat.number, planned: heat.planned }) : say("Next: heat {number}", { number: heat.number }), parts: [lineUp.node], changed: lineUp.show(heat.lanes) };
}

/** @param {Context} context @returns {Shown} */
function winners({ scene, pieces }) {
  const shown = /** @type {Podium} */ (pieces.get(scene.key));
  return { title: shown.division, about: [shown.title, shown.state].join(" · "), parts: [podium.node], changed: podium.show(shown) };
}
