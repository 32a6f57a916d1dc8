// @ts-check
import { kitOf, nearest, shared, sideWords, swap, totalLoad, totalOf, totalText, ways } from "../rules/plates.js";
import { compareLoads, load as loadOf, loadText } from "../rules/units.js";
import { decimal, known, say } from "../words/say.js";

/** What is on the bar now, as the marks say, and what has to be done to it for what is to be on it. */

/** @typedef {import("../rules/plates.js").Kit} Kit */
/** @typedef {import("../rules/plates.js").Side} Side */
/** @typedef {import("../rules/units.js").Load} Load */
/** @typedef {{id: string, kind: string, body: Record<string, any>}} Mark */
/** @typedef {{side: Side, known: boolean, mark: Mark | null}} OnBar known: somebody said which plates; else they follow from the load */
/** @typedef {{load: Load, side: Side | null, off: Side, on: Side, kept: number, near: string}} Step side: null where it can't be made; near says what can */

/** @type {{key: string, kit: Kit | null}} */
let last = { key: "", kit: null };

/** What a lane may put on its bar for a task; null where the desk has given it no plates. @param {any} packet @param {any} task @returns {Kit | null} */
export function laneKit(packet, task) {
  if (!packet.plates) return null;
  const key = `${packet.version}/${JSON.stringify(task)}`;
  if (last.key !== key) last = { key, kit: kitOf(packet.plates, task) };
  return last.kit;
}

/** What is on the bar, by the newest mark that says so; empty where none does. @param {Kit} kit @param {Mark[]} marks that stand, in order @returns {OnBar} */
export function onBar(kit, marks) {
  const mark = marks.filter(({ kind }) => kind === "loaded").at(-1) ?? null;
  if (!mark) return { side: [], known: true, mark };
  const told = mark.body.side && sideOf(kit, mark.body.side);
  if (told) return { side: told, known: true, mark };
  return { side: ways(kit, mark.body.load, 1)[0] ?? [], known: false, mark };
}

/** The marks that are about the bar of a member: all of them where all lift one bar. @template {Mark} M @param {M[]} marks @param {any} task @param {number | null} member @returns {M[]} */
export const aboutBar = (marks, task, member) => (task.bars === "each" ? marks.filter(({ body }) => body.member === member) : marks);

/** The plates that a mark names, by kind; null where the lane has no such plate. @param {Kit} kit @param {Load[]} named @returns {Side | null} */
function sideOf(kit, named) {
  const side = named.map((load) => kit.kinds.findIndex(({ weight }) => compareLoads(weight, load) === 0 && weight.unit === load.unit));
  return side.includes(-1) ? null : side;
}

/** The plates of a side as a mark names them. @param {Kit} kit @param {Side} side @returns {Load[]} */
export const sideLoads = (kit, side) => side.map((kind) => kit.kinds[kind].weight);

/** What a bar with these plates weighs, as a load: to a tenth of a gram where kilograms and pounds are mixed. @param {Kit} kit @param {Side} side @returns {Load} */
export function sideTotal(kit, side) {
  const total = totalOf(kit, side);
  return totalLoad(total) ?? loadOf(totalText(total, "kg").replace(/[^0-9.]/g, ""), "kg");
}

/** The steps from what is on now through the loads to come, by a plan's sides. @param {Kit} kit @param {Load[]} loads @param {Side} now @param {(Side | null)[]} sides @returns {Step[]} */
export function stepsThrough(kit, loads, now, sides) {
  let before = now;
  return sides.map((side, index) => {
    const load = loads[index];
    if (!side) return { load, side, off: [], on: [], kept: 0, near: nearWords(kit, load) };
    const step = { load, side, ...swap(before, side), kept: shared(before, side), near: "" };
    before = side;
    return step;
  });
}

/** The same in a few words: `These plates make 225 lb or 226 lb`. @param {Kit} kit @param {Load} load */
export function nearShort(kit, load) {
  const near = nearest(kit, load).filter(Boolean).map((total) => decimal(totalText(/** @type {any} */ (total), load.unit)));
  return say("These plates make {these}", { these: near.reduce((first, second) => (first ? say("or", { first, second }) : second), "") });
}

/** `The nearest: 225 lb below, 226 lb above.` @param {Kit} kit @param {Load} load */
export function nearWords(kit, load) {
  const [below, above] = nearest(kit, load);
  const words = [below && say("{total} below", { total: decimal(totalText(below, load.unit)) }), above && say("{total} above", { total: decimal(totalText(above, load.unit)) })].filter(Boolean);
  return say("{load} can't be made from this lane's plates. The nearest: {these}.", { load: decimal(loadText(load)), these: words.join(", ") });
}

/** One side's plates from the inside as people read them: `25 + 2 × 1 kg`, or that there is nothing. @param {Kit} kit @param {readonly number[]} side */
export const sideText = (kit, side) => decimal(known(sideWords(kit, side)));
