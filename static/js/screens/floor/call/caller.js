// @ts-check
import { AttemptClock } from "../../../parts/lifting/attempt_clock.js";
import { attemptMarks } from "../../../parts/lifting/attempts.js";
import { Declare } from "../../../parts/declare.js";
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { likelyNext, otherText, sayLoad } from "../../../parts/loads.js";
import { markAside } from "../../../parts/more.js";
import { laneKit } from "../../../parts/onbar.js";
import { stillToCome } from "../../../parts/plans.js";
import { ofMember, whyNot } from "../platform/refusals.js";
import { byRule, changesWords, declaredNow, ruleWords } from "../platform/standing.js";
import { stillFor, timeLeft } from "../../../parts/timing.js";
import { faultName } from "../../../rules/faults.js";
import { loadsFrom } from "../../../rules/ladder.js";
import { attemptClock } from "../../../rules/lifting/attempt_clock.js";
import { heaviestTried, liftsOf } from "../../../rules/lifts.js";
import { membersIn } from "../../../rules/turns.js";
import { bothUnits, compareLoads } from "../../../rules/units.js";
import { clockUnsure } from "../lane/warnings.js";
import { memberName } from "../lane/words.js";
import { AheadPanel } from "./ahead.js";
import { languageRow } from "./languages.js";
import { LoadersView } from "./loaders.js";
import { PlanPanel } from "./plan.js";
import { liftsAhead, standOf } from "./turn.js";
import { keepView, keptView } from "./view.js";
import { nowText, stateWords } from "./words.js";
import { say } from "../../../words/say.js";
import { declaresAt, openersUntil } from "../lane/lifting/openers.js";
import { openerBefore, plannedOn } from "../lane/lifting/planned.js";

/** @typedef {import("../lane/state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

const HURRY_MS = 10_000;

/** What a lifter needs: declare the next load, see it stand, the time, the attempts. Turned to the loaders: only the bar, very large. */
export class Caller {
  #dirty = true;
  #stamp = "";
  #begun = "";
  /** Window of the lift that is open on the floor or comes next. @type {number | null} */
  #floor = null;
  /** Window that the chosen lifter's next declaration is for: also one to come, while another lifts. @type {number | null} */
  #win = null;
  #lifter = 1;
  /** What they began with when the heat was run before. @type {import("../../../parts/loads.js").Load | null} */
  #before = null;
  /** Those who have a lift to come, each with the window of it. @type {Map<number, number>} */
  #turns = new Map();
  /** Whom a touch has chosen, while that window is on the floor. @type {{member: number, of: number | null} | null} */
  #chosen = null;

  /** @param {Lane} lane @param {HTMLElement} root @param {{loaders?: boolean}} [options] loaders: it can be turned to them */
  constructor(lane, root, { loaders = true } = {}) {
    this.lane = lane;
    this.root = root;
    this.number = el("b", { role: "lane-number" });
    this.entry = el("h1", { class: "call-entry", role: "entry" });
    this.line = el("p", { class: "call-line soft", "aria-live": "polite", role: "line" });
    this.turn = button("", () => this.#turnView(), { class: "call-turn", role: "turn-view" });
    this.minutes = el("span");
    this.tenths = el("span", { class: "clock-tenths" });
    this.clock = el("p", { class: "clock call-clock", role: "clock" }, this.minutes, this.tenths);
    this.now = el("p", { class: "call-now", role: "who" });
    this.until = el("p", { class: "call-until soft", role: "until" });
    this.soon = el("p", { class: "call-soon", role: "soon", "aria-live": "polite" });
    this.attempt = new AttemptClock();
    this.languages = languageRow();
    this.bar = el("output", { class: "call-bar", role: "load" });
    this.other = el("p", { class: "call-other", role: "load-other" });
    this.state = el("p", { class: "call-state", "aria-live": "polite", role: "declared" });
    this.who = el("div", { class: "call-lifters" });
    this.declare = new Declare((load, more) => this.#declare(load, more), { bigger: true });
    this.ahead = new AheadPanel(lane.tablet, (load) => this.declare.choose(load), () => this.touch());
    this.plan = new PlanPanel((loads) => this.#say("plan", { loads }), () => this.declare.chosen, (load) => this.declare.choose(load));
    this.declare.onchange = () => this.touch();
    this.attempts = el("ol", { class: "attempts call-attempts", role: "attempts", tabindex: 0, "aria-label": say("Attempts so far") });
    markAside(this.attempts);
    this.none = el("p", { class: "call-none" });
    this.next = el("p", { class: "call-next", role: "waiting", hidden: true });
    this.standing = el("section", { class: "call-standing", "aria-label": say("On the bar") }, this.state, this.bar, this.other, this.next);
    this.choosing = el("section", { class: "call-choosing", "aria-label": say("Next load") }, this.who, this.declare.node);
    this.more = el("div", { class: "call-more" }, this.ahead.node, this.plan.node);
    this.strip = el("header", { class: "call-strip" }, el("p", { class: "strip-lane" }, el("span", {}, say("Lane")), this.number), el("div", {}, this.entry, this.line), this.turn);
    this.loaders = loaders ? new LoadersView(lane, () => this.touch()) : null;
    this.turn.hidden = !loaders;
    fill(
      root,
      this.strip,
      el("div", { class: "call-time" }, el("div", {}, this.now, this.soon, this.attempt.node, this.until, this.languages), this.clock),
      this.standing, this.attempts,
      this.choosing,
      this.more,
      this.loaders?.node,
      this.none,
    );
    this.#showView(loaders ? keptView() : "lifter");
    addEventListener("keydown", (event) => this.#key(event));
  }

  /** Turns the screen to another lane's lifter. @param {Lane} lane */
  about(lane) {
    this.lane = lane;
    this.#chosen = null;
    this.touch();
  }

  /** Says that something changed; the next step shows it. */
  touch() {
    this.#dirty = true;
  }

  /** One step. @returns {number} how many ms the screen can stand still */
  step() {
    const { lane } = this;
    if (lane.turn()) this.#dirty = true;
    const reading = lane.heat && lane.reading();
    const ms = lane.closed ? Infinity : (reading?.ms ?? null);
    const scene = reading && lane.scene(reading, false).scene;
    const ruled = byRule(this.#win === null ? null : lane.tally.windows[this.#win].coming, ms ?? 0);
    const stamp = `${lane.key}/${scene?.view}/${scene?.win}/${scene?.late}/${ruled !== null}`;
    if (this.#dirty || stamp !== this.#stamp) this.#render(scene, ms);
    this.#stamp = stamp;
    const left = scene && ms !== null && scene.view !== "after" ? scene.until - ms : null;
    const { minutes, tenths } = timeLeft(left ?? 0);
    setText(this.minutes, left === null ? "" : minutes);
    setText(this.tenths, left === null ? "" : tenths);
    setData(this.clock, "hurry", left !== null && left <= HURRY_MS && scene?.view !== "rest");
    this.#sayUntil(ms);
    const floor = this.#floor === null ? null : lane.format.windows[this.#floor];
    this.attempt.frame(floor && lane.format.tasks[/** @type {string} */ (floor.task)], floor && attemptClock(lane.tally.windows[/** @type {number} */ (this.#floor)]), ms);
    return left === null || reading?.standing ? Infinity : stillFor(left);
  }

  /** @param {import("../lane/heats.js").Scene | null} scene @param {number | null} ms */
  #render(scene, ms) {
    this.#dirty = false;
    const { lane } = this;
    setText(this.number, lane.packet.device.lane);
    setText(this.entry, lane.heat ? lane.entry.name : lane.packet.competition.name);
    const trouble = this.#trouble();
    setText(this.line, trouble || (lane.heat ? say("Heat {number} · {name}", { number: lane.heat.number, name: lane.event.name }) : say("No heat on this lane yet")));
    setData(this.line, "tone", trouble ? "look" : null);
    setData(this.strip, "trouble", Boolean(trouble)); // on a small phone it takes the name's place, and moves nothing
    this.#look(ms);
    const [nothing, none] = [this.#win === null, this.#win === null || this.#left() === 0];
    this.standing.hidden = this.choosing.hidden = this.attempts.hidden = nothing;
    this.more.hidden = none;
    this.ahead.follow(none ? null : this.#turn());
    setText(this.soon, none ? "" : this.ahead.soonWords);
    this.none.hidden = !nothing;
    this.languages.hidden = !lane.idle; // it comes as a newer app does
    setText(this.none, lane.heat ? say("No more lifts in this heat.") : say("This lane's next heat will appear here."));
    setText(this.now, lane.heat ? nowText(lane, scene) : "");
    if (nothing) this.loaders?.show(null);
    else this.#renderLift();
  }

  /** Who may declare for what now. @param {number | null} ms */
  #look(ms) {
    ({ turns: this.#turns, floor: this.#floor } = liftsAhead(this.lane, ms));
    const chosen = this.#chosen?.of === this.#floor ? this.#chosen.member : this.#stays();
    this.#lifter = this.#turns.has(chosen) ? chosen : (this.#onFloor()[0] ?? 1);
    this.#win = this.#turns.get(this.#lifter) ?? null;
    this.#before = this.#win === null ? null : openerBefore(this.lane, /** @type {any} */ (this.lane.heat), { win: this.#win, member: this.#lifter, alone: this.#lifters().length === 1 });
  }

  /** Whoever the screen was about, if they may lift in the window on the floor. */
  #stays() {
    return this.#turns.get(this.#lifter) === this.#floor ? this.#lifter : 0;
  }

  /** Those who lift in the window on the floor. */
  #onFloor() {
    return [...this.#turns.keys()].filter((member) => this.#turns.get(member) === this.#floor);
  }

  /** How long until the lift's window opens, while another one runs. @param {number | null} ms */
  #sayUntil(ms) {
    const start = this.#win === null || !this.lane.heat ? null : this.lane.format.windows[this.#win].start * 1000;
    const until = start !== null && ms !== null && ms >= 0 && ms < start ? timeLeft(start - ms) : null;
    setText(this.until, until ? say("The lift begins in {minutes}{tenths}", { minutes: until.minutes, tenths: until.tenths }) : "");
  }

  #renderLift() {
    const { lane } = this;
    const win = /** @type {number} */ (this.#win);
    const found = lane.tally.windows[win];
    const [standing, waiting] = [this.#mark(found.declaration), this.#mark(found.waiting)];
    const ms = lane.reading()?.ms ?? 0;
    const judged = found.lifts.some((/** @type {any} */ lift) => lift.declared === standing?.id && !lift.again);
    const ruled = standing && !judged ? null : byRule(found.coming, ms);
    const load = ruled ?? standing?.body.load;
    setText(this.bar, load ? sayLoad(load) : "–");
    setText(this.other, load ? otherText(load) : "");
    setData(this.standing, "empty", !load);
    const latest = waiting ?? standing;
    setText(this.state, ruled ? ruleWords(found.coming, ms) : this.#stateText(standing, found));
    this.declare.note(changesWords(lane.format.tasks[/** @type {string} */ (lane.format.windows[win].task)], ofMember(lane.format, win, found, this.#lifter).coming, openersUntil(lane, win)));
    setData(this.state, "kept", latest ? lane.tablet.outbox.stateOf(latest.id) : null);
    setData(this.standing, "locked", Boolean(found.begun));
    this.next.hidden = !waiting;
    setText(this.next, waiting ? say("Next: {load}", { load: `${this.#nameOf(waiting)}${bothUnits(waiting.body.load)}` }) : "");
    fill(this.attempts, ...attemptMarks(found.lifts, found.best?.mark ?? null, (fault) => faultName(lane.format, win, fault), lane.whose));
    this.#begin(win, found, standing, waiting);
    this.plan.show(this.#planned(), !lane.heat?.assignment.untold?.includes("plan"));
    this.#showLoaders(/** @type {number} */ (this.#floor));
  }

  /** The loaders look at the floor, whoever declares meanwhile. @param {number} win */
  #showLoaders(win) {
    const { lane } = this;
    const found = lane.tally.windows[win];
    const [standing, waiting] = [this.#mark(found.declaration), this.#mark(found.waiting)];
    const latest = waiting ?? standing;
    const lifter = lane.format.members > 1 && latest ? memberName(lane.entry, latest.body.member ?? this.#onFloor()[0]) : "";
    const member = latest?.body.member ?? (this.#onFloor().includes(this.#lifter) ? this.#lifter : this.#onFloor()[0]);
    this.loaders?.show({ win, standing, waiting, begun: Boolean(found.begun), plan: this.#planned(win, member), lifter });
  }

  /** @param {string | null | undefined} id @returns {Mark | null} */
  #mark(id) {
    return id ? (this.lane.marks().find((mark) => mark.id === id) ?? null) : null;
  }

  /** Whose a declaration is, where that is worth saying: `Bo: `. @param {Mark} mark */
  #nameOf(mark) {
    const member = mark.body.member ?? this.#lifter;
    return this.lane.format.members > 1 ? `${memberName(this.lane.entry, member)}: ` : "";
  }

  /** @param {Mark | null} standing @param {any} found */
  #stateText(standing, found) {
    const kept = standing ? this.lane.tablet.outbox.stateOf(standing.id) : null;
    const words = stateWords({ by: standing?.body.by ?? null, kept, locked: Boolean(found.begun), lifted: found.lifts.length > 0, none: this.#left() === 0, ahead: this.#win !== this.#floor, before: this.#before ? sayLoad(this.#before) : "" });
    const name = standing ? this.#nameOf(standing) : "";
    return name ? `${name}${words}` : words.charAt(0).toUpperCase() + words.slice(1);
  }

  /** Whose next lift the screen is about, for the standings. */
  #turn() {
    return { assignment: /** @type {any} */ (this.lane.heat).assignment.id, win: /** @type {number} */ (this.#win), member: this.lane.format.members > 1 ? this.#lifter : null };
  }

  /** What a lifter means to lift in a window, in order; of a load that grows, what is asked for. */
  #planned(win = /** @type {number} */ (this.#win), member = this.#lifter) {
    const { lane } = this;
    const grown = loadsFrom(lane.format, win);
    if (grown.length) return grown;
    const plan = plannedOn(lane, /** @type {any} */ (lane.heat), lane.standing(), { win, member, alone: this.#lifters(win).length === 1 });
    return stillToCome(plan, this.#liftsOf(member, win), lane.format.tasks[/** @type {string} */ (lane.format.windows[win].task)]);
  }

  /** Those who may lift in a window. @returns {number[]} */
  #lifters(win = /** @type {number} */ (this.#win)) {
    return membersIn(this.lane.format, this.lane.format.windows[win]);
  }

  /** What a lifter has lifted in a window. @returns {import("../../../rules/lifts.js").Lift[]} */
  #liftsOf(who = this.#lifter, win = /** @type {number} */ (this.#win)) {
    return liftsOf(this.lane.tally.windows[win].lifts, who);
  }

  /** Attempts that the chosen lifter may still declare; null for as many as time allows. */
  #left() {
    return standOf(this.lane, /** @type {number} */ (this.#win), this.#lifter).left;
  }

  /** Prepares the choice, once for each state of the sheet. @param {number} win @param {any} found @param {Mark | null} standing @param {Mark | null} waiting */
  #begin(win, found, standing, waiting) {
    const { format } = this.lane;
    const [lifters, plan] = [[...this.#turns.keys()], this.#planned()];
    const rule = format.members === 1 ? byRule(found.coming, this.lane.reading()?.ms ?? 0) : null;
    const state = `${this.lane.sheet}/${win}/${this.#lifter}/${found.lifts.length}/${standing?.id}/${waiting?.id}/${found.begun}/${lifters}/${rule !== null}/${this.#before?.amount}/`;
    const stamp = `${state}${this.lane.heat?.assignment.untold}`; // the next lifter's plan comes a moment after their turn
    if (stamp === this.#begun) return;
    const goesOn = this.#begun.startsWith(state);
    this.#begun = stamp;
    const task = format.tasks[/** @type {string} */ (format.windows[win].task)];
    const mine = this.#liftsOf();
    const { judged, changing, already } = declaredNow(task, found, standing, waiting);
    const next = likelyNext(mine, task, format.unit, plan);
    this.who.hidden = lifters.length < 2;
    const many = lifters.length > 2;
    setData(this.who, "many", many);
    fill(this.who, ...lifters.map((member) => button(many ? this.lane.trackNames[member - 1] : memberName(this.lane.entry, member), () => this.#turnTo(member), { "aria-pressed": String(member === this.#lifter) })));
    this.declare.begin({
      task,
      kit: laneKit(this.lane.packet, task),
      unit: format.unit,
      last: mine.at(-1)?.load ?? null,
      tried: heaviestTried(mine),
      planned: plan[0] ?? null,
      heaviest: format.movements[task.movement].heaviest ?? null,
      stands: rule ?? already?.body.load ?? null,
      refuse: (load, record) => whyNot(format, win, ofMember(format, win, this.lane.tally.windows[win], this.#lifter), load, declaresAt(this.lane, win), { record, floor: this.lane.barFloor(win) }),
      from: changing?.body.load ?? rule ?? (found.begun ? (plan.find((load) => compareLoads(load, standing?.body.load ?? load) > 0) ?? standing?.body.load ?? next) : next),
      ask: this.#barTaken(standing, task, judged),
      attemptsLeft: this.#left(),
    }, goesOn);
  }

  /** What to ask where another lifter's declaration stands on the one bar. @param {Mark | null} standing @param {any} task @param {boolean} judged */
  #barTaken(standing, task, judged) {
    const member = standing?.body.member;
    if (!standing || judged || task.bars === "each" || !member || member === this.#lifter || this.#lifters().length < 2) return "";
    return say("{member} has declared {load} on this bar. Yours would take its place.", { member: memberName(this.lane.entry, member), load: sayLoad(standing.body.load) });
  }

  /** @param {number} member */
  #turnTo(member) {
    this.#chosen = { member, of: this.#floor };
    this.touch();
  }

  /** @param {any} load @param {{record?: true}} more */
  #declare(load, more) {
    this.#say("declare", { load, ...more });
    navigator.vibrate?.(20);
  }

  /** Makes a mark of the lifter's. @param {"declare" | "plan"} kind @param {Record<string, any>} body */
  #say(kind, body) {
    const member = this.#lifters().length > 1 ? { member: this.#lifter } : {};
    this.lane.mark(kind, { ...body, by: "lifter", ...member }, this.#win);
    this.touch();
  }

  #trouble() {
    const { tablet } = this.lane;
    return tablet.outbox.trouble || clockUnsure(this.lane) || tablet.deskTrouble;
  }

  #turnView() {
    this.#showView(keepView(this.root.dataset.view === "loaders" ? "lifter" : "loaders"));
  }

  /** @param {import("./view.js").View} view */
  #showView(view) {
    setData(this.root, "view", view);
    setData(document.body, "loaders", view === "loaders");
    setText(this.turn, view === "loaders" ? say("Lifter's view") : say("Loaders' view"));
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (!(event.target instanceof HTMLInputElement) && !this.choosing.hidden && !this.root.hidden && this.declare.keypad.typed(event)) event.preventDefault();
  }
}
