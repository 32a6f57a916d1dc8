// @ts-check
import { button, el, setData, setText } from "../../../parts/dom.js";
import { onLongPress } from "../../../parts/press.js";
import { say } from "../../../words/say.js";
import { warning } from "./warnings.js";

/** @typedef {import("./state.js").Lane} Lane */

/** The strip on top: lane, entry, heat, and where the marks are. A long press anywhere on it opens the menu. */
export class Strip {
  /** @param {Lane} lane @param {() => void} openMenu */
  constructor(lane, openMenu) {
    this.lane = lane;
    this.number = el("b", { role: "lane-number" });
    this.entry = el("h1", { class: "strip-entry", role: "entry" });
    this.colours = el("span", { class: "strip-colours", "aria-hidden": "true" });
    this.line = el("p", { class: "strip-line soft", "aria-live": "polite", role: "line" });
    this.counter = el("b", { class: "strip-counter", role: "counter", hidden: true });
    this.safe = el("span", { class: "state", "data-state": "safe", role: "safe" });
    this.kept = el("span", { class: "state", "data-state": "kept", role: "kept" });
    this.marks = el("div", { class: "strip-marks" }, this.safe, this.kept);
    this.node = el(
      "header",
      { class: "strip", role: "strip" },
      el("p", { class: "strip-lane" }, el("span", {}, say("Lane")), this.number),
      el("div", { class: "strip-words" }, el("div", { class: "strip-entry-line" }, this.colours, this.entry), el("div", { class: "strip-under" }, this.counter, this.line)),
      this.marks,
      button(say("Menu"), openMenu, { class: "strip-menu", role: "open-menu", "aria-haspopup": "dialog" }),
    );
    onLongPress(this.node, openMenu);
  }

  render() {
    const { heat, packet, tablet } = this.lane;
    const { counts } = tablet.outbox;
    setText(this.number, heat?.assignment.lane ?? packet.device.lane);
    setText(this.entry, heat ? heat.assignment.entry.name : packet.competition.name);
    this.#wear(heat?.assignment.entry.colours ?? []);
    const none = counts.safe + counts.here + counts.refused === 0; // its sheet may be full all the same, by another's marks
    setData(this.safe, "state", none ? "none" : "safe");
    setText(this.safe, tablet.forgets ? say("Nothing is kept here") : none ? say("No marks on this tablet") : say("strip.at_desk", { n: counts.safe }));
    this.kept.hidden = none;
    setText(this.kept, say("{refused} waiting on this tablet", { refused: counts.here + counts.refused }));
    setData(this.kept, "waiting", counts.here > 0);
    const trouble = warning(this.lane);
    const about = heat ? say("Heat {number} · {name}", { number: heat.number, name: this.lane.event.name }) : packet.competition.name;
    setText(this.line, trouble || about);
    setText(this.counter, this.lane.seatName);
    this.counter.hidden = !this.lane.seatName;
    setData(this.line, "tone", trouble ? "look" : null);
    setData(this.node, "trouble", Boolean(trouble)); // on a low screen it takes the name's place, and moves nothing
  }

  /** The colours of the entry's clubs, drawn anew when they are others. @param {string[]} colours */
  #wear(colours) {
    const worn = colours.join(" ");
    if (this.colours.dataset.worn === worn) return;
    setData(this.colours, "worn", worn);
    this.colours.replaceChildren(...colours.map((colour) => el("span", { class: "club", "data-colour": colour })));
  }
}
