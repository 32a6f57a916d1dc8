// @ts-check
import { choose, chosen } from "../../../parts/choices.js";
import { cuesOf } from "../../../parts/cues.js";
import { setText } from "../../../parts/dom.js";
import { Sound } from "../../../parts/sound.js";
import { say } from "../../../words/say.js";
import { Spoken } from "./spoken.js";

/** @typedef {import("../clock/face.js").Heat} Heat */
/** @typedef {import("../clock/face.js").Format} Format */
/** @typedef {import("../../../rules/holding.js").HeatTime} HeatTime */

/**
 * The sound of a screen that a whole hall hears: beeps and call-outs, each off until somebody switches it on there. What was chosen is
 * kept for each kind of screen by itself, so that a wall that is opened where the clock speaks stays silent.
 */
export class HallSound {
  #followed = "";
  /** @type {Heat | null} */
  #heat = null;
  onturn = () => {}; // somebody switched sound or voice on or off

  /** @param {() => HeatTime | null} now of the heat that was told last @param {{sound: string, voice: string}} kept the names of the choices */
  constructor(now, kept) {
    this.now = () => (this.#heat?.state === "set" ? now() : null);
    this.kept = kept;
    this.sound = new Sound();
    this.sound.on = chosen(kept.sound, "off") === "on";
    this.spoken = new Spoken(this.now, kept.voice);
    this.spoken.onturn = () => this.onturn();
    this.button = /** @type {HTMLElement} */ (document.getElementById("hall-sound"));
    this.button.addEventListener("click", () => this.#turn());
    this.#show();
  }

  /** Whether anything is to be heard from this screen. */
  get on() {
    return this.sound.on || this.spoken.voice.on;
  }

  /** Takes over what was told. @param {Heat | null} heat @param {Format} format */
  take(heat, format) {
    this.#heat = heat;
    this.spoken.take(heat, format);
    const key = heat ? `${heat.go_ms}/${heat.boot}/${heat.clock}` : "";
    if (key === this.#followed) return this.sound.look();
    this.#followed = key;
    return this.sound.follow(heat ? cuesOf(format) : [], this.now);
  }

  /** The line is gone, or the screen asks now and then instead. */
  lost() {
    this.spoken.lost();
  }

  #turn() {
    const { sound } = this;
    sound.on = !sound.on;
    choose(this.kept.sound, sound.on ? "on" : "off");
    if (sound.on) sound.play("tick");
    else sound.quiet();
    this.#show();
    this.onturn();
  }

  #show() {
    setText(this.button, say(this.sound.on ? "sound.on" : "sound.off"));
  }
}
