// @ts-check
import { effectOf, momentOf } from "../rules/authority.js";
import { startLink } from "./link.js";
import { openOutbox } from "./outbox.js";
import { Packet } from "./packet.js";
import { Reach } from "./reach.js";
import { Room } from "./room.js";
import { Store } from "./store.js";
import { startSync } from "./sync.js";
import { Timesync } from "./timesync.js";
import { Wake } from "./wake.js";
import { Watched } from "./watched.js";
import { startWorker } from "./worker.js";
import { say } from "../words/say.js";

/** @typedef {import("./outbox.js").Outbox} Outbox */
/** @typedef {import("./sync.js").Sync} Sync */
/** @typedef {import("./link.js").Link} Link */

const NO_LINE = say("No line to the desk.");
const KEPT = say("Marks are kept here.");
// The line's greeting asks for the packet: asked for before, it is asked for twice, since nobody tells what changed in between.
const GREETING_MS = 1500; // a line that can't be opened is known sooner; one that is silent is waited for so long
const MEANWHILE = { lane: KEPT, call: say("Tell the judge your load."), coach: say("Tell the marshal or the judge the loads."), platform: KEPT };

/** What a tablet can do beyond its screen, wired together: the one thing that a lane, call or platform screen opens. */
export class Tablet extends Watched {
  #heat = "";
  #run = "";

  /** Whether the page loads with the server dead; null until known. @type {boolean | null} */
  loadsAlone = null;
  /** Whether its marks are gone with the page, as where somebody practises. */
  forgets = false;
  /** Says whether the page may be replaced by a new version now. The screen sets it; a busy outbox forbids it anyway. */
  mayReload = () => !this.packet.value;
  /** What a person does here without the desk. The screen knows whether there is work. */
  meanwhile = () => MEANWHILE[this.screen];

  /**
   * @param {"lane" | "call" | "coach" | "platform"} screen
   * @param {{outbox: Outbox, sync: Sync, link: Link, packet: Packet, reach: Reach, room: Room, timesync: Timesync, wake: Wake}} parts
   */
  constructor(screen, { outbox, sync, link, packet, reach, room, timesync, wake }) {
    super();
    this.screen = screen;
    this.outbox = outbox;
    this.sync = sync;
    this.link = link;
    this.packet = packet;
    this.reach = reach;
    this.room = room;
    this.timesync = timesync;
    this.wake = wake;
    this.#listen();
  }

  /** What stands between this tablet and the desk, most urgent first; empty when all is well. */
  get deskTrouble() {
    const { link, packet, reach, sync } = this;
    if (link.sentence) return link.sentence;
    if (!packet.paired) return packet.sentence;
    // The desk may answer with a sentence (its disk is full) while the line is being opened again.
    const told = sync.state.online ? sync.state.sentence : "";
    if (link.online || told) return packet.sentence || sync.state.sentence;
    return `${reach.sentence || NO_LINE} ${packet.value ? this.meanwhile() : say("This tablet has no start list yet.")}`;
  }

  /** Tells the desk which heat the screen shows. @param {string} heat @param {string} run its run's name */
  show(heat, run) {
    if (run === this.#run) return;
    this.#heat = heat;
    this.#run = run;
    this.link.reportSoon();
  }

  /** Starts a heat's clock on the whistle. @param {string} run its run's name */
  startByHand(run) {
    this.timesync.startByHand(run);
    this.link.reportSoon();
  }

  #listen() {
    const { link, packet, outbox, reach, timesync, sync } = this;
    link.on("hello", (message) => {
      timesync.hello(message.boot);
      if (message.held) outbox.held(message, true);
      sync.nudge();
      packet.refresh(); // runs are told on the server's present line of time
    });
    link.on("pong", (message, receivedMs) => timesync.pong(message.t1, message.t2, message.t3, receivedMs));
    timesync.ondoubt = () => link.burst();
    link.on("packet", () => packet.refresh());
    link.on("run", (message) => packet.applyRun(message, link.openedMs));
    link.on("caller", (message) => packet.applyCaller(message));
    link.on("bars", (message) => packet.applyBars(message));
    link.on("turns", (message) => packet.applyTurns(message));
    link.on("marks", (message) => outbox.learn(message.marks ?? []));
    packet.onask = () => outbox.safeNow();
    packet.onfresh = (value, safe) => this.#take(value, safe);
    link.report = () => this.#report();
    link.watch(() => reach.needed(!link.online && !link.sentence));
    link.watch(() => link.online || packet.asked || packet.refresh());
    for (const part of [outbox, sync, link, packet, reach, this.room, timesync, this.wake]) part.watch(() => this.changed());
    outbox.watch(() => link.reportSoon());
  }

  /** @param {any} value a packet from the desk itself @param {Set<string>} safe what was safe when it was asked for */
  #take(value, safe) {
    const known = Object.keys(value.held ?? {}).length > 0;
    if (known && !this.outbox.device && value.device.role !== "desk") this.outbox.copies.blank();
    this.outbox.belongTo(value.device.id);
    this.outbox.compare(value.marks ?? [], safe, (mark) => mayWrite(value, mark, this.outbox.mark(mark.body.mark)));
    this.outbox.learn(value.marks ?? []);
    if (value.held) this.outbox.held({ device: value.device.id, held: value.held, before: value.before }, true);
    this.outbox.offerAgain(); // something has changed at the desk: its yes, a lane, a list
    this.sync.nudge();
  }

  #report() {
    const { here, safe, refused } = this.outbox.counts;
    const bound = this.timesync.bound;
    return {
      outbox: here + refused,
      refused,
      before: this.outbox.refusedBefore(),
      kept: here + safe + refused,
      bound_ms: bound === null ? null : Math.ceil(bound),
      heat: this.#heat || null,
      screen: this.screen,
      clock: this.timesync.byHand(this.#run) ? "hand" : "synced",
      ...this.timesync.witness(this.#run),
      ...this.outbox.copies.health,
    };
  }
}

/**
 * Whether the desk takes a mark from this tablet, by the table of authority. What is not of the packet's own place it would not have told.
 * @param {any} packet @param {any} mark @param {any} about the mark that a strike-out names, if it is known
 */
function mayWrite({ device, heats, events }, mark, about) {
  const heat = heats.find((/** @type {any} */ one) => one.assignment.id === mark.sheet.split("/")[0]);
  if (heat?.assignment.untold?.includes(mark.kind)) return false; // another lifter's, of whom this device knows what the hall may
  return heat !== undefined && effectOf(device, mark, about, momentOf(events[heat.event].format, mark.at, heat.signed)) !== "refused";
}

/**
 * Opens everything and begins to work. What the tablet kept from last time is there when this resolves; the desk's own word
 * follows by itself (`tablet.packet.fresh`).
 * @param {{screen: "lane" | "call" | "coach" | "platform"}} options
 * @returns {Promise<Tablet>}
 */
export async function openTablet({ screen }) {
  // The desk may sit down at any lane; its page's address says which.
  const asked = new URLSearchParams(location.search).get("lane");
  const lane = asked ? `?lane=${encodeURIComponent(asked)}` : "";
  const store = new Store();
  const packet = new Packet(store, `/lane/packet${lane}`);
  const [outbox] = await Promise.all([openOutbox(store), packet.load()]);
  const link = startLink({ url: `/lane/socket${lane}` });
  const reach = new Reach(document.querySelector("main")?.dataset.plainPort ?? "");
  const parts = { outbox, packet, link, reach, room: new Room(outbox.copies.mirror), sync: startSync(outbox, { link }), timesync: new Timesync(), wake: new Wake() };
  const tablet = new Tablet(screen, parts);
  setTimeout(() => packet.asked || packet.refresh(), GREETING_MS);
  startWorker({ mayReload: () => outbox.counts.here === 0 && tablet.mayReload() }).then((alone) => {
    tablet.loadsAlone = alone;
    tablet.changed();
  });
  return tablet;
}
