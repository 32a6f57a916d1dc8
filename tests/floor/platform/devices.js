// @ts-check
// Plays a flight on a platform with imitated devices, by chance: see test_devices_agree.py. Each has the platform screen's own state over
// marks in memory. Their clocks are off and jump, their lines break, words come late, twice and in any order, tablets are replaced,
// lifters go out, and rulings come before the marks that they rule.
import { Watched } from "/static/js/device/watched.js";
import { toDecide } from "/static/js/rules/platform/to_decide.js";
import { Platform } from "/static/js/screens/floor/platform/state.js";
import { clockUnsure } from "/static/js/screens/floor/lane/warnings.js";

/** What a receipt names each seat. @type {Record<string, string>} */
const KEPT_AS = { centre: "lane", left: "second", right: "third", marshal: "desk", loaders: "lifter" };
const SEATS = Object.keys(KEPT_AS);

/** @param {number} seed @returns {() => number} */
function chances(seed) {
  let at = seed >>> 0;
  return () => {
    at = (at + 0x6d2b79f5) | 0;
    let turned = Math.imul(at ^ (at >>> 15), 1 | at);
    turned = (turned + Math.imul(turned ^ (turned >>> 7), 61 | turned)) ^ turned;
    return ((turned ^ (turned >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Marks in memory, in the order they became known; `out`: what waits for the line, each with what goes with it. */
class Box extends Watched {
  byId = new Map();
  sheets = new Map();
  /** @type {any[][]} */
  out = [];
  #seq = 0;
  /** @type {any[] | null} */
  #together = null;

  /** @param {Device} device */
  constructor(device) {
    super();
    this.device = device;
  }

  /** @param {string} sheet */
  marks(sheet) {
    return (this.sheets.get(sheet) ?? []).map((/** @type {string} */ id) => this.byId.get(id));
  }

  /** @param {any} draft */
  add({ sheet, kind, at, err = 0, win = null, body = {} }) {
    const { id, world } = this.device;
    const mark = { id: world.newId(), sheet, device: id, epoch: 1, seq: (this.#seq += 1), kind, at: Math.round(at), err: Math.ceil(err), win, body };
    this.#put(mark);
    if (this.#together) this.#together.push(mark);
    else this.out.push([mark]);
    this.changed();
    return { mark };
  }

  /** @param {() => void} make */
  together(make) {
    this.#together = [];
    make();
    this.out.push(this.#together);
    this.#together = null;
  }

  /** @param {any[]} marks */
  learn(marks) {
    for (const mark of marks) if (!this.byId.has(mark.id)) this.#put(mark);
    for (const { id, receipt } of marks) this.byId.set(id, { ...this.byId.get(id), receipt });
    this.changed();
  }

  /** @param {any} mark */
  #put(mark) {
    this.byId.set(mark.id, mark);
    this.sheets.set(mark.sheet, [...(this.sheets.get(mark.sheet) ?? []), mark.id]);
  }
}

class Device {
  /** Words that are on their way. @type {{marks?: any[], rulings?: any}[]} */
  due = [];
  online = true;

  /** @param {World} world @param {string} seat */
  constructor(world, seat) {
    this.world = world;
    this.seat = seat;
    this.id = `dev_${String((world.devices += 1)).padStart(16, "0")}`;
    this.off = world.chance() < 0.3 ? Math.round((world.chance() - 0.5) * world.pick([1_000, 6_000, 40_000])) : 0;
    this.bound = world.chance() < 0.7 ? Math.abs(this.off) + 5 : 10; // some know that they are off, some do not
    const value = structuredClone(world.packets[seat]);
    value.device.id = this.id;
    this.box = new Box(this);
    this.packet = Object.assign(new Watched(), { value, refresh() {} });
    const reading = (/** @type {number | null} */ go) => (go === null ? null : { ms: world.now + this.off - go, bound: this.bound, clock: "synced" });
    const tablet = { outbox: this.box, packet: this.packet, timesync: { boot: "", reading }, link: { online: true }, show() {} };
    this.platform = new Platform(/** @type {any} */ (tablet), /** @type {any} */ ({}));
    this.box.learn([...world.desk.values()]);
    this.hear(world.rulings);
    this.look();
  }

  /** @param {Record<string, any>} rulings */
  hear(rulings) {
    for (const { assignment } of this.packet.value.heats) Object.assign(assignment, { out: false, ruled: [], admitted: [], ...rulings[assignment.id] });
    this.packet.changed();
  }

  /** @param {{marks?: any[], rulings?: any}} word */
  take({ marks, rulings }) {
    if (rulings) this.hear(rulings);
    if (marks) this.box.learn(marks);
    if (this.world.chance() < 0.25) this.look();
  }

  /** What a screen draws, so that what is kept for the next time is kept. */
  look() {
    this.platform.turn();
    this.platform.waiting();
    if (this.platform.heat) return [this.platform.tally, this.platform.judged];
  }
}

class World {
  devices = 0;
  #ids = 0;
  /** What the desk holds, each with its receipt, in the order received. @type {Map<string, any>} */
  desk = new Map();
  /** @type {Record<string, any>} */
  rulings = {};

  /** @param {number} seed @param {Record<string, any>} packets by seat */
  constructor(seed, packets) {
    this.chance = chances(seed);
    this.packets = packets;
    this.heats = packets.centre.heats.filter((/** @type {any} */ heat) => heat.run);
    this.go = this.heats[0].run.go_server_ms;
    this.now = this.go + 30_000;
    /** @type {Record<string, Device>} */
    this.at = Object.fromEntries(SEATS.map((seat) => [seat, new Device(this, seat)]));
    /** Who was replaced, and still has marks. @type {Device[]} */
    this.replaced = [];
    const { platform } = this.at.marshal;
    for (const { heat } of platform.lanes) platform.markOn(heat, "declare", { load: kilos(100 + 5 * heat.assignment.lane), by: "desk" }, platform.window);
  }

  newId() {
    return ((this.#ids += 1) * 0x9e3779b1 >>> 0).toString(16).padStart(8, "0").repeat(4);
  }

  /** @template T @param {T[]} list @returns {T} */
  pick(list) {
    return list[Math.floor(this.chance() * list.length)];
  }

  get all() {
    return [...Object.values(this.at), ...this.replaced];
  }

  /** @param {{marks?: any[], rulings?: any}} word */
  tell(word) {
    for (const device of this.all) device.due.push(word);
  }

  /** What a device has made first goes to the desk; all hear of it with its receipt, whoever sent it too. @param {Device} device */
  send(device) {
    const taken = device.box.out.shift() ?? [];
    const marks = taken.map((mark, n) => ({ ...mark, receipt: { number: this.desk.size + n + 1, seat: KEPT_AS[device.seat], clock: this.now - this.go } }));
    for (const mark of marks) this.desk.set(mark.id, mark);
    if (marks.length) this.tell({ marks });
  }

  /** @param {Device} device */
  deliver(device) {
    if (!device.due.length) return;
    const [word] = device.due.splice(Math.floor(this.chance() * device.due.length), 1);
    device.take(word);
    if (this.chance() < 0.1) device.due.push(word);
  }

  move() {
    this.now += 20 + Math.round(this.chance() * 4_000);
    const device = this.pick(this.all);
    const what = this.chance();
    if (what < 0.05) device.online = !device.online;
    else if (what < 0.07) this.#replace(this.pick(SEATS));
    else if (what < 0.1) this.#rule();
    else if (what < 0.12) device.off += Math.round((this.chance() - 0.5) * 4_000);
    else if (what < 0.27) device.online && this.send(device);
    else if (what < 0.45) for (let words = 0; words < 6 && device.online; words += 1) this.deliver(device);
    else this.#act(this.pick(Object.values(this.at)));
  }

  /** Another tablet takes a seat: the one before comes back later, or never. @param {string} seat */
  #replace(seat) {
    const before = this.at[seat];
    this.at[seat] = new Device(this, seat);
    before.online = false;
    if (this.chance() < 0.5) this.replaced.push(before);
  }

  #rule() {
    const { id } = this.pick(this.heats).assignment;
    const now = this.rulings[id] ?? { out: false, ruled: [], admitted: [] };
    const marks = [...this.desk.values()].filter(({ sheet }) => sheet.startsWith(`${id}/`));
    const lifts = marks.filter(({ kind }) => kind === "lift");
    const what = this.chance();
    const mark = what < 0.25 ? null : this.pick(what < 0.75 ? lifts : marks);
    if (what < 0.25) this.rulings = { ...this.rulings, [id]: { ...now, out: !now.out } };
    if (mark) {
      const ruled = what < 0.75 ? [...now.ruled, { mark: mark.id, good: this.chance() < 0.5, ...(this.chance() < 0.3 ? { at: mark.at - 500 } : {}) }] : now.ruled;
      this.rulings = { ...this.rulings, [id]: { ...now, ruled, admitted: [...new Set([...now.admitted, mark.id])].sort() } };
    }
    this.tell({ rulings: this.rulings });
  }

  /** Somebody touches what their screen offers. @param {Device} device */
  #act(device) {
    device.look();
    const { platform, seat } = device;
    const win = platform.window;
    if (win === null || !platform.heat) return;
    if (seat === "marshal") this.#marshals(platform, device, win);
    else if (seat === "centre") this.#leads(platform, device, win);
    else if (seat === "loaders") this.#loads(platform, win);
    else this.#decides(platform, device);
  }

  /** @param {Platform} platform @param {Device} device @param {number} win */
  #marshals(platform, device, win) {
    const what = this.chance();
    if (what < 0.45) return platform.markOn(this.pick(platform.lanes).heat, "declare", { load: kilos(100 + 5 * Math.floor(this.chance() * 5)), by: "desk" }, win);
    const [next] = platform.uncalled();
    const lane = platform.lanes.find(({ lot }) => lot === next?.lot);
    if (what < 0.9 && next && lane && !next.least) {
      return device.box.together(() => {
        const declared = next.declared || platform.markOn(lane.heat, "declare", { load: next.load, by: "rule" }, win).id;
        platform.markOn(lane.heat, "called", { declared, follows: platform.liftedLast(next.lot) }, win);
      });
    }
    const mark = this.pick([...device.box.byId.values()].filter((one) => one.device === device.id && ["called", "declare"].includes(one.kind)));
    const of = mark && platform.lanes.find(({ heat }) => mark.sheet.startsWith(`${heat.assignment.id}/`));
    if (of) platform.markOn(of.heat, "strike", { mark: mark.id }, mark.win);
  }

  /** @param {Platform} platform @param {number} win */
  #loads(platform, win) {
    const { waiting, declaration } = platform.tally.windows[win];
    const said = platform.marks().find(({ id }) => id === (waiting ?? declaration));
    if (said) platform.mark("loaded", { load: this.chance() < 0.8 ? said.body.load : kilos(97.5), by: "loader", side: [], declared: said.id }, win);
  }

  /** @param {Platform} platform @param {Device} device @param {number} win */
  #leads(platform, device, win) {
    const { begun, declaration } = platform.tally.windows[win];
    const said = platform.marks().find(({ id }) => id === declaration);
    const what = this.chance();
    const last = platform.standing().filter((mark) => mark.device === device.id && ["begun", "lift", "racked"].includes(mark.kind)).at(-1);
    if (what < 0.08 && last) platform.strike(last);
    else if (!said) return;
    else if (begun === null && what < 0.5) platform.mark("begun", { declared: said.id }, win);
    else if (what < 0.85) this.#lift(platform, device, { load: said.body.load, declared: said.id, ...(begun ? { begun } : {}) }, win);
    else if (what < 0.93) platform.mark("racked", { declared: said.id }, win);
    else platform.mark("loaded", { load: this.chance() < 0.5 ? kilos(95) : said.body.load, by: "judge", declared: said.id }, win);
  }

  /** @param {Platform} platform @param {Device} device */
  #decides(platform, device) {
    const now = open(platform);
    const last = platform.standing().filter((mark) => mark.device === device.id && mark.kind === "lift").at(-1);
    if (now && now.mine === null) this.#lift(platform, device, { load: now.declared.body.load, declared: now.declared.id, ...(now.begun ? { begun: now.begun } : {}) }, platform.window);
    else if (last && this.chance() < 0.1) platform.strike(last);
  }

  /** A decision; of what is no lift the fault is sometimes named after it. @param {Platform} platform @param {Device} device @param {any} body @param {number | null} win */
  #lift(platform, device, body, win) {
    const mark = platform.mark("lift", { ...body, good: this.chance() < 0.6 }, win);
    if (mark.body.good || this.chance() < 0.5) return;
    device.box.together(() => {
      platform.strike(mark);
      platform.mark("lift", { ...mark.body, fault: "depth" }, win, mark.at);
    });
  }

  /** All come together, and their clocks are right. */
  settle() {
    for (const device of this.all) while (device.box.out.length) this.send(device);
    for (const device of this.all) {
      for (const word of device.due.splice(0).sort(() => this.chance() - 0.5)) device.take(word);
      device.hear(this.rulings);
      device.off = 0;
    }
  }

  /** What a device says at a moment of the heat clock. @param {Device} device @param {number} ms */
  told(device, ms) {
    const { now } = this;
    this.now = this.go + ms;
    device.box.changed();
    device.look();
    const { platform } = device;
    const waiting = platform.waiting().map((one) => [one.lot, one.who, one.load, one.attempts, one.lastAt, one.atTheEnd, one.declared, one.automatic, one.least]);
    const lanes = platform.lanes.map(({ lot, tally }) => [lot, tally.windows.map(told), tally.flags.map((/** @type {any} */ flag) => `${flag.mark} ${flag.why}`).sort()]);
    const floor = platform.window === null ? null : platform.barFloor(platform.window);
    this.now = now;
    return { bar: platform.atTheBar?.lot ?? null, floor, waiting, lanes };
  }
}

/** @param {number} amount */
const kilos = (amount) => ({ amount: String(amount), unit: "kg" });

/** What is to be decided on the screen of a side referee. @param {Platform} platform */
function open(platform) {
  const win = /** @type {number} */ (platform.window);
  return toDecide(platform.standing().filter((mark) => mark.win === win), platform.tally.windows[win], platform.judged.windows[win]);
}

/** A window of a tally, as Python says it too. @param {any} found */
function told({ lifts, declaration, begun, waiting, since_ms, attempt_seconds, best }) {
  const each = lifts.map((/** @type {any} */ lift) => [lift.mark, lift.declared, lift.load, lift.good, lift.fault, lift.at, lift.counts, lift.again, lift.begun, lift.racked, lift.lights, lift.doubt]);
  return [each, declaration, begun, waiting, since_ms, attempt_seconds, best && best.mark];
}

/**
 * One session played to its end: the desk's marks and rulings, and at each moment what every device says.
 * @param {number} seed @param {Record<string, any>} packets by seat @param {number} moves @param {number[]} times ms on the heat clock
 */
export function played(seed, packets, moves, times) {
  const world = new World(seed, packets);
  for (let move = 0; move < moves; move += 1) world.move();
  world.settle();
  const said = times.map((ms) => world.all.map((device) => world.told(device, ms)));
  return { marks: [...world.desk.values()], rulings: world.rulings, said };
}

/**
 * What each seat says of its clock before a call, after it, and when the bar has left; all clocks are right, and the loaders'
 * tablet does not know that of its own while the bar is loaded.
 * @param {Record<string, any>} packets by seat @param {number} bound that of the loaders' clock then
 */
export function started(packets, bound) {
  const world = new World(1, packets);
  for (const device of Object.values(world.at)) Object.assign(device, { off: 0, bound: 10 });
  const { marshal, loaders, centre } = Object.fromEntries(Object.entries(world.at).map(([seat, { platform }]) => [seat, platform]));
  const said = () => {
    world.settle();
    return Object.fromEntries(Object.entries(world.at).map(([seat, device]) => [seat, device.look() && clockUnsure(device.platform)]));
  };
  const before = said();
  const [{ lot, declared }] = marshal.waiting();
  const win = marshal.window;
  marshal.markOn(marshal.lanes[lot - 1].heat, "called", { declared }, win);
  said();
  world.at.loaders.bound = bound;
  loaders.mark("loaded", { load: loaders.marks().find(({ id }) => id === declared).body.load, by: "loader", declared }, win);
  world.at.loaders.bound = 10;
  const now = said();
  centre.mark("begun", { declared }, win);
  return [before, now, said()];
}
