// @ts-check
import { AttemptClock } from "../../../parts/lifting/attempt_clock.js";
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";
import { languageRow } from "../call/languages.js";
import { LoadersView } from "../call/loaders.js";

/** @typedef {import("./state.js").Platform} Platform */

/** The loaders' screen at a platform: the bar of whoever lifts next, and what is called after that. */
export class Loading {
  /** @param {Platform} platform @param {HTMLElement} root */
  constructor(platform, root) {
    this.platform = platform;
    this.who = el("h1", { class: "call-entry", role: "entry" });
    this.line = el("p", { class: "call-line soft", "aria-live": "polite", role: "line" });
    this.clock = new AttemptClock();
    this.languages = languageRow();
    this.strip = el("header", { class: "call-strip platform-strip", role: "strip" }, el("div", {}, this.who, this.line), el("div", { class: "platform-aside" }, this.clock.node, this.languages));
    this.view = new LoadersView(platform, () => platform.tablet.outbox.changed());
    this.none = el("p", { class: "call-none" });
    setData(root, "view", "loaders");
    setData(document.body, "loaders", true);
    fill(root, this.strip, this.view.node, this.none);
  }

  /** One step. @param {string} trouble what stands between this device and the desk */
  render(trouble) {
    const { platform } = this;
    const win = platform.window;
    const nothing = !platform.heat || win === null;
    setText(this.who, platform.heat ? platform.entry.name : platform.packet.competition.name);
    setText(this.line, trouble || [platform.seatName, platform.heat && say("Heat {number} · {name}", { number: platform.heat.number, name: platform.event.name })].filter(Boolean).join(" · "));
    setData(this.line, "tone", trouble ? "look" : null);
    this.languages.hidden = !platform.idle;
    this.none.hidden = !nothing;
    platform.showClock(this.clock);
    setText(this.none, platform.heat ? say("No more lifts in this heat.") : say("This platform's next heat will appear here."));
    if (win === null || !platform.heat) return this.view.show(null);
    const found = platform.tally.windows[win];
    const mark = (/** @type {string | null} */ id) => platform.marks().find((one) => one.id === id) ?? null;
    const plan = platform.waiting().filter(({ lot }) => lot !== platform.heat?.assignment.lane).map(({ load }) => load);
    this.view.show({ win, standing: mark(found.declaration), waiting: mark(found.waiting), begun: Boolean(found.begun), plan, lifter: platform.entry.name });
  }
}
