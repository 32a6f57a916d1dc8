// @ts-check
import { openTablet } from "../device/tablet.js";
import { Sound } from "../parts/sound.js";
import { frames } from "../parts/timing.js";
import { Stage, sayOnly } from "./lane/stage.js";
import { Lane } from "./lane/state.js";

/** The judge's screen. Begins with the packet of last time, or the desk's; from then on the tablet needs no network. */

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "lane" });

/** @type {Stage | null} */
let stage = null;
let soon = () => {};

function begin() {
  const lane = new Lane(tablet, new Sound());
  const made = new Stage(lane, root);
  tablet.mayReload = () => lane.idle;
  tablet.wake.keepOn();
  soon = frames(() => made.step()).soon;
  return made;
}

function changed() {
  if (tablet.packet.value) stage ??= begin();
  else if (tablet.packet.sentence) sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  stage?.touch();
  soon();
}

tablet.watch(changed);
changed();
