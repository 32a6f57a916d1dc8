// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { sayLoad } from "../../../parts/loads.js";
import { onLand } from "../../../parts/press.js";
import { timeText } from "../../../parts/timing.js";
import { faultName, movementsOf } from "../../../rules/faults.js";
import { JUDGED } from "../../../rules/kinds.js";
import { typedLoad } from "../../../rules/typed_loads.js";
import { BadMeasure } from "../../../rules/units.js";
import { markName, resultText, taskText, whoText } from "../lane/words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./sheet.js").VideoSheet} VideoSheet */
/** @typedef {import("../../../parts/film.js").Film} Film */
/** @typedef {import("../../../parts/film.js").Moment} Moment */

const ANEW = "Count this window again";

/** Judging what the film shows: window by window, each kind of work with its own buttons. */
export class JudgePanel {
  /** @type {Moment | null} */
  #moment = null;
  /** @type {number | null} */
  #win = null;
  #shown = "";
  /** The window that is about to be counted anew: a second press does it. @type {number | null} */
  #asked = null;
  /** The load whose oddness was asked about: typed again, it is meant. */
  #doubted = "";

  /** @param {VideoSheet} sheet @param {Film} film */
  constructor(sheet, film) {
    this.sheet = sheet;
    this.film = film;
    this.windows = el("div", { class: "video-windows", role: "windows" }, ...this.#windowButtons());
    this.title = el("h2", { role: "window-title" });
    this.count = el("output", { class: "video-count", role: "video-count" }, "0");
    this.result = el("p", { class: "soft", role: "video-result" });
    this.work = el("div", { class: "video-work" });
    this.back = button("Take back last", () => this.takeBack(), { class: "press-wide", role: "film-take-back" });
    this.anew = button(ANEW, () => this.#countAnew(), { class: "plain", role: "count-anew" });
    this.node = el("section", { class: "video-judge", "aria-label": "Judging" }, this.windows, this.title, this.count, this.result, this.work, this.back, this.anew);
  }

  /** @param {Moment | null} moment */
  draw(moment) {
    this.#moment = moment;
    const win = moment === null ? this.#win : this.#windowAt(moment.ms);
    const kind = win === null ? "" : this.#task(win).kind;
    const bar = kind === "lift" && moment && win !== null ? this.sheet.barAt(win, moment.ms) : null;
    const stamp = `${win}/${kind}/${moment === null}/${bar?.id}`;
    this.#win = win;
    if (stamp !== this.#shown) {
      this.#shown = stamp;
      this.#showWindow(win, bar);
    }
    this.#showNumbers(win);
  }

  /** A good repetition, or a good lift. */
  good() {
    const kind = this.#kind();
    if (kind === "lift") this.#lift(true);
    else if (kind === "count" || kind === "list") this.#mark("rep", {});
  }

  /** No rep by the most likely fault, or no lift. */
  refuse() {
    const kind = this.#kind();
    if (kind === "lift") this.#lift(false);
    else if (kind) this.#norep(this.#faults()[0]);
  }

  /** Takes the last mark back: it is struck out and stays on the sheet. */
  takeBack() {
    const last = this.sheet.last();
    if (last) this.sheet.strike(last);
  }

  /** Takes back all marks of the window, after a second press: they stay on the sheet, struck out. */
  #countAnew() {
    const marks = this.#ownMarks();
    if (this.#asked === this.#win) for (const mark of marks) this.sheet.strike(mark);
    this.#asked = this.#asked === this.#win ? null : this.#win;
    this.#showNumbers(this.#win);
  }

  #ownMarks() {
    return this.sheet.standing("video").filter((mark) => mark.win === this.#win && mark.sheet === this.sheet.key && (JUDGED.has(mark.kind) || mark.kind === "declare"));
  }

  /** Goes to the next or the last window of work. @param {1 | -1} way */
  turn(way) {
    const works = this.#works();
    const at = this.#moment?.ms ?? 0;
    const starts = works.map((i) => this.sheet.format.windows[i].start * 1000);
    const next = way === 1 ? starts.find((start) => start > at + 500) : starts.filter((start) => start < at - 1500).at(-1);
    if (next !== undefined) this.film.seek(next);
  }

  #kind() {
    return this.#win === null || this.#moment === null ? "" : this.#task(this.#win).kind;
  }

  /** @param {number} win */
  #task(win) {
    return this.sheet.format.tasks[/** @type {string} */ (this.sheet.format.windows[win].task)];
  }

  #works() {
    return this.sheet.format.windows.map((window, i) => ({ window, i })).filter(({ window }) => window.task != null).map(({ i }) => i);
  }

  /** The window that a moment is judged in: the one that runs, else the one just over, else the one to come. @param {number} ms */
  #windowAt(ms) {
    const { windows, late_ms } = this.sheet.format;
    const works = this.#works();
    const end = (/** @type {number} */ i) => (windows[i].start + windows[i].seconds) * 1000;
    const running = works.find((i) => windows[i].start * 1000 <= ms && ms < end(i));
    const over = works.filter((i) => end(i) <= ms).at(-1);
    return running ?? (over !== undefined && ms < end(over) + Math.max(late_ms, 15_000) ? over : undefined) ?? works.find((i) => windows[i].start * 1000 > ms) ?? over ?? null;
  }

  /** @returns {HTMLElement[]} */
  #windowButtons() {
    const { format } = this.sheet;
    return this.#works().map((i) => {
      const window = format.windows[i];
      const words = `${timeText(window.start * 1000)} ${taskText(format, window)}`;
      return button(words, () => this.film.seek(window.start * 1000), { class: "video-window", "data-window": i });
    });
  }

  /** @param {number | null} win @param {any} bar */
  #showWindow(win, bar) {
    for (const one of this.windows.children) setData(one, "now", Number(/** @type {HTMLElement} */ (one).dataset.window) === win);
    const now = /** @type {HTMLElement | null} */ (this.windows.querySelector("[data-now]"));
    if (now) this.windows.scrollLeft = now.offsetLeft - this.windows.offsetLeft - now.offsetWidth;
    const { format, entry } = this.sheet;
    setText(this.title, win === null ? "Nothing to judge here" : `${whoText(format, format.windows[win], entry)}: ${taskText(format, format.windows[win])}`);
    if (win === null || this.#moment === null) return fill(this.work, el("p", { class: "notice" }, this.film.ready ? "Set GO on the film first." : "Open the film and set GO on it."));
    const kind = this.#task(win).kind;
    if (kind === "lift") return fill(this.work, ...this.#liftParts(bar));
    if (kind === "measure") return fill(this.work, ...this.#measureParts(this.#task(win).unit));
    fill(this.work, ...this.#countParts(kind === "list"));
  }

  /** @param {boolean} list @returns {HTMLElement[]} */
  #countParts(list) {
    const rep = pressed("Rep", "good", "rep", () => this.good());
    const finish = button("Finish", () => this.#mark("finish", {}), { class: "press-wide", role: "finish" });
    return [el("div", { class: "video-verdicts" }, rep, this.#noRepPart()), ...(list ? [finish] : [])];
  }

  #noRepPart() {
    const likely = pressed("No rep", "refused", "norep", () => this.refuse());
    const faults = this.#faults().map((fault) => button(this.#called(fault), () => this.#norep(fault), { "data-fault": fault.id }));
    return el("div", { class: "video-faulty" }, likely, el("div", { class: "video-faults" }, ...faults));
  }

  /** @param {any} bar @returns {HTMLElement[]} */
  #liftParts(bar) {
    const said = el("p", { class: "video-bar", role: "bar" }, bar ? `On the bar: ${sayLoad(bar.body.load)}` : "No load was declared by then.");
    const typed = el("input", { id: "bar-load", inputmode: "decimal", class: "short", "aria-describedby": "bar-wrong" });
    const wrong = el("p", { class: "wrong", id: "bar-wrong", "aria-live": "polite" });
    const declare = button("This is on the bar", () => this.#declare(typed.value, wrong), { role: "declare" });
    const other = el("p", { class: "video-other" }, el("label", { for: "bar-load" }, `${bar ? "Another load" : "Load"} in ${this.sheet.format.unit}`), typed, declare);
    const faults = this.#faults().map((fault) => button(fault.name, () => this.#lift(false, fault.id), { disabled: !bar, "data-fault": fault.id }));
    const good = pressed(say("lift.good"), "good", "good-lift", () => this.good());
    const no = pressed(say("lift.no"), "refused", "no-lift", () => this.refuse());
    good.disabled = no.disabled = !bar;
    return [said, el("div", { class: "video-verdicts" }, good, el("div", { class: "video-faulty" }, no, el("div", { class: "video-faults" }, ...faults))), other, wrong];
  }

  /** @param {string} unit @returns {HTMLElement[]} */
  #measureParts(unit) {
    const typed = el("input", { id: "measured", inputmode: "decimal", class: "short" });
    const wrong = el("p", { class: "wrong", "aria-live": "polite" });
    const write = () => {
      const value = typed.value.trim().replace(",", ".");
      const fits = /^-?[0-9]{1,9}(\.[0-9]{1,6})?$/.test(value);
      setText(wrong, fits ? "" : `Type a plain number in ${unit}, such as 12.5.`);
      if (fits) this.#mark("measure", { value });
    };
    return [el("p", { class: "video-other" }, el("label", { for: "measured" }, `Measured, in ${unit}`), typed, button("Write down", write, { role: "measure" })), wrong];
  }

  /** The faults of the work's movements, each with its own. @returns {{id: string, name: string, movement: string}[]} */
  #faults() {
    if (this.#win === null) return [];
    const { format } = this.sheet;
    return movementsOf(format, this.#win).flatMap((movement) =>
      (format.movements[movement].faults ?? []).map((/** @type {any} */ fault) => ({ ...fault, movement })),
    );
  }

  /** @param {{id: string, movement: string}} fault */
  #called({ id, movement }) {
    return faultName(this.sheet.format, this.#win, id, movement);
  }

  /** @param {{id: string, movement: string} | undefined} fault */
  #norep(fault) {
    const several = movementsOf(this.sheet.format, this.#win).length > 1;
    this.#mark("norep", fault ? { fault: fault.id, ...(several ? { movement: fault.movement } : {}) } : {});
  }

  /** @param {boolean} good @param {string} [fault] */
  #lift(good, fault) {
    const bar = this.#win !== null && this.#moment ? this.sheet.barAt(this.#win, this.#moment.ms) : null;
    if (!bar) return;
    const named = good ? undefined : (fault ?? this.#faults()[0]?.id);
    this.#mark("lift", { load: bar.body.load, good, declared: bar.id, ...(named ? { fault: named } : {}) });
  }

  /** @param {string} typed @param {HTMLElement} wrong */
  #declare(typed, wrong) {
    if (this.#win === null) return;
    try {
      const { load, doubt } = typedLoad(typed.trim(), this.#task(this.#win), this.sheet.format.unit);
      const asked = this.#doubted === typed;
      this.#doubted = typed;
      setText(wrong, doubt && !asked ? `${doubt.sentence} If it is right, press once more.` : "");
      if (doubt && !asked) return;
      this.#doubted = "";
      this.#mark("declare", { load: { amount: load.amount, unit: load.unit }, by: "judge" });
    } catch (bad) {
      if (!(bad instanceof BadMeasure)) throw bad;
      setText(wrong, bad.message);
    }
  }

  /** @param {string} kind @param {Record<string, any>} body */
  #mark(kind, body) {
    const moment = this.film.moment();
    if (!moment || this.#win === null || !this.film.ready) return;
    this.sheet.mark(kind, body, this.#win, moment, Math.ceil(2 * this.film.frameMs)); // a frame for GO, a frame for this
    navigator.vibrate?.(12);
  }

  /** @param {number | null} win */
  #showNumbers(win) {
    const found = win === null ? null : this.sheet.tally.windows[win];
    const kind = win === null ? "" : this.#task(win).kind;
    this.count.hidden = kind !== "count" && kind !== "list";
    setText(this.count, found?.count ?? "");
    const beside = this.sheet.tally.flags.filter((/** @type {any} */ flag) => flag.why === "second-tablet").length;
    const twice = beside ? ` ${say("marks.beside", { n: beside })}` : "";
    setText(this.result, found ? `${resultText(this.sheet.format, found)}.${twice}` : "");
    const here = win === null ? 0 : this.#ownMarks().length;
    if (this.#asked !== win) this.#asked = null;
    this.anew.hidden = here === 0;
    setText(this.anew, this.#asked === null ? ANEW : say("marks.take_back", { n: here }));
    const last = this.sheet.last();
    this.back.disabled = last === null;
    setText(this.back, last ? `Take back last: ${markName(this.sheet.format, last, this.sheet.tally, win)} at ${timeText(last.at)}` : "Take back last");
  }
}

/** A large button that acts as the finger lands. @param {string} words @param {string} verdict @param {string} role @param {() => void} act */
function pressed(words, verdict, role, act) {
  const made = el("button", { type: "button", class: "video-press", role, "data-verdict": verdict }, words);
  onLand(made, act);
  made.addEventListener("mousedown", (event) => event.preventDefault()); // the keys stay the page's: space must not count again
  return made;
}
