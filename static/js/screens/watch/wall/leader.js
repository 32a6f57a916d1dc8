// @ts-check
/** Who leads, in letters for the far wall; of several standings in one heat each in its turn. Over a clock that stands it says so. */
import { el, setData, setText } from "../../../parts/dom.js";
import { fitted, setFitted } from "../../../parts/fit.js";
import { say } from "../../../words/say.js";

const TURN_MS = 6000;

export class Leader {
  constructor() {
    this.who = fitted("wall-leader-who");
    this.by = el("span", { class: "wall-leader-by" });
    this.of = el("span", { class: "wall-leader-of" });
    this.node = el("p", { class: "wall-leader", "aria-live": "off" }, this.who, el("span", { class: "wall-leader-lead" }, this.by, this.of));
  }

  /**
   * @param {import("./facts.js").Lane[]} lanes @param {import("./facts.js").Group[]} groups @param {import("./clock.js").Reading} reading
   * @returns {boolean} whether names have to be fitted anew
   */
  show(lanes, groups, { state, ms }) {
    const stands = state === "held" ? say("heat.held") : state === "going-on" ? say("heat.going-on") : "";
    setData(this.node, "stands", stands !== "");
    if (stands) {
      for (const part of [this.by, this.of]) setText(part, "");
      return setFitted(this.who, stands);
    }
    const led = groups.filter(({ order }) => order.length && order[0].length < 3);
    const group = led[Math.floor(Math.max(0, ms) / TURN_MS) % Math.max(1, led.length)];
    const names = group ? group.order[0].map((id) => lanes.find((lane) => lane.id === id)?.entry ?? "").filter(Boolean) : [];
    setText(this.by, group?.by ?? "");
    const of = groups.length > 1 ? group?.name : "";
    setText(this.of, names.length ? [say("In the lead"), of].filter(Boolean).join(" · ") : "");
    return setFitted(this.who, names.join(" = "));
  }
}
