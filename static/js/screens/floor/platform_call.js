// @ts-check
import { openTablet } from "../../device/tablet.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { clockUnsure } from "./lane/warnings.js";
import { sayOnly } from "./lane/stage.js";
import { Loading } from "./platform/loading.js";
import { Marshal } from "./platform/marshal.js";
import { Platform } from "./platform/state.js";

/** The screens at a platform of whoever does not judge: the marshal's, and the loaders'. */

const CLOCK_MS = 500; // an attempt's clock shows whole seconds

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "platform" });

/** @type {Platform | null} */
let platform = null;
let soon = () => {};

function begin() {
  const made = new Platform(tablet, new Sound());
  const view = made.packet.device.role === "loaders" ? new Loading(made, root) : new Marshal(made, root);
  tablet.mayReload = () => made.idle;
  tablet.wake.keepOn();
  soon = frames(() => {
    made.turn();
    view.render(tablet.outbox.trouble || (made.heat ? clockUnsure(made) : "") || tablet.deskTrouble);
    return made.works ? CLOCK_MS : Infinity;
  }).soon;
  made.onmark = () => soon();
  return made;
}

function changed() {
  if (tablet.packet.value) platform ??= begin();
  else if (tablet.packet.sentence) sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  soon();
}

tablet.watch(changed);
changed();
