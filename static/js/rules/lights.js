// @ts-check
/** Three judges, one decision. Twin of app/rules/count/lights.py, where the rules are said in words. */
import { butForRulings } from "./lifting/ruled_lifts.js";
import { withBar } from "./sheets.js";
import { fold } from "./tally.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./lifts.js").Lift} Lift */
/** @typedef {import("./lifts.js").Verdict} Verdict */
/** @typedef {import("./tally.js").Tally} Tally */
/** @typedef {{lane: Mark[], second: Mark[], third: Mark[]}} Sheets the marks of the three judges' sheets */

/** Whether any lift of the format is decided by three. @param {any} format */
export function judgedByThree(format) {
  return Object.values(format.tasks).some((/** @type {any} */ task) => task.kind === "lift" && task.judges === 3);
}

/**
 * The lane's sheet added up by what the three judges together decided.
 * @param {any} format @param {Sheets} sheets @param {import("./sheet_clock.js").SheetClock} [clock]
 * @returns {Tally}
 */
export function judgedTally(format, sheets, clock) {
  const { lane, second, third } = sheets;
  const own = fold(format, lane, clock);
  const others = [second, third].map((marks) => (marks.length ? fold(format, withBar(marks, lane), clock) : null));
  const signed = "judge" in own.signed;
  /** @type {Map<string, Verdict>} */
  const verdicts = new Map();
  const added = new Set();
  for (const window of own.windows) {
    const { task: key } = format.windows[window.index];
    const task = key == null ? null : format.tasks[key];
    if (task?.kind !== "lift" || task.judges !== 3) continue;
    inWindow(task, window.lifts, others.map((tally) => tally?.windows[window.index].lifts ?? []), signed, verdicts, added);
  }
  const more = [...second, ...third].filter((mark) => added.has(mark.id));
  return fold(format, [...lane, ...more], clock, butForRulings(verdicts, clock?.ruled));
}

/** Once all have decided or the try is closed: two who agree decide, else the lane judge's word. @param {(boolean | null)[]} lights @param {boolean} closed @returns {Verdict} */
function verdict(lights, closed) {
  const yes = lights.filter((light) => light === true).length;
  const no = lights.filter((light) => light === false).length;
  const [lane] = lights;
  if (lights.includes(null) && !closed) return { good: lane === true, lights, doubt: "waiting" };
  if (Math.max(yes, no) >= 2) return { good: yes > no, lights, doubt: null };
  if (lane === null) return { good: false, lights, doubt: "silent" };
  return { good: lane, lights, doubt: yes && no ? "split" : "alone" };
}

/**
 * @param {any} task @param {Lift[]} lane @param {Lift[][]} others @param {boolean} signed
 * @param {Map<string, Verdict>} verdicts @param {Set<string>} added
 */
function inWindow(task, lane, others, signed, verdicts, added) {
  for (const decisions of tries([lane, ...others])) {
    const lift = /** @type {Lift} */ (decisions.find((one) => one !== null));
    const later = lane.filter((one) => one.at > lift.at || (one.at === lift.at && one.mark > lift.mark));
    const another = later.some((one) => task.bars !== "each" || one.member === lift.member);
    const made = verdict(decisions.map((one) => one?.good ?? null), signed || lift.racked || another);
    if (decisions[0] === null && made.doubt === "waiting") continue;
    verdicts.set(lift.mark, made);
    if (decisions[0] === null) added.add(lift.mark);
  }
}

/** The judges' decisions on each try. @param {Lift[][]} byJudge @returns {(Lift | null)[][]} */
function tries(byJudge) {
  /** @type {Map<string, string[]>} */
  const places = new Map();
  for (const lift of byJudge.flat()) {
    if (lift.begun === null) continue;
    const known = places.get(lift.declared ?? "") ?? [];
    if (!known.includes(lift.begun)) places.set(lift.declared ?? "", [...known, lift.begun].sort());
  }
  /** @type {Map<string, (Lift | null)[]>} */
  const found = new Map();
  for (const [judge, lifts] of byJudge.entries()) {
    for (const [key, lift] of placed(lifts, places)) {
      const row = found.get(key) ?? byJudge.map(() => null);
      row[judge] = lift;
      found.set(key, row);
    }
  }
  return [...found.values()];
}

/** One judge's tries by declaration and number under it. @param {Lift[]} lifts @param {Map<string, string[]>} places @returns {Map<string, Lift>} */
function placed(lifts, places) {
  /** @type {Map<string, Lift>} */
  const found = new Map();
  const left = [];
  for (const lift of lifts) {
    const under = lift.declared ?? "";
    const key = lift.begun === null ? null : `${under} ${places.get(under)?.indexOf(lift.begun)}`;
    if (key === null || found.has(key)) left.push(lift);
    else found.set(key, lift);
  }
  for (const lift of left) {
    const under = lift.declared ?? lift.mark;
    let number = 0;
    while (found.has(`${under} ${number}`)) number += 1;
    found.set(`${under} ${number}`, lift);
  }
  return found;
}
