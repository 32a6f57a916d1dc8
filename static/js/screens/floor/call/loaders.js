// @ts-check
import { drawBar, plateSign } from "../../../parts/bar.js";
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { otherText, sayLoad } from "../../../parts/loads.js";
import { aboutBar, laneKit, nearWords, onBar, sideLoads, sideText, sideTotal, stepsThrough } from "../../../parts/onbar.js";
import { liesLow, tooThick } from "../../../rules/plates.js";
import { compareLoads } from "../../../rules/units.js";
import { Actual } from "./actual.js";
import { Planner } from "./planner.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../lane/state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../../../rules/units.js").Load} Load */
/** @typedef {import("../../../rules/plates.js").Kit} Kit */
/** @typedef {{win: number, standing: Mark | null, waiting: Mark | null, begun: boolean, plan: Load[], lifter: string}} Turn */

const CARE = say("Both ends alike, collars on, spare plates and hands clear of the lifter. The hall's own rules come first.");
/** @type {Record<import("./planner.js").How, string>} */
const HOW = {
  looking: say("Quick plan. Looking for one with fewer moves."),
  quick: say("Quick plan. Another one may have fewer moves."),
  found: say("Fewest moves we found. Not every way was tried."),
  fewest: say("Fewest moves."),
};
const AHEAD = 10; // loads that are looked ahead

/** The loaders' view: the bar as it is to be, drawn to scale, and in order what to take off and put on, on both sides. */
export class LoadersView {
  /** @type {Turn | null} */
  #turn = null;
  /** @type {import("../../../parts/onbar.js").Step | null} */
  #step = null;

  /** @param {Lane} lane @param {() => void} touch */
  constructor(lane, touch) {
    this.lane = lane;
    this.touch = touch;
    this.says = el("p", { class: "load-says", "aria-live": "polite", role: "load-says" });
    this.load = el("output", { class: "load-next", role: "load-next" });
    this.other = el("p", { class: "load-other" });
    this.bar = el("p", { class: "load-bar", role: "load-bar" });
    this.drawing = el("div", { class: "load-drawing" });
    this.off = el("div", { class: "load-list", role: "take-off" });
    this.on = el("div", { class: "load-list", role: "put-on" });
    this.odd = el("p", { class: "load-odd", role: "load-odd" });
    this.done = button(say("Bar loaded"), () => this.#loaded(), { class: "press load-done", role: "bar-loaded" });
    this.back = button(say("Take back “loaded”"), () => this.#takeBack(), { class: "press quiet", role: "unload" });
    this.wrong = button(say("Something else is on it"), () => this.#tell(), { class: "press quiet", role: "other-load" });
    this.then = el("p", { class: "load-then soft", role: "load-then" });
    this.how = el("p", { class: "load-how soft", role: "load-how" });
    this.planner = new Planner(touch);
    this.actual = new Actual((side) => this.#told(side), () => this.#tell(false));
    this.work = el("div", { class: "load-work" }, this.off, this.on, this.odd, el("p", { class: "load-care soft" }, CARE));
    this.acts = el("div", { class: "load-acts" }, this.done, this.back, this.wrong);
    const head = el("div", { class: "load-head" }, this.says, this.load, this.other, this.bar, this.how);
    this.body = el("div", { class: "load-body" }, head, this.drawing, this.work, this.then, this.acts);
    this.node = el("section", { class: "loaders", "aria-label": say("Loading the bar") }, this.body, this.actual.node);
  }

  /** @param {Turn | null} turn null: there is no lift to come */
  show(turn) {
    this.#turn = turn;
    this.node.hidden = turn === null;
    if (!turn) return;
    const kit = this.#kit;
    setData(this.node, "plates", kit ? "known" : "none");
    if (kit) this.#showKit(kit, turn);
    else this.#showLoad(turn);
  }

  get #task() {
    const { format } = this.lane;
    return format.tasks[/** @type {string} */ (format.windows[/** @type {Turn} */ (this.#turn).win].task)];
  }

  get #kit() {
    return laneKit(this.lane.packet, this.#task);
  }

  /** The marks about the bar whose turn it is. */
  get #marks() {
    const { standing, waiting } = /** @type {Turn} */ (this.#turn);
    return aboutBar(this.lane.barMarks(), this.#task, (standing ?? waiting)?.body.member ?? null);
  }

  /** Where the desk has given the lane no plates, the load alone is shown. @param {Turn} turn */
  #showLoad({ standing, waiting, plan }) {
    const load = (waiting ?? standing)?.body.load ?? plan[0] ?? null;
    this.#head(load, load ? say("On the bar next") : say("Nothing declared yet"));
    fill(this.drawing);
    fill(this.off);
    fill(this.on);
    setText(this.odd, say("The desk has given this lane no plates, so we can't work out how to load the bar."));
    setText(this.then, "");
    setText(this.how, "");
    this.acts.hidden = true;
    this.actual.close();
  }

  /** @param {Kit} kit @param {Turn} turn */
  #showKit(kit, turn) {
    const now = onBar(kit, this.#marks);
    const { loads, declared } = comingLoads(turn, now.mark);
    const { sides, how } = this.planner.through(kit, loads, now.side);
    const steps = stepsThrough(kit, loads, now.side, sides);
    const step = steps[0] ?? null;
    this.#step = step;
    const ready = Boolean(declared && now.mark?.body.declared === declared.id && step && step.side && !step.off.length && !step.on.length);
    this.#head(step?.load ?? sideTotal(kit, now.side), headWords(turn, declared, ready, Boolean(step)), kit);
    setData(this.node, "ready", ready);
    const side = step ? (step.side ?? now.side) : now.side;
    fill(this.drawing, drawBar(kit, side, { fresh: step?.side ? step.kept : side.length }));
    this.#lists(kit, step, ready);
    setText(this.odd, oddWords(kit, step, now, this.#task));
    const next = steps[1] ?? null;
    setText(this.then, next ? thenWords(kit, next) : "");
    setText(this.how, step ? HOW[how] : "");
    setData(this.how, "how", how);
    this.acts.hidden = false;
    this.done.hidden = !declared || !step?.side || ready;
    this.done.disabled = turn.begun && declared === turn.standing;
    this.back.hidden = !now.mark || /** @type {Mark} */ (now.mark).device !== this.lane.packet.device.id;
    if (this.actual.open) this.actual.show(kit);
  }

  /** @param {Load | null} load @param {string} words @param {Kit | null} [kit] the bar that the plates go on */
  #head(load, words, kit = null) {
    setText(this.says, words);
    setText(this.load, load ? sayLoad(load) : "–");
    setText(this.other, load ? otherText(load) : "");
    setText(this.bar, kit ? barWords(kit) : "");
  }

  /** @param {Kit} kit @param {import("../../../parts/onbar.js").Step | null} step @param {boolean} ready */
  #lists(kit, step, ready) {
    const list = (/** @type {string} */ words, /** @type {number[]} */ side) =>
      side.length ? [el("h2", {}, words), el("ol", {}, ...grouped(side).map(([kind, count]) => el("li", {}, plateSign(kit.kinds[kind], count))))] : [];
    fill(this.off, ...list(say("Take off, both sides"), step?.off ?? []));
    fill(this.on, ...list(say("Put on, both sides"), step?.on ?? []));
    if (!step?.side || step.off.length || step.on.length) return;
    fill(this.off, el("h2", {}, ready ? say("On each side, from inside") : say("No plates to change")), el("p", { class: "load-words" }, say("{side} a side", { side: sideText(kit, step.side) })));
  }

  #loaded() {
    const { standing, waiting, win } = /** @type {Turn} */ (this.#turn);
    const kit = this.#kit;
    const declared = waiting ?? standing;
    if (!kit || !this.#step?.side || !declared) return;
    this.#mark(declared, this.#step.load, sideLoads(kit, this.#step.side), win);
  }

  /** What is really on the bar, as a loader says. @param {number[]} side */
  #told(side) {
    const { standing, waiting, win } = /** @type {Turn} */ (this.#turn);
    const kit = this.#kit;
    if (kit) this.#mark(waiting ?? standing, sideTotal(kit, side), sideLoads(kit, side), win);
    this.#tell(false);
  }

  /** @param {Mark | null} declared @param {Load} load @param {Load[]} side @param {number} win */
  #mark(declared, load, side, win) {
    const about = declared ? { declared: declared.id, ...(declared.body.member ? { member: declared.body.member } : {}) } : {};
    this.lane.mark("loaded", { load, by: "loader", side, ...about }, win);
    navigator.vibrate?.(20);
    this.touch();
  }

  #takeBack() {
    const kit = this.#kit;
    const mark = kit && onBar(kit, this.#marks).mark;
    if (mark) this.lane.strike(/** @type {Mark} */ (mark));
    this.touch();
  }

  /** @param {boolean} [open] */
  #tell(open = !this.actual.open) {
    const kit = this.#kit;
    if (open && kit) this.actual.begin(kit, onBar(kit, this.#marks).side);
    else this.actual.close();
    this.body.hidden = this.actual.open;
    this.touch();
  }
}

/**
 * The loads to come: what is declared, then what waits for the bar, then what is planned beyond. `declared`: whose turn the first is.
 * @param {Turn} turn @param {import("../../../parts/onbar.js").Mark | null} loaded
 * @returns {{loads: Load[], declared: Mark | null}}
 */
function comingLoads({ standing, waiting, plan }, loaded) {
  const declared = waiting && standing && loaded?.body.declared === standing.id ? waiting : (standing ?? waiting);
  const next = declared?.body.load ?? null;
  const later = declared === standing && waiting ? [waiting.body.load] : [];
  const beyond = later[0] ?? next;
  const planned = plan.filter((load) => !beyond || compareLoads(load, beyond) > 0);
  return { loads: [...(next ? [next] : []), ...later, ...planned].slice(0, AHEAD), declared };
}

/** @param {Turn} turn @param {Mark | null} declared @param {boolean} ready @param {boolean} any */
function headWords(turn, declared, ready, any) {
  const whose = turn.lifter ? `${turn.lifter}: ` : "";
  if (!any) return say("Nothing declared yet. On the bar now:");
  if (!declared) return whose + say("planned, not declared yet");
  if (ready) return whose + (turn.begun ? say("the bar is out") : say("loaded"));
  return whose + say("declared");
}

/** @param {Kit} kit @param {import("../../../parts/onbar.js").Step | null} step @param {import("../../../parts/onbar.js").OnBar} now @param {any} task */
function oddWords(kit, step, now, task) {
  const words = [];
  if (step && !step.side) words.push(nearWords(kit, step.load));
  if (step?.side && tooThick(kit, step.side)) words.push(say("too_thick", { mm: Math.ceil(tooThick(kit, step.side)) }));
  if (step?.side && task.rack === false && liesLow(kit, step.side)) words.push(say("No full disc is on it: the bar lies {mm} mm low.", { mm: liesLow(kit, step.side) }));
  if (compareLoads(kit.bar, task.bar) !== 0) words.push(say("This lane's bar weighs {load}; the event asks for {other}.", { load: sayLoad(kit.bar), other: sayLoad(task.bar) }));
  if (!now.known && step?.off.length) words.push(say("Nobody knows which plates are on now: look before you take one off."));
  return words.join(" ");
}

/** @param {Kit} kit @param {import("../../../parts/onbar.js").Step} next */
function thenWords(kit, next) {
  return next.side ? say("Then {load}: {side} a side", { load: sayLoad(next.load), side: sideText(kit, next.side) }) : say("Then {load}, which can't be made", { load: sayLoad(next.load) });
}

/** Equal plates that follow one another, together. @param {number[]} side @returns {[number, number][]} kind and count */
function grouped(side) {
  /** @type {[number, number][]} */
  const found = [];
  for (const kind of side) {
    const last = found.at(-1);
    if (last?.[0] === kind) last[1] += 1;
    else found.push([kind, 1]);
  }
  return found;
}

/** What the load counts besides the plates. @param {Kit} kit */
function barWords({ bar, collars }) {
  return collars ? say("bar {bar}, both collars {collars}", { bar: sayLoad(bar), collars: sayLoad(collars) }) : say("bar {bar}, collars not counted", { bar: sayLoad(bar) });
}
