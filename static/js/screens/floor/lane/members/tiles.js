// @ts-check
import { el, fill, setData, setText } from "../../../../parts/dom.js";
import { onLand } from "../../../../parts/press.js";
import { say } from "../../../../words/say.js";

export const MANY = 4; // of more there is room for first names alone

/** @typedef {{member: number, name: string, short: string, count: number, norep: number}} Tile */

/** A member's name in full, and short where there is no room for that. @param {string} name @param {string} short */
export function tileName(name, short) {
  return el("span", { class: "member-name" }, el("span", { class: "full" }, name), el("span", { class: "short" }, short));
}


/** A target for each member who may do the work: a touch is a repetition of theirs. Whoever is at work is marked. */
export class MemberTargets {
  /** @type {Map<number, {node: HTMLElement, number: HTMLElement, refused: HTMLElement, shown: number}>} */
  #tiles = new Map();
  #stamp = "";

  /** @param {(member: number) => void} act called at each landing finger */
  constructor(act) {
    this.act = act;
    this.left = el("b", { class: "members-left", role: "members-left" });
    this.unit = el("b", { class: "members-unit" });
    this.words = el("span", { class: "target-words" });
    this.standards = el("span", { class: "what-counts" });
    this.grid = el("div", { class: "members-grid", role: "members" });
    const head = el("p", { class: "members-head" }, this.left, this.unit, this.words, this.standards);
    this.node = el("div", { class: "members" }, head, this.grid);
  }

  /** Moves a member's number on as the finger lands; `show` follows with all the rest. @param {number} member */
  step(member) {
    const tile = this.#tiles.get(member);
    if (!tile) return;
    tile.shown += 1;
    setText(tile.number, tile.shown);
    this.#mark(member);
  }

  /**
   * @param {Tile[]} tiles @param {number | null} now who is at work
   * @param {{left: number, unit: string, words: string, standards: string, invites: boolean}} says left: the one number of all; unit: what it says, where it is not what has been done
   */
  show(tiles, now, { left, unit, words, standards, invites }) {
    const stamp = tiles.map(({ member, name }) => `${member} ${name}`).join("/");
    if (stamp !== this.#stamp) this.#draw(tiles);
    this.#stamp = stamp;
    for (const { member, count, norep } of tiles) {
      const tile = /** @type {NonNullable<ReturnType<typeof this.#tiles.get>>} */ (this.#tiles.get(member));
      tile.shown = count;
      setText(tile.number, count);
      setText(tile.refused, norep ? say("no rep: {norep}", { norep }) : "");
    }
    this.#mark(now);
    setData(this.node, "done", !invites);
    setText(this.left, left);
    setText(this.unit, unit);
    setText(this.words, words);
    setText(this.standards, standards);
  }

  /** @param {number | null} now */
  #mark(now) {
    for (const [member, { node }] of this.#tiles) {
      setData(node, "now", member === now);
      if (member === now) node.setAttribute("aria-current", "true");
      else node.removeAttribute("aria-current");
    }
  }

  /** @param {Tile[]} tiles */
  #draw(tiles) {
    this.#tiles = new Map(tiles.map((tile) => [tile.member, this.#tile(tile)]));
    setData(this.node, "many", tiles.length > MANY);
    fill(this.grid, ...[...this.#tiles.values()].map(({ node }) => node));
  }

  /** @param {Tile} tile */
  #tile({ member, name, short }) {
    const number = el("span", { class: "member-count", role: `count-${member}` });
    const refused = el("span", { class: "member-refused" });
    const under = el("span", { class: "member-now" }, say("at work"));
    const node = el("button", { type: "button", class: "press member", role: `member-${member}` }, tileName(name, short), number, under, refused);
    onLand(node, () => this.act(member));
    return { node, number, refused, shown: 0 };
  }
}
