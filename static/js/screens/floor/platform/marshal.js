// @ts-check
import { AttemptClock } from "../../../parts/lifting/attempt_clock.js";
import { attemptMarks } from "../../../parts/lifting/attempts.js";
import { Declare } from "../../../parts/declare.js";
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { likelyNext, sayLoad } from "../../../parts/loads.js";
import { laneKit } from "../../../parts/onbar.js";
import { stillToCome } from "../../../parts/plans.js";
import { whyNot } from "./refusals.js";
import { byRule, changesWords, declaredNow, ruleWords } from "./standing.js";
import { faultName } from "../../../rules/faults.js";
import { attemptsLeft, attemptsUsed, heaviestTried, outOnMisses } from "../../../rules/lifts.js";
import { notTakenBack } from "../../../rules/platform/taken_back.js";
import { say } from "../../../words/say.js";
import { languageRow } from "../call/languages.js";
import { loadWords } from "./state.js";
import { declaresAt, openersUntil } from "../lane/lifting/openers.js";
import { openerBefore, plannedOn } from "../lane/lifting/planned.js";

/** @typedef {import("./state.js").Platform} Platform */
/** @typedef {import("./state.js").OnLane} OnLane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

/** The marshal's screen: the order of lifting, the call of whoever is next, and what each lifter declares. */
export class Marshal {
  #begun = "";

  /** @param {Platform} platform @param {HTMLElement} root */
  constructor(platform, root) {
    this.platform = platform;
    this.root = root;
    this.title = el("h1", { class: "call-entry", role: "entry" });
    this.line = el("p", { class: "call-line soft", "aria-live": "polite", role: "line" });
    this.languages = languageRow();
    this.call = button("", () => this.#call(), { class: "act marshal-call", role: "call-next" });
    this.back = button(say("Take back the call"), () => this.#takeBack(), { class: "press quiet", role: "call-back" });
    this.openers = button("", () => this.#putInOpeners(), { class: "press quiet", role: "put-in-openers" });
    this.clock = new AttemptClock();
    this.rows = el("ol", { class: "marshal-rows", role: "order" });
    this.who = el("h2", { role: "chosen" });
    this.state = el("p", { class: "soft", role: "declared", "aria-live": "polite" });
    this.attempts = el("ol", { class: "attempts", role: "attempts", tabindex: 0, "aria-label": say("Attempts so far") });
    this.declare = new Declare((load, more) => this.#declare(load, more));
    this.chosen = el("section", { class: "marshal-chosen", "aria-label": say("Next load") }, this.who, this.state, this.attempts, this.declare.node);
    const order = el("section", { class: "marshal-order", "aria-label": say("Order of lifting") }, this.call, this.clock.node, this.rows, el("div", { class: "row" }, this.back, this.openers));
    setData(root, "view", "marshal");
    fill(root, el("header", { class: "call-strip platform-strip", role: "strip" }, el("div", {}, this.title, this.line), this.languages), el("div", { class: "marshal" }, order, this.chosen));
    addEventListener("keydown", (event) => this.#key(event));
  }

  /** One step. @param {string} trouble what stands between this device and the desk */
  render(trouble) {
    const { platform } = this;
    const { heat } = platform;
    setText(this.title, heat ? say("{event}, heat {number}", { event: platform.event.name, number: heat.number }) : platform.packet.competition.name);
    setText(this.line, trouble || (heat ? [platform.seatName, this.#task?.name].filter(Boolean).join(" · ") : say("This platform's next heat will appear here.")));
    setData(this.line, "tone", trouble ? "look" : null);
    this.languages.hidden = !platform.idle;
    const win = platform.window;
    this.root.querySelector(".marshal")?.toggleAttribute("hidden", !heat || win === null);
    if (!heat || win === null) return;
    this.#showCall();
    this.#showRows(win);
    this.#showChosen(win);
  }

  /** The lift that is done now, with its name. */
  get #task() {
    const { window, format } = this.platform;
    const task = window === null ? null : format.tasks[/** @type {string} */ (format.windows[window].task)];
    return task ? { ...task, name: format.movements[task.movement].name } : null;
  }

  /** Whoever is called next, and what the clock says of whoever was. */
  #showCall() {
    const next = this.#next;
    this.call.hidden = !next;
    if (next) setText(this.call, next.least ? say("{who} declares {load} or more first", { who: next.who, load: sayLoad(next.least) }) : say("Call {who}, {load}", { who: next.who, load: loadWords(next) }));
    this.call.toggleAttribute("disabled", this.platform.reading() === null || Boolean(next?.least));
    this.back.hidden = this.#lastCall === null;
    this.platform.showClock(this.clock);
  }

  /** The first who waits and has not been called. */
  get #next() {
    return this.platform.uncalled()[0] ?? null;
  }

  /** The call that can be taken back: the newest mark at the bar, if this device made it. @returns {Mark | null} */
  get #lastCall() {
    const { atTheBar: at, packet } = this.platform;
    const calls = at ? notTakenBack(at).filter(({ kind, device }) => kind === "called" && device === packet.device.id) : [];
    const last = calls.sort((a, b) => a.at - b.at).at(-1) ?? null;
    return last && at?.tally.windows[last.win ?? 0].declaration === last.body.declared && !at.tally.windows[last.win ?? 0].begun ? last : null;
  }

  /** @param {number} win */
  #showRows(win) {
    const { platform } = this;
    const here = this.#atTheBar(win);
    const waiting = platform.waiting().filter(({ declared }) => !here || declared !== here.declared);
    const known = new Set([here?.lot, ...waiting.map(({ lot }) => lot)]);
    const others = platform.lanes.filter(({ lot }) => !known.has(lot)).map(({ lot }) => ({ lot, words: "", at: false }));
    const rows = [...(here ? [{ lot: here.lot, words: sayLoad(here.load), at: true }] : []), ...waiting.map((one) => ({ lot: one.lot, words: loadWords(one), at: false })), ...others];
    const stamp = JSON.stringify([rows, win, here, platform.heat?.assignment.id, platform.lanes.map(({ tally, heat }) => [tally.windows[win].lifts.length, heat.assignment.out])]);
    if (this.rows.dataset.stamp === stamp) return;
    this.rows.dataset.stamp = stamp;
    fill(this.rows, ...rows.map((row) => this.#row(row, win)));
    this.openers.hidden = !this.#withOpeners.length;
    setText(this.openers, say("openers.put_in", { n: this.#withOpeners.length }));
  }

  /**
   * Whoever was called, or has the bar out, until their attempt is over: the lane, the declaration and its load.
   * @param {number} win
   */
  #atTheBar(win) {
    const at = this.platform.atTheBar;
    const { declaration: declared, lifts = [] } = at?.tally.windows[win] ?? {};
    const coming = this.platform.uncalled().some((one) => one.declared === declared); // the next attempt, or one that is made again
    const said = declared && !coming ? at?.marks.find(({ id }) => id === declared) : null;
    const ends = (/** @type {any} */ { good, doubt }) => doubt !== "waiting" && (good || !this.#task?.tries_until_racked);
    const over = lifts.some((/** @type {any} */ lift) => lift.declared === declared && !lift.again && ends(lift));
    return at && said && !over ? { lot: at.lot, declared, load: said.body.load } : null;
  }

  /** @param {{lot: number, words: string, at: boolean}} row @param {number} win */
  #row({ lot, words, at }, win) {
    const { platform } = this;
    const lane = /** @type {OnLane} */ (platform.lanes.find((one) => one.lot === lot));
    const { lifts } = lane.tally.windows[win];
    const here = this.#atTheBar(win);
    const open = here?.lot === lot && !lifts.some((/** @type {any} */ { declared, again }) => declared === here.declared && !again);
    const used = attemptsUsed(lifts) + (open ? 1 : 0); // the one at the bar is one of them, decided or not
    const left = attemptsLeft(this.#task ?? {}, lifts) ?? 1;
    const state = lane.heat.assignment.out ? say("lifts no more") : at ? say("at the bar") : words ? "" : left > 0 ? say("no load yet") : say("done");
    const row = button("", () => this.#choose(lot), { class: "press quiet marshal-row", role: "row", "data-lot": String(lot), "aria-pressed": String(platform.heat?.assignment.lane === lot) });
    fill(row, el("b", {}, lane.heat.assignment.entry.name), el("span", {}, words), el("span", { class: "soft" }, [state, say("attempt.number", { n: at ? used : Math.min(used + 1, this.#task?.attempts ?? used + 1) })].filter(Boolean).join(" · ")));
    setData(row, "at", at);
    return el("li", {}, row);
  }

  /** Whose next load it is, in sight: where the screen is narrow it stands below the whole order. @param {number} lot */
  #choose(lot) {
    this.platform.pick(lot);
    this.chosen.scrollIntoView({ block: "nearest" });
  }

  /** @param {number} win */
  #showChosen(win) {
    const { platform } = this;
    const found = platform.tally.windows[win];
    const mark = (/** @type {string | null} */ id) => platform.marks().find((one) => one.id === id) ?? null;
    const [standing, waiting] = [mark(found.declaration), mark(found.waiting)];
    setText(this.who, platform.entry.name);
    const said = waiting ?? standing;
    const rule = ruleWords(found.coming, platform.ms);
    setText(this.state, rule || (said ? this.#declared(sayLoad(said.body.load), Boolean(waiting), found.begun) : say("No load is declared.")));
    setData(this.state, "kept", said && !rule ? platform.tablet.outbox.stateOf(said.id) : null);
    fill(this.attempts, ...attemptMarks(found.lifts, found.best?.mark ?? null, (fault) => faultName(platform.format, win, fault), platform.whose));
    this.#begin(win, found, standing, waiting);
    this.declare.note(changesWords(this.#task, found.coming, openersUntil(platform, win)));
  }

  /** Prepares the choice, once for each state of the sheet. @param {number} win @param {any} found @param {Mark | null} standing @param {Mark | null} waiting */
  #begin(win, found, standing, waiting) {
    const { platform } = this;
    const task = this.#task;
    const rule = byRule(found.coming, platform.ms);
    const before = openerBefore(platform, /** @type {any} */ (platform.heat), ofLane(win));
    const stamp = `${platform.sheet}/${win}/${found.lifts.length}/${standing?.id}/${waiting?.id}/${found.begun}/${Boolean(rule)}/${before?.amount}`;
    if (stamp === this.#begun || !task) return;
    this.#begun = stamp;
    const { changing, already } = declaredNow(task, found, standing, waiting);
    const plan = this.#planned(win);
    this.declare.begin({
      task,
      kit: laneKit(platform.packet, task),
      unit: platform.format.unit,
      last: found.lifts.at(-1)?.load ?? null,
      tried: heaviestTried(found.lifts),
      planned: plan[0] ?? null,
      heaviest: platform.format.movements[task.movement].heaviest ?? null,
      stands: already?.body.load ?? rule,
      refuse: (load, record) => whyNot(platform.format, win, platform.tally.windows[win], load, declaresAt(platform, win), { floor: platform.barFloor(win), record }),
      from: changing?.body.load ?? rule ?? likelyNext(found.lifts, task, platform.format.unit, plan),
      attemptsLeft: attemptsLeft(task, found.lifts, found.begun && found.declaration),
      out: outOnMisses(task, found.lifts, found.begun && found.declaration),
    });
  }

  /** What the chosen lifter means to lift. @param {number} win */
  #planned(win) {
    const { platform } = this;
    const plan = plannedOn(platform, /** @type {any} */ (platform.heat), platform.standing(), ofLane(win));
    return stillToCome(plan, platform.tally.windows[win].lifts, this.#task);
  }

  /** The lanes of which an opener is known and nothing is declared, each with it. */
  get #withOpeners() {
    const { platform } = this;
    const win = platform.window;
    if (win === null) return [];
    return platform.lanes.flatMap((lane) => {
      const { declaration, lifts } = lane.tally.windows[win];
      const [load] = plannedOn(platform, lane.heat, lane.marks, ofLane(win));
      return declaration || lifts.length || !load || lane.heat.assignment.out ? [] : [{ lane, load }];
    });
  }

  /** What stands declared, and for which lift. @param {string} load @param {boolean} next @param {unknown} out */
  #declared(load, next, out) {
    if (next) return say("{load} is declared, for the next lift.", { load });
    return out ? say("{load} is declared: the bar is out.", { load }) : say("{load} is declared.", { load });
  }

  #putInOpeners() {
    const { platform } = this;
    const all = this.#withOpeners;
    platform.tablet.outbox.together(() => {
      for (const { lane, load } of all) platform.markOn(lane.heat, "declare", { load, by: "desk" }, platform.window);
    });
  }

  /** @param {any} load @param {{record?: true}} more */
  #declare(load, more) {
    this.platform.mark("declare", { load, by: "desk", ...more }, this.platform.window);
  }

  #call() {
    const { platform } = this;
    const next = this.#next;
    const lane = platform.lanes.find(({ lot }) => lot === next?.lot);
    const win = platform.window;
    if (!next || !lane || next.least || win === null) return;
    const last = lane.tally.windows[win].lifts.at(-1);
    const again = this.#task?.again_seconds != null && last?.again ? { between: platform.liftsSince(next.lot, win) } : {};
    const follows = this.#task?.follow_seconds == null ? {} : { follows: platform.liftedLast(next.lot) };
    platform.tablet.outbox.together(() => {
      const declared = next.declared || platform.markOn(lane.heat, "declare", { load: next.load, by: "rule" }, win).id;
      platform.markOn(lane.heat, "called", { declared, ...follows, ...again }, win);
    });
    navigator.vibrate?.(20);
  }

  #takeBack() {
    const { platform } = this;
    const last = this.#lastCall;
    if (last && platform.atTheBar) platform.markOn(platform.atTheBar.heat, "strike", { mark: last.id }, last.win);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (!(event.target instanceof HTMLInputElement) && this.declare.keypad.typed(event)) event.preventDefault();
  }
}

/** The one lifter of a lane that shares a bar. @param {number} win */
const ofLane = (win) => ({ win, member: 1, alone: true });
