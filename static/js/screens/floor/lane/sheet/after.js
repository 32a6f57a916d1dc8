// @ts-check
import { button, el, fill, setText } from "../../../../parts/dom.js";
import { finishText, timeText } from "../../../../parts/timing.js";
import { faultName } from "../../../../rules/faults.js";
import { kindWords } from "../../../../rules/kinds.js";
import { ROWS } from "../../../../rules/rows.js";
import { MeasureView } from "../measure.js";
import { laneText, letter, pointsText, resultText, sharesText, taskText, whoText } from "../words.js";
import { SheetsToSign } from "./to_sign.js";
import { scoresOf, scoringWindows, totalOf } from "./total.js";
import { decimal, known, say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */
/** @typedef {import("../../../../device/outbox.js").Mark} Mark */

/** After the last bell: the sheet in plain words, corrections by strike-out, both signatures. */
export class AfterView {
  #stamp = "";
  /** Which signatures are drawn. */
  #signed = "";
  /** The window whose missing number is being typed. @type {number | null} */
  #entering = null;
  /** @type {Set<number>} windows whose marks are laid open */
  #open = new Set();

  /** @param {Lane} lane @param {() => void} onleave @param {(heat: import("../heats.js").Heat) => void} onopen */
  constructor(lane, onleave, onopen) {
    this.lane = lane;
    this.onleave = onleave;
    this.words = el("div", { class: "after-words" });
    this.total = el("div", {});
    this.measure = new MeasureView(lane);
    this.signs = el("div", { class: "after-signs" });
    this.coming = el("p", { role: "coming" });
    this.next = button("", () => this.onleave(), { role: "next-heat" });
    this.toSign = new SheetsToSign(lane, onopen);
    const side = el("div", { class: "after-side" }, this.total, this.signs, el("div", { class: "after-next" }, this.coming, this.next), this.toSign.node);
    this.node = el("div", { class: "after", role: "after" }, this.words, side);
  }

  render() {
    this.toSign.render();
    this.#showNext();
    // Drawn anew only for a new mark: a button must not be replaced under a finger because the desk acknowledged something.
    const stamp = `${this.lane.sheet}/${this.lane.marks().length}/${this.lane.shiftMs}/${[...this.#open]}/${this.#entering}/${this.lane.turns.words(this.#entering)}`;
    if (this.#entering !== null) this.measure.render({ view: "measure", win: this.#entering, late: false, until: 0 });
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    this.#draw();
    this.#drawSigns();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    return this.#entering !== null && this.measure.typed(event);
  }

  /** Windows whose number was never entered. @returns {number[]} */
  get #missing() {
    const { format, tally } = this.lane;
    const measured = (/** @type {any} */ { index }) => this.#mine(format.windows[index].task) && format.tasks[format.windows[index].task ?? ""]?.kind === "measure";
    return tally.windows.filter((/** @type {any} */ found) => measured(found) && found.measure === null).map((/** @type {any} */ { index }) => index);
  }

  /** @param {number} win */
  #enter(win) {
    this.#entering = this.#entering === win ? null : win;
    this.render();
    this.measure.node.scrollIntoView({ block: "nearest" });
  }

  #draw() {
    if (this.#entering !== null && !this.#missing.includes(this.#entering)) this.#entering = null;
    const { format, entry, tally } = this.lane;
    const lines = tally.windows
      .filter((/** @type {any} */ found) => this.#mine(format.windows[found.index].task))
      .map((/** @type {any} */ found) => this.#line(found));
    const notes = this.lane.standing().filter((mark) => mark.kind === "note" || mark.kind === "stop");
    fill(this.total, this.lane.wholeSheet ? totalOf(this.lane) : null);
    fill(
      this.words,
      el("h2", {}, say("The sheet")),
      el("p", { class: "soft" }, say("{entry}, {lane}. Read it out; a mistake is struck out, never rubbed out.", { entry: entry.name, lane: laneText(this.lane.heat?.assignment.lane, this.lane.seatName) })),
      this.#shift(),
      el("ol", { class: "sheet-lines" }, ...lines),
      notes.length ? el("ul", { class: "sheet-notes" }, ...notes.map((mark) => this.#note(mark))) : null,
    );
  }

  /** The heat that comes, and the way to it. */
  #showNext() {
    const { coming } = this.lane;
    setText(this.coming, coming ? say("Next: heat {number}, {name}: {entry}", { number: coming.number, name: this.lane.packet.events[coming.event].name, entry: coming.assignment.entry.name }) : say("No more heats on this lane."));
    setText(this.next, coming ? say("Next heat") : say("Close this sheet"));
    this.next.classList.toggle("act", Boolean(this.lane.tally.signed.judge));
  }

  /** Whether a window's work is on this sheet: a counter beside the judge has counted repetitions, and decided lifts where three judges do. @param {string | null} task */
  #mine(task) {
    const { kind, judges } = task === null ? { kind: "", judges: 1 } : this.lane.format.tasks[task];
    return task !== null && (this.lane.counter === "lane" || kind === "count" || (kind === "lift" && judges === 3));
  }

  /** What the head judge ruled of a clock that was started by hand. */
  #shift() {
    const ms = this.lane.shiftMs;
    const seconds = decimal(String(Math.abs(ms) / 1000));
    const words = ms > 0 ? say("The head judge moved what was marked by the clock started by hand {seconds} s later.", { seconds }) : say("The head judge moved what was marked by the clock started by hand {seconds} s earlier.", { seconds });
    return ms ? el("p", { class: "notice", role: "shifted" }, words) : null;
  }

  /** @param {any} found tally of one window */
  #line(found) {
    const { format, entry } = this.lane;
    const window = format.windows[found.index];
    const open = this.#open.has(found.index);
    const marks = this.#marksOf(found.index);
    const missing = this.#missing.includes(found.index);
    const scores = !this.lane.wholeSheet || scoringWindows(scoresOf(this.lane)).has(found.index);
    const points = pointsText(format, this.lane.tally, found.index, "point.missed");
    const members = Array.isArray(window.who) && format.members > 1 ? `${window.who.map(letter).join("+")} ` : "";
    return el(
      "li",
      { class: "sheet-line" },
      el("span", { class: "sheet-time soft" }, `${timeText(window.start * 1000)}–${timeText((window.start + window.seconds) * 1000)}`),
      el("span", { class: "sheet-who" }, members ? el("b", {}, members) : null, `${whoText(format, window, entry)}, ${taskText(format, window)}`),
      el("b", { class: "sheet-result", role: "sheet-result", "data-tone": missing ? "look" : null }, resultText(format, found), scores ? null : el("span", { class: "sheet-shares soft" }, say("scores nothing")), sharesText(format, entry, found) ? el("span", { class: "sheet-shares", role: "sheet-shares" }, sharesText(format, entry, found)) : null, points ? el("span", { class: "sheet-shares", role: "sheet-points" }, points) : null),
      missing
        ? button(this.#entering === found.index ? say("Close") : say("Enter the number"), () => this.#enter(found.index), { class: "look", role: "enter-number" })
        : button(open ? say("Close the marks") : say("marks.show", { n: marks.length }), () => this.#turn(found.index), { class: "quiet", "aria-expanded": String(open), role: "open-marks", hidden: !marks.length }),
      this.#entering === found.index ? this.measure.node : null,
      open ? el("ol", { class: "sheet-marks" }, ...marks.map((mark) => this.#mark(mark))) : null,
    );
  }

  /** @param {number} win @returns {Mark[]} standing and struck, in order of time */
  #marksOf(win) {
    return this.lane.marks().filter((mark) => mark.win === win && mark.kind !== "strike").sort((a, b) => a.at - b.at || a.seq - b.seq);
  }

  /** @param {Mark} mark */
  #mark(mark) {
    const { format, tally } = this.lane;
    const struck = tally.struck.includes(mark.id);
    const words = kindWords(mark, "listed");
    const whose = mark.body.member && format.members > 1 ? `, ${this.lane.trackNames[mark.body.member - 1]}` : "";
    const fault = (mark.body.fault ? `, ${faultName(format, mark.win, mark.body.fault, mark.body.movement)}` : "") + whose;
    const odd = oddest(tally.flags.filter((/** @type {any} */ flag) => flag.mark === mark.id));
    return el(
      "li",
      { "data-struck": struck },
      el("span", { class: "soft" }, finishText(Math.max(0, mark.at))),
      struck ? el("s", {}, `${words}${fault}`) : el("span", {}, `${words}${fault}`),
      odd && !struck ? el("span", { class: "state", "data-state": "look" }, ROWS.flags[odd.why] ?? known(odd.why.replaceAll("-", " "))) : null,
      struck ? el("span", { class: "soft" }, say("struck out")) : button(say("Strike out"), () => this.lane.strike(mark), { class: "plain", role: "strike" }),
    );
  }

  /** @param {Mark} mark */
  #note(mark) {
    const stop = mark.kind === "stop";
    return el("li", {}, el("span", { class: stop ? "state" : "soft", "data-state": stop ? "stopped" : null }, stop ? say("Stopped") : say("Note")), ` ${timeText(mark.at)} ${known(mark.body.why ?? mark.body.text)}`);
  }

  /** @param {number} win */
  #turn(win) {
    if (!this.#open.delete(win)) this.#open.add(win);
    this.render();
  }

  #drawSigns() {
    const { signed } = this.lane.tally;
    const stamp = `${this.lane.sheet}/${signed.athlete}/${signed.judge}/${this.#missing}`;
    if (stamp === this.#signed) return;
    const same = this.#signed.startsWith(`${this.lane.sheet}/`);
    this.#signed = stamp;
    const typed = (/** @type {string} */ who, /** @type {string} */ likely) => (same && /** @type {HTMLTextAreaElement | null} */ (this.signs.querySelector(`#sign-${who}`))?.value) || likely;
    const judges = this.lane.counter === "lane"; // a counter beside the judge signs for the counting alone
    const judge = judges ? (this.lane.heat?.assignment.judge ?? "") : "";
    const athlete = this.lane.entry.members[0]?.name ?? "";
    fill(
      this.signs,
      el("h2", {}, say("Signed by")),
      judges ? this.#sign("athlete", this.lane.format.members > 1 ? say("One athlete for all") : say("Athlete"), typed("athlete", athlete), signed.athlete) : null,
      this.#sign("judge", this.lane.seatName || say("Judge"), typed("judge", judge), signed.judge),
    );
  }

  /** @param {"athlete" | "judge"} who @param {string} label @param {string} likely @param {string | undefined} name */
  #sign(who, label, likely, name) {
    if (name) return el("p", { class: "signed", role: `signed-${who}` }, el("span", { class: "soft" }, `${label} `), el("b", {}, name));
    const field = /** @type {HTMLTextAreaElement} */ (el("textarea", { id: `sign-${who}`, rows: 2, maxlength: 120, autocomplete: "off", spellcheck: "false" }, likely));
    let asks = this.#missing.length; // asked once
    const act = () => {
      if (!asks) return this.#signNow(who, field.value.trim().replace(/\s+/g, " "));
      setText(sign, say("sheet.sign_without", { n: asks }));
      sign.classList.add("look");
      asks = 0;
    };
    const sign = button(say("Sign"), act, { role: `sign-${who}` });
    return el("div", { class: "sign" }, el("label", { for: `sign-${who}` }, label), el("span", { class: "soft" }, say("not signed yet")), field, sign);
  }

  /** @param {"athlete" | "judge"} who @param {string} name */
  #signNow(who, name) {
    if (!name) return document.getElementById(`sign-${who}`)?.focus();
    this.lane.mark("sign", { who, name });
    this.#drawSigns();
  }
}

/**
 * What is said of a mark beside it, where there is room for one thing: that it does not count before all else.
 * @param {{why: string}[]} flags of one mark @returns {{why: string} | undefined}
 */
export const oddest = (flags) => flags.find(({ why }) => ROWS.keeps_out.includes(why)) ?? flags[0];
