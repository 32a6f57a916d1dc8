// @ts-check
import { calloutsOf } from "../../../parts/callouts.js";
import { Voice, WHATS } from "../../../parts/voice.js";
import { setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";

/** What a hall's screen says aloud: the clock's own calls, a stop, who stands where, who lifts what. Each can be switched on and off on this screen. */

const BREATH_MS = 1500; // a name comes once the call at a window's beginning was said, and a load that was mistyped is mended
const NAME_LATE_MS = 4000; // a lifter who was called by a tablet without a line is not called by the hall when the line is back

/** @typedef {import("../clock/face.js").Heat} Heat */
/** @typedef {{key: string, lane: number, name: string, amount: string, unit: string, at: number}} Lift */
/** @typedef {{lane: number, name: string}} Lane */

export class Spoken {
  #key = "";
  #state = "";
  #told = 0; // how often this line has told something: what it tells first may be long ago
  /** @type {Heat | null} */
  #heat = null;
  #lineup = false; // it was named
  /** @type {Set<string>} */
  #lifted = new Set();

  onturn = () => {}; // somebody switched the voice on or off

  /**
   * @param {() => import("../../../rules/holding.js").HeatTime | null} clock of the heat that was told last; null while it has none
   * @param {string} choice under which name this kind of screen keeps what was chosen
   */
  constructor(clock, choice) {
    this.clock = clock;
    this.voice = new Voice((now) => this.#names(now), choice);
    this.#bind();
  }

  /** The line is gone, or the screen asks now and then instead: what it is told next is not news. */
  lost() {
    this.#told = 0;
  }

  /** Takes over what was told. @param {Heat | null} heat @param {import("../clock/face.js").Format} format */
  take(heat, format) {
    const news = this.#told > 0 && !this.voice.away;
    const key = heat ? `${heat.go_ms}/${heat.boot}/${heat.clock}` : "";
    const stopped = key === this.#key && this.#state === "set" ? heat?.state : "";
    this.#heat = heat;
    this.#told += 1;
    this.#state = heat?.state ?? "";
    if (key !== this.#key) this.#follow(key, format);
    else this.voice.look();
    if (news && stopped === "stopped") this.voice.call("held", say("heat.stopped"));
    if (news && stopped === "closed") this.voice.call("time", say("voice.time"));
  }

  /** @param {string} key @param {import("../clock/face.js").Format} format */
  #follow(key, format) {
    this.#key = key;
    this.#lineup = false;
    this.#lifted.clear();
    this.voice.follow(key ? calloutsOf(format) : [], this.clock);
  }

  /** What is not the clock's alone: who stands where, before GO; who lifts what. @param {import("../../../rules/holding.js").HeatTime} now */
  #names(now) {
    const heat = this.#heat;
    if (!heat) return;
    if (!this.#lineup && now.ms < 0) {
      this.#lineup = true;
      this.voice.names("lanes", heat.lineup.map(({ lane, name }) => say("voice.lane", { lane, name })), now);
    }
    if (now.standing) return;
    const due = heat.lifts.filter(({ key, at }) => !this.#lifted.has(key) && at + BREATH_MS <= now.ms);
    for (const { key } of due) this.#lifted.add(key);
    const fresh = due.filter(({ at }) => now.ms - at - BREATH_MS <= NAME_LATE_MS);
    if (fresh.length === 1) this.voice.names("lifters", [liftText(fresh[0])], now, NAME_LATE_MS); // of several at once nobody could tell who is meant
  }

  #bind() {
    const { voice } = this;
    const part = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
    const tick = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (part(id));
    const dialog = /** @type {HTMLDialogElement} */ (part("voice"));
    const show = () => {
      const own = voice.voice;
      part("voice-which").hidden = !own;
      setText(/** @type {Element} */ (part("voice-which").lastElementChild), own?.name ?? "");
      part("voice-none").hidden = own !== undefined;
      part("voice-blocked").hidden = !voice.blocked;
      tick("voice-on").checked = voice.on;
      for (const what of WHATS) tick(`voice-${what}`).checked = voice.whats.has(what);
    };
    voice.onchange = show;
    part("hall-voice").addEventListener("click", () => {
      show();
      dialog.showModal();
    });
    tick("voice-on").addEventListener("change", () => {
      voice.turn(tick("voice-on").checked);
      this.onturn();
    });
    for (const what of WHATS) tick(`voice-${what}`).addEventListener("change", () => voice.turnWhat(what, tick(`voice-${what}`).checked));
    part("voice-try").addEventListener("click", () => voice.hear(say("voice.ten")));
    show();
  }
}

/** @param {Lift} lift */
function liftText({ lane, name, amount, unit }) {
  const load = `${amount} ${unit === "kg" ? say("unit.kg") : say("unit.lb")}`;
  return say("voice.lift", { lane, name, load });
}
