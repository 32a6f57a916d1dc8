// @ts-check
import { openTablet } from "../../device/tablet.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { Caller } from "./call/caller.js";
import { DeclaringLane } from "./call/declaring_lane.js";
import { sayOnly } from "./lane/stage.js";

/** The lifter's and the loaders' screen: the next load, the bar, the time left. */

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "call" });

/** @type {Caller | null} */
let caller = null;
let soon = () => {};

function begin() {
  const made = new Caller(new DeclaringLane(tablet, new Sound()), root);
  tablet.mayReload = () => made.lane.idle;
  tablet.wake.keepOn();
  soon = frames(() => made.step()).soon;
  return made;
}

function changed() {
  if (tablet.packet.value) caller ??= begin();
  else if (tablet.packet.sentence) sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  caller?.touch();
  soon();
}

tablet.watch(changed);
changed();
