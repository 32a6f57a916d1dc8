// @ts-check
/** The practice heat: a window of each kind of work that the coming heat has for this judge, long enough to look around in. Pure. */

/** @typedef {import("../lane/words.js").Format} Format */
/** @typedef {import("../lane/state.js").Packet} Packet */

export const WINDOW_S = 90; // to find each key once without haste
const ITEMS = 2; // of a work list, each done once or twice, so that its end is reached
const REPS = 2;
const ID = "practice";

/**
 * The first window of each kind of work that this tablet marks.
 * @param {Format} format @param {boolean} whole whether it keeps the whole sheet, and not repetitions alone
 * @returns {number[]} in the order of the heat
 */
export function windowsToTry({ windows, tasks }, whole) {
  const kinds = windows.map(({ task }) => (task == null ? "" : tasks[task].kind));
  return kinds.flatMap((kind, n) => (kind && kinds.indexOf(kind) === n && (whole || kind === "count") ? [n] : []));
}

/** @param {Format} format @param {number[]} tried @returns {Format} */
function practiceFormat(format, tried) {
  const windows = tried.map((win, n) => ({ ...format.windows[win], start: n * WINDOW_S, seconds: WINDOW_S }));
  const tasks = Object.fromEntries(windows.map(({ task }) => [task, shortened(format.tasks[/** @type {string} */ (task)])]));
  return { ...format, windows, tasks, scores: [], late_ms: 0 }; // one window after another: nothing is waited for between them
}

/** @param {any} task */
function shortened(task) {
  if (task.kind !== "list") return task;
  const items = task.items.slice(0, ITEMS).map((/** @type {any} */ item) => ({ ...item, reps: Math.min(item.reps, REPS) }));
  return { ...task, items, rounds: 1 };
}

/**
 * What the lane screen is given in place of the desk's packet: the same event and entry, a heat of nobody's plan.
 * @param {Packet} packet @param {import("../lane/heats.js").Heat} heat @param {number[]} tried
 */
export function practicePacket(packet, heat, tried) {
  const event = packet.events[heat.event];
  const run = { number: 1, go_server_ms: 0, state: "set", holds: [] };
  const assignment = { ...heat.assignment, id: ID, shifts: {}, counting: undefined };
  return {
    ...packet,
    device: { ...packet.device, id: "dry" }, // whose marks can be taken back: those of the tablet that keeps nothing
    events: { [heat.event]: { ...event, format: practiceFormat(event.format, tried) } },
    heats: [{ ...heat, id: ID, planned: "", run, told: undefined, assignment }],
    caller: "none",
  };
}
