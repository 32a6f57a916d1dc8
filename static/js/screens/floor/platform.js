// @ts-check
import { keepBriefs } from "../../device/briefs.js";
import { openTablet } from "../../device/tablet.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { say } from "../../words/say.js";
import { Stage, sayOnly } from "./lane/stage.js";
import { AllSheets } from "./platform/all_sheets.js";
import { OrderBar } from "./platform/order_bar.js";
import { Platform } from "./platform/state.js";

/** A referee's screen at a platform: the lane screen of whoever is called, below the order of lifting. */

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "platform" });

/** @type {Stage | null} */
let stage = null;
let soon = () => {};

function begin() {
  const platform = new Platform(tablet, new Sound());
  const made = new Stage(platform, root);
  const order = new OrderBar(platform);
  root.before(order.node);
  const sheets = new AllSheets(platform, () => soon());
  made.views.after.node.append(sheets.node);
  platform.asks = () => Object.values(made.views).some((view) => view.asks);
  tablet.mayReload = () => platform.idle;
  tablet.meanwhile = () => (platform.works ? say("Keep judging: marks are kept here.") : say("Marks are kept here."));
  tablet.wake.keepOn();
  soon = frames(() => {
    const still = made.step();
    order.render();
    sheets.render();
    return still;
  }).soon;
  platform.onmark = () => soon();
  return made;
}

function changed() {
  if (tablet.packet.value) stage ??= begin();
  else if (tablet.packet.sentence) sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  stage?.touch();
  soon();
}

tablet.watch(changed);
keepBriefs(tablet);
changed();
