// @ts-check
import { button, el, setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../device/store.js").Store} Store */

const WIDTH_PX = 320; // as much of it as helps to remember

/** A photo of the loaded bar, kept on this tablet and sent nowhere. It can be left out, taken again and thrown away. */
export class Photo {
  #key = "";

  /** @param {Store} store */
  constructor(store) {
    this.store = store;
    this.input = el("input", { type: "file", accept: "image/*", capture: "environment", hidden: true, role: "gear-photo", onchange: () => this.#taken() });
    this.take = button(say("Photo of the plates"), () => this.input.click(), { class: "quiet", role: "gear-photo-take" });
    this.drop = button(say("Delete the photo"), () => this.#keep(null), { class: "plain", role: "gear-photo-drop", hidden: true });
    this.canvas = el("canvas", { class: "gear-photo", role: "gear-photo-shown", hidden: true });
    this.says = el("p", { class: "soft", role: "gear-photo-says" }, say("A photo stays on this tablet."));
    this.node = el("div", { class: "gear-photos" }, this.input, el("div", { class: "row" }, this.take, this.drop), this.canvas, this.says);
  }

  /** Turns to a lane assignment's photo, if this tablet has one. @param {string} key */
  async of(key) {
    this.#key = key;
    const kept = await this.store.get(`photo/${key}`).catch(() => null);
    if (key === this.#key) await this.#show(kept ?? null);
  }

  async #taken() {
    const file = this.input.files?.[0];
    this.input.value = "";
    if (file) await this.#keep(file);
  }

  /** @param {Blob | null} photo */
  async #keep(photo) {
    try {
      await this.#show(photo);
      await this.store.set(`photo/${this.#key}`, photo);
      setText(this.says, photo ? say("Kept on this tablet, and sent nowhere.") : say("A photo stays on this tablet."));
    } catch {
      setText(this.says, say("That could not be kept as a photo. The check does not need one."));
    }
  }

  /** @param {Blob | null} photo */
  async #show(photo) {
    this.canvas.hidden = this.drop.hidden = !photo;
    if (!photo) return;
    const bitmap = await createImageBitmap(photo);
    const scale = Math.min(1, WIDTH_PX / bitmap.width);
    this.canvas.width = Math.round(bitmap.width * scale);
    this.canvas.height = Math.round(bitmap.height * scale);
    this.canvas.getContext("2d")?.drawImage(bitmap, 0, 0, this.canvas.width, this.canvas.height);
    bitmap.close();
  }
}
