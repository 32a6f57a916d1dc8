// @ts-check
import { AttemptClock } from "../../../../parts/lifting/attempt_clock.js";
import { attemptMarks, CROSS, TICK } from "../../../../parts/lifting/attempts.js";
import { Declare } from "../../../../parts/declare.js";
import { button, el, fill, setData, setText } from "../../../../parts/dom.js";
import { BarGlance } from "../../../../parts/glance.js";
import { lights, showLights } from "../../../../parts/lifting/lights.js";
import { likelyNext, otherText, sayLoad } from "../../../../parts/loads.js";
import { markAside, markMore } from "../../../../parts/more.js";
import { laneKit } from "../../../../parts/onbar.js";
import { ofMember, whyNot } from "../../platform/refusals.js";
import { onLand } from "../../../../parts/press.js";
import { faultName } from "../../../../rules/faults.js";
import { loadsFrom } from "../../../../rules/ladder.js";
import { attemptClock } from "../../../../rules/lifting/attempt_clock.js";
import { attemptsLeft, heaviestTried, liftsOf, mayTryAgain, outOnMisses } from "../../../../rules/lifts.js";
import { membersIn } from "../../../../rules/turns.js";
import { CallLifter } from "./call_lifter.js";
import { Decided, markGiven, verdict } from "./decided.js";
import { FreshKeys } from "./fresh_keys.js";
import { LiftFaults } from "./lift_faults.js";
import { Pick, soFar } from "../members/pick.js";
import { stepOf, undecided } from "./lift_step.js";
import { byWords, growthWords, lateWords, leavesWords, stateWords } from "./lift_words.js";
import { SetOfReps } from "./set_of_reps.js";
import { TakeBack } from "../side.js";
import { standardsText } from "../words.js";
import { LifterChooses, WrongLoad } from "./wrong_load.js";
import { say } from "../../../../words/say.js";
import { declaresAt } from "./openers.js";

/** @typedef {import("../state.js").Lane} Lane */
/** @typedef {import("../../../../device/outbox.js").Mark} Mark */
/** @typedef {import("./lift_step.js").Step} Step */

/**
 * A lift window as a walk, the next act the largest: declare a load, say when the bar leaves its rack, judge the lift, rack the bar or
 * try again. Good and no lift lie apart, on the two sides of the load; one try has one verdict, and the fault is asked after the mark
 * is safe.
 */
export class LiftView {
  /** @type {import("../heats.js").Scene | null} */
  #scene = null;
  #begun = "";
  #changing = false;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.declare = new Declare((load, more) => this.#declare(load, more));
    this.load = el("output", { class: "bar-load", role: "load" });
    this.other = el("p", { class: "bar-other", role: "load-other" });
    this.by = el("p", { class: "bar-by soft", role: "declared-by" });
    this.good = verdict(say("lift.good"), "good-lift", TICK);
    this.no = verdict(say("lift.no"), "no-lift", CROSS);
    this.leaves = button("", () => this.#leave(), { class: "press leaves", role: "begun" });
    this.racked = button("", () => this.#rack(), { class: "press racked", role: "racked" });
    this.fresh = new FreshKeys(this.racked, this.leaves);
    this.change = button("", () => this.#change(), { class: "press quiet", role: "change-load" });
    this.call = new CallLifter((follows) => this.#call(follows));
    this.line = el("ol", { class: "attempts", role: "attempts", tabindex: 0, "aria-label": say("Attempts so far") });
    this.pick = new Pick(say("Who lifts?"), (member) => this.#turnTo(member));
    this.someoneElse = button(say("Somebody else lifts"), () => this.#turnTo(null), { class: "press quiet", role: "lifter", hidden: true });
    this.says = el("p", { class: "lift-says", "aria-live": "polite" });
    this.standards = el("p", { class: "what-counts soft", role: "what-counts" });
    this.glance = new BarGlance();
    this.clock = new AttemptClock();
    this.set = new SetOfReps(() => this.#again());
    this.faults = new LiftFaults(lane);
    this.wrong = new WrongLoad(lane, () => this.#again());
    this.chooses = new LifterChooses(lane);
    this.lights = lights();
    this.takeBack = new TakeBack(lane);
    markAside(this.line);
    onLand(this.good, () => this.#judge(true));
    onLand(this.no, () => this.#judge(false));
    this.growth = el("p", { class: "bar-growth", role: "growth" });
    const state = [this.growth, this.set.node, this.lights, this.clock.node, this.says, this.glance.node, this.standards, this.faults.node];
    this.middle = el("div", { class: "bar-read" }, this.by, this.load, this.other, ...state);
    markMore(this.middle);
    this.judging = el("div", { class: "judging" }, this.good, this.middle, this.no);
    this.decided = new Decided();
    this.choosing = el("div", { class: "choosing" }, this.declare.node);
    this.next = el("div", { class: "lift-next" });
    this.foot = el("div", { class: "lift-foot" }, this.line, this.someoneElse, this.change, this.takeBack.node);
    this.node = el("div", { class: "lifting" }, this.chooses.node, this.judging, this.decided.node, this.pick.node, this.choosing, this.next, this.foot);
  }

  /** @param {import("../heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const found = this.#found();
    const standing = this.#standing();
    this.faults.render();
    const choosing = this.#changing || (!standing && this.faults.unnamed === null);
    if (!this.wrong.open) this.wrong.node.remove();
    else if (!this.wrong.node.isConnected) this.choosing.after(this.wrong.node);
    const step = stepOf(this.#task, found, this.#tries(found, standing), { choosing: choosing || this.wrong.open, asks: this.asks });
    this.judging.hidden = choosing || this.wrong.open || step === "good" || step === "missed";
    this.pick.node.hidden = !choosing || this.wrong.open || this.#lifter !== null;
    this.choosing.hidden = !choosing || this.wrong.open || this.#lifter === null;
    this.someoneElse.hidden = this.choosing.hidden || this.#lifters.length < 2;
    this.glance.show(this.lane.packet, this.#task, standing, this.lane.standing());
    this.#showActs(found, standing, step);
    this.#showDecided(found, standing, step);
    this.chooses.render(found, /** @type {number} */ (scene.win));
    const growth = growthWords(this.lane, /** @type {number} */ (scene.win), standing?.body.member ?? this.#lifter);
    this.growth.hidden = !growth;
    setText(this.growth, growth);
    this.declare.note([growth, this.lane.callerWords].filter(Boolean).join(" "));
    if (choosing) this.#begin(standing);
    else this.#showLoad(found, standing);
    fill(this.line, ...attemptMarks(found.lifts, found.best?.mark ?? null, (fault) => faultName(this.lane.format, scene.win, fault), this.lane.whose));
    this.takeBack.show(scene);
  }

  /** @param {number} ms on the heat clock */
  frame(ms) {
    if (this.#scene === null || this.#scene.win === null) return;
    this.clock.frame(this.#task, this.#scene.late ? null : attemptClock(this.#found()), ms);
  }

  /** Whether a declared bar is waiting to be judged: a lift begun before the bell is decided after it. */
  waiting() {
    const tries = this.#scene && this.#standing() ? this.#tries(this.#found(), this.#standing()) : null;
    return Boolean(tries && (undecided(this.#task, tries) || !tries.some((lift) => lift.good)));
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    if (this.wrong.open) return this.wrong.declare.keypad.typed(event);
    return !this.choosing.hidden && this.declare.keypad.typed(event);
  }

  get #task() {
    return this.lane.format.tasks[/** @type {string} */ (this.#window.task)];
  }

  get #window() {
    return this.lane.format.windows[/** @type {number} */ (this.#scene?.win)];
  }

  #found() {
    return this.lane.tally.windows[/** @type {number} */ (this.#scene?.win)];
  }

  /** The tries under a declaration; none that is made again, once its bar was racked. @param {any} found @param {Mark | null} standing @returns {any[]} */
  #tries(found, standing) {
    return standing ? found.lifts.filter((/** @type {any} */ { declared, again, racked }) => declared === standing.id && !(again && racked)) : [];
  }

  /** @param {string | null} id @returns {Mark | null} */
  #mark(id) {
    return id === null ? null : (this.lane.marks().find((mark) => mark.id === id) ?? null);
  }

  /** The declaration that stands. @returns {Mark | null} */
  #standing() {
    return this.#mark(this.#found().declaration);
  }

  get #lifters() {
    return membersIn(this.lane.format, this.#window);
  }

  /** Whose load is declared: the window's only member, else whom the judge has picked; null before. @returns {number | null} */
  get #lifter() {
    const [first, ...others] = this.#lifters;
    return others.length ? this.lane.turns.picked(/** @type {number} */ (this.#scene?.win)) : first;
  }

  #again() {
    if (this.#scene) this.render(this.#scene);
  }

  /** What can be done now, and where: what comes next fills its row, the rest waits in the foot. @param {any} found @param {Mark | null} standing @param {Step} step */
  #showActs(found, standing, step) {
    const tries = this.#tries(found, standing);
    const floor = this.#task.rack === false;
    const calls = this.call.asks(this.#task, found, step === "declared" ? standing : null, this.lane.standing());
    const again = standing === null || mayTryAgain(this.#task, liftsOf(found.lifts, standing.body.member ?? null), standing.id);
    this.leaves.hidden = calls || !again || !["declared", "missed", "waits"].includes(step) || tries.some((lift) => lift.good);
    this.racked.hidden = !standing || step === "choose" || step === "fault";
    setText(this.leaves, leavesWords(step === "missed", floor));
    setText(this.racked, floor ? say("Bar down") : say("Bar racked"));
    const over = ["good", "missed", "waits"].includes(step);
    setData(this.leaves, "nth", step === "declared" ? 1 : null);
    for (const key of [this.good, this.no]) setData(key, "nth", step === "declared" || step === "out" ? 2 : null);
    setData(this.racked, "nth", 3);
    setData(this.leaves, "next", step === "declared");
    setData(this.racked, "next", over);
    fill(this.next, ...(over ? [this.racked, this.leaves] : calls ? this.call.keys : [this.leaves]));
    this.next.hidden = over ? false : step !== "declared";
    if (!over) this.change.before(this.racked);
    for (const key of [this.good, this.no]) key.toggleAttribute("disabled", step === "fault" || step === "waits");
    markGiven(this.good, this.no, step === "fault" ? false : step === "waits" ? (tries.at(-1)?.lights[0] ?? null) : null);
    if (this.node.dataset.step !== step) this.fresh.rest(step === "declared" ? [this.racked] : []); // a bar that has not left is not racked
    setData(this.node, "step", step);
    setText(this.standards, step === "out" ? standardsText(this.lane.format.movements[this.#task.movement]) : "");
    const lifted = found.begun !== null || tries.length > 0;
    this.change.hidden = !standing && !this.wrong.open && this.#lastLifted(found) === null;
    const words = standing && !lifted ? say("Change the load") : say("Wrong load on the bar");
    setText(this.change, this.wrong.open ? say("Back") : this.#changing ? say("Keep the load") : words);
  }

  /** @param {any} found @param {Mark | null} standing @param {Step} step */
  #showDecided(found, standing, step) {
    const last = step === "good" || step === "missed" ? (this.#tries(found, standing).at(-1) ?? null) : null;
    const fault = last?.fault && !last.good ? faultName(this.lane.format, this.#scene?.win ?? null, last.fault) : "";
    this.decided.show(last, fault, this.#task.times_reps, this.glance.warning);
  }

  /** The declaration lifted last. @param {any} found @returns {Mark | null} */
  #lastLifted(found) {
    return this.#mark(found.lifts.filter((/** @type {any} */ lift) => lift.declared !== null).at(-1)?.declared ?? null);
  }

  /** Prepares the next declaration, once for each state of the sheet. @param {Mark | null} standing */
  #begin(standing) {
    const lifter = this.#lifter;
    if (lifter === null) return this.pick.show(this.lane, this.#lifters, (member) => soFar(this.#found().lifts.filter((/** @type {any} */ lift) => lift.member === member), this.#task));
    const mine = liftsOf(this.#found().lifts, lifter);
    const stamp = `${this.lane.sheet}/${this.#scene?.win}/${lifter}/${mine.length}/${standing?.id}/${this.#changing}`;
    if (stamp === this.#begun) return this.declare.look();
    this.#begun = stamp;
    const win = /** @type {number} */ (this.#scene?.win);
    this.declare.begin({
      task: this.#task,
      kit: laneKit(this.lane.packet, this.#task),
      unit: this.lane.format.unit,
      last: mine.at(-1)?.load ?? null,
      tried: heaviestTried(mine),
      stands: standing?.body.load ?? null,
      refuse: (load, record) => whyNot(this.lane.format, win, ofMember(this.lane.format, win, this.#found(), lifter), load, declaresAt(this.lane, win), { record, floor: this.lane.barFloor(win) }),
      from: standing?.body.load ?? this.#likely(mine),
      attemptsLeft: attemptsLeft(this.#task, mine),
      out: outOnMisses(this.#task, mine),
    });
  }

  /** What is most likely declared next: after a bar that was loaded wrong, the load that was asked for. @param {any[]} mine */
  #likely(mine) {
    const last = mine.at(-1);
    if (last?.again) return last.asked ?? last.load;
    return likelyNext(mine, this.#task, this.lane.format.unit, loadsFrom(this.lane.format, /** @type {number} */ (this.#scene?.win)));
  }

  /** @param {number | null} member null to ask again */
  #turnTo(member) {
    this.lane.turns.pick(/** @type {number} */ (this.#scene?.win), member);
    this.lane.tablet.outbox.changed(); // whose turn it is stands above the work too
  }

  /** @param {any} found @param {Mark | null} standing */
  #showLoad(found, standing) {
    const load = standing?.body.load ?? this.faults.unnamed?.body.load;
    setText(this.load, sayLoad(load));
    setText(this.other, otherText(load));
    setText(this.by, byWords(this.lane, standing, this.#lifter));
    const over = this.#scene?.late || this.#scene?.held;
    setText(this.says, over ? lateWords(this.#task, Boolean(this.#scene?.held)) : stateWords(found, standing, this.#mark(found.waiting), this.#tries(found, standing)));
    setData(this.says, "tone", over ? "look" : null);
    const tries = this.#tries(found, standing);
    this.set.show(`${standing?.id}/${tries.length}`, this.#task.times_reps && !tries.some((lift) => lift.good));
    for (const node of [this.middle, this.judging]) setData(node, "sets", !this.set.node.hidden);
    const counting = this.#task.times_reps && !this.set.node.hidden;
    setText(/** @type {HTMLElement} */ (this.good.querySelector(".press-words")), say("lift.good") + (counting && this.set.count ? `, ${this.set.count}` : ""));
    if (counting && this.set.count === 0) this.good.setAttribute("disabled", "");
    showLights(this.lights, this.#task.judges === 3 ? (tries.at(-1) ?? null) : null);
  }

  /** Whether the fault of a lift is asked for. */
  get asks() {
    return this.faults.unnamed !== null;
  }

  /** Another sheet is at hand: what was asked about the one before is asked no more. */
  turned() {
    this.faults.drop();
    this.wrong.close();
    this.#changing = false;
  }

  /** @param {any} load @param {{record?: true}} more */
  #declare(load, more) {
    const whose = this.#lifters.length > 1 ? { member: this.#lifter } : {};
    this.#changing = false;
    this.faults.drop();
    this.lane.mark("declare", { load, by: "judge", ...more, ...whose }, this.#scene?.win ?? null);
  }

  #change() {
    const standing = this.#standing();
    const found = this.#found();
    const lifted = found.begun !== null || this.#tries(found, standing).length > 0;
    if (this.wrong.open) this.wrong.close();
    else if (this.#changing || (standing && !lifted)) this.#turnChanging(standing);
    else {
      const about = standing && lifted ? standing : this.#lastLifted(found);
      if (about) this.wrong.ask(about, this.#task, this.#scene?.win ?? null);
    }
    this.#again();
  }

  /** The load of whoever has declared is changed, or kept after all. @param {Mark | null} standing */
  #turnChanging(standing) {
    this.#changing = !this.#changing;
    const member = standing?.body.member;
    if (this.#changing && member) this.lane.turns.pick(/** @type {number} */ (this.#scene?.win), member);
  }

  /** The lifter is called to the bar: from here their time runs. @param {{follows?: boolean}} more */
  #call(more) {
    const standing = this.#standing();
    if (standing) this.lane.mark("called", { declared: standing.id, ...whose(standing), ...more }, this.#scene?.win ?? null);
  }

  /** The bar leaves its rack: from here on the declaration is locked. */
  #leave() {
    const standing = this.#standing();
    if (!standing) return;
    this.faults.drop();
    navigator.vibrate?.(20);
    this.lane.mark("begun", { declared: standing.id, ...whose(standing) }, this.#scene?.win ?? null);
  }

  /** @param {boolean} good */
  #judge(good) {
    const standing = this.#standing();
    if (!standing || (good ? this.good : this.no).hasAttribute("disabled")) return;
    const begun = this.#found().begun ?? undecided(this.#task, this.#tries(this.#found(), standing))?.begun;
    const reps = this.#task.times_reps ? { reps: Math.max(1, this.set.count) } : {};
    const body = { load: standing.body.load, good, declared: standing.id, ...(begun ? { begun } : {}), ...whose(standing), ...reps };
    const mark = this.lane.mark("lift", body, this.#scene?.win ?? null);
    navigator.vibrate?.(good ? 20 : [20, 60, 20]);
    this.faults.ask(mark, this.lane.format.movements[this.#task.movement].faults ?? []);
  }

  #rack() {
    const standing = this.#standing();
    if (standing) this.lane.mark("racked", { declared: standing.id }, this.#scene?.win ?? null);
    this.faults.drop();
  }
}

/** @param {Mark} declared */
function whose(declared) {
  return declared.body.member ? { member: declared.body.member } : {};
}
