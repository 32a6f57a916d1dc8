// @ts-check
import { button, el, setText } from "../../../parts/dom.js";
import { JUDGED, kindWords } from "../../../rules/kinds.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */

const BETWEEN = new Set(["rest", "held"]);
const AGAIN_MS = 6000; // long enough to see what went, short enough not to be there at the next slip

/** What was taken back just now, on this sheet: for a few seconds it can be made to stand again. */
export class TakenBack {
  /** The last of it at the end. @type {Mark[]} */
  #gone = [];
  #sheet = "";
  #timer = 0;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
  }

  /** What was taken back last, or null. */
  get last() {
    return this.#sheet === this.lane.sheet ? (this.#gone.at(-1) ?? null) : null;
  }

  /** @param {Mark} mark that has been struck out just now */
  add(mark) {
    if (this.#sheet !== this.lane.sheet) this.#gone = [];
    this.#sheet = this.lane.sheet;
    this.#gone.push(mark);
    this.#wait();
  }

  /** Makes what went last stand again. A strike-out can't be struck: the mark is made again, at its own time. */
  again() {
    const gone = this.last;
    if (!gone) return;
    this.#gone.pop();
    const { id } = this.lane.mark(gone.kind, gone.body, gone.win, gone.at);
    this.#gone = this.#gone.map((mark) => ({ ...mark, body: renamed(mark.body, gone.id, id) }));
    this.#wait();
  }

  #wait() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#gone = [];
      this.lane.tablet.outbox.changed(); // whoever draws the lane looks again
    }, AGAIN_MS);
  }
}

/** A mark's body that names another mark by its new id. @param {Record<string, any>} body @param {string} before @param {string} after */
function renamed(body, before, after) {
  return Object.fromEntries(Object.entries(body).map(([key, value]) => [key, value === before ? after : value]));
}

/** Says what stands again at a touch: above the work, so that no finger that slips on "Take back last" can strike it. */
export class Again {
  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.key = button("", () => lane.takenBack.again(), { class: "press quiet", role: "put-back" });
    this.node = el("div", { class: "again", hidden: true }, this.key);
  }

  /** @param {import("./heats.js").Scene} scene */
  render({ view, win }) {
    const last = this.lane.heat && this.lane.takenBack.last;
    const gone = last && (BETWEEN.has(view) || last.win === win) ? last : null; // in the next window's work it is the sheet's
    this.node.hidden = !gone;
    if (gone) setText(this.key, JUDGED.has(gone.kind) ? say("Count it again: {mark}", { mark: kindWords(gone, "told") }) : say("It still counts: {mark}", { mark: kindWords(gone, "told") }));
  }
}
