// @ts-check
import { sayLoad } from "../../../parts/loads.js";
import { finishText, timeText } from "../../../parts/timing.js";
import { faultName } from "../../../rules/faults.js";
import { kindWords } from "../../../rules/kinds.js";
import { bestOfEach } from "../../../rules/lifts.js";
import { timedPoints } from "../../../rules/result/points.js";
import { ROWS } from "../../../rules/rows.js";
import { decimal, inside, say } from "../../../words/say.js";

/** What the lane screen says, in plain words. Values in, words out. */

/** @typedef {{name: string, standards?: string[], faults?: {id: string, name: string, say?: string | null}[], cautions?: string[]}} Movement */
/** @typedef {{start: number, seconds: number, task: string | null, who: "all" | "any" | number[], holding?: number[]}} Window */
/** @typedef {{members: number, unit: "kg" | "lb", late_ms: number, movements: Record<string, Movement>, tasks: Record<string, any>, windows: Window[]}} Format */
/** @typedef {{id: string, name: string, division: string, members: {name: string, club?: string | null}[], colours?: string[]}} Entry */

/** What a tablet of a lane is, beside its judge's. @type {Record<import("./heats.js").Counter, string>} */
export const COUNTERS = Object.fromEntries(Object.entries(ROWS.sheets).map(([kind, { name }]) => [kind, name]));

/** A member's letter: 1 is A. @param {number} member */
export const letter = (member) => String.fromCharCode(64 + member);

/** A member's name, or their letter when the entry has none. @param {Entry} entry @param {number} member */
export function memberName(entry, member) {
  return entry.members[member - 1]?.name || say("Member {letter}", { letter: letter(member) });
}

/** A lane, and which seat there: "lane 3, left referee". @param {number | undefined} lane @param {string} seat empty for a lane's judge */
export function laneText(lane = 0, seat) {
  return seat ? say("lane {lane}, {counter}", { lane, counter: inside(seat) }) : say("lane {lane}", { lane });
}

/** The short name for the ribbon: a letter and a first name; nothing for one athlete alone. @param {Entry} entry @param {number} members */
export function trackNames(entry, members) {
  if (members === 1) return [""];
  return Array.from({ length: members }, (_, i) => {
    const first = entry.members[i]?.name.split(/\s+/)[0] ?? "";
    return `${letter(i + 1)} ${first.length > 12 ? `${first.slice(0, 11)}…` : first}`.trim();
  });
}

/** Names that belong together. @param {string[]} names */
export const andAll = (names) => names.reduce((first, second) => say("{first} and {second}", { first, second }));

/** Words that open a line. @param {string} words */
export const opening = (words) => words[0].toUpperCase() + words.slice(1);

/** Who is on the floor. @param {Format} format @param {Window} window @param {Entry} entry */
export function whoText(format, window, entry) {
  if (format.members === 1) return entry.members[0]?.name || entry.name;
  if (!Array.isArray(window.who)) return opening(say(window.who === "all" ? "who.all" : "who.any"));
  return andAll(window.who.map((member) => memberName(entry, member)));
}

/** What is done in a window. @param {Format} format @param {Window} window */
export function taskText(format, window) {
  if (window.task == null) return say("rest");
  const task = format.tasks[window.task];
  if (task.kind === "list") return task.rounds ? say("work_list", { n: task.rounds }) : say("The work list, round after round");
  return format.movements[task.movement].name;
}

/** The movements that a task uses, first one first. @param {Format} format @param {string} key @returns {Movement[]} */
export function movementsOf(format, key) {
  const task = format.tasks[key];
  const names = task.kind === "list" ? task.items.map((/** @type {any} */ item) => item.movement) : [task.movement];
  return [...new Set(names)].map((name) => format.movements[name]);
}

/** "Then rest 0:41, then Bo: skips": the windows that come, up to the next one with work. @param {Format} format @param {Entry} entry @param {number} ms */
export function nextText(format, entry, ms) {
  const coming = format.windows.filter((window) => window.start * 1000 > ms).sort((a, b) => a.start - b.start);
  const work = coming.find((window) => window.task != null);
  if (!work) return say("Then the last bell");
  if (ms < 0) return say("First, {who}: {task}", { who: whoText(format, work, entry), task: taskText(format, work) });
  const current = format.windows.filter((w) => w.start * 1000 <= ms && ms < (w.start + w.seconds) * 1000);
  const bell = Math.max(ms, ...current.filter((w) => w.task != null).map((w) => (w.start + w.seconds) * 1000));
  const rest = Math.ceil((work.start * 1000 - bell) / 1000);
  const doing = `${whoText(format, work, entry)}: ${taskText(format, work)}`;
  return rest > 0 && bell > ms ? say("Then rest {time}, then {doing}", { time: timeText(rest * 1000), doing }) : say("Then {doing}", { doing }); // in a rest the clock says how long
}

/** What happened to a mark's thing, by name: "rep 37". @param {Format} format @param {any} mark @param {any} tally @param {number | null} here the window on the screen */
export function markName(format, mark, tally, here) {
  const win = mark.win ?? here;
  const name = ownName(format, mark, win === null ? null : tally.windows[win]);
  const elsewhere = win !== null && win !== here && format.windows[win]?.task;
  return elsewhere ? say("{name} of {task}", { name, task: taskText(format, format.windows[win]) }) : name;
}

/** @param {Format} format @param {any} mark @param {any} tally of its window */
function ownName(format, mark, tally) {
  if (mark.kind === "rep" && tally) return say("rep {count}", { count: tally.count });
  const fault = mark.body.fault && !mark.body.good ? ` (${faultName(format, mark.win, mark.body.fault, mark.body.movement)})` : "";
  return `${kindWords(mark, "told")}${fault}`;
}

/** What a window came to, in words. @param {Format} format @param {any} tally of the window */
export function resultText(format, tally) {
  const window = format.windows[tally.index];
  const task = window.task == null ? null : format.tasks[window.task];
  const norep = tally.norep ? `, ${say("no_reps", { n: tally.norep })}` : "";
  if (task?.kind === "count") {
    const beyond = tally.count > tally.credited ? ` ${say("({n} of them count)", { n: tally.credited })}` : "";
    const reps = say("reps", { n: tally.count });
    return (tally.target ? say("{reps} of {target}", { reps, target: tally.target }) : reps) + beyond + norep;
  }
  if (task?.kind === "list") {
    if (tally.finish_ms !== null) return say("finished", { time: timeText(tally.finish_ms) }) + norep;
    return (tally.left ? say("{reps} done, {left} left", { reps: say("repetitions", { n: tally.credited }), left: tally.left }) : say("{reps} done", { reps: say("repetitions", { n: tally.credited }) })) + norep;
  }
  if (task?.kind === "lift") {
    if (!tally.lifts.length) return say("no lift was judged");
    const best = tally.best ? say("best good lift {load}", { load: sayLoad(tally.best.load) }) : say("no good lift");
    return `${best}, ${say("tries", { n: tally.lifts.length })}`;
  }
  if (task?.kind === "measure") return tally.measure === null ? say("nothing measured yet") : decimal(`${tally.measure} ${task.unit}`) + norep;
  return say("rest");
}

/** What of a window that members share is whose: "A Bo 12, B Kit 9"; empty where nobody is named. @param {Format} format @param {Entry} entry @param {any} tally of the window */
export function sharesText(format, entry, tally) {
  const window = format.windows[tally.index];
  if (window.task == null || format.members === 1 || (Array.isArray(window.who) && window.who.length === 1)) return "";
  const task = format.tasks[window.task];
  const named = (/** @type {any} */ { member }) => member !== null;
  const short = trackNames(entry, format.members);
  const name = (/** @type {any} */ { member }) => short[member - 1];
  if (task.kind !== "lift") return tally.shares.filter(named).map((/** @type {any} */ one) => `${name(one)} ${one.measure === null ? one.count : decimal(`${one.measure} ${task.unit}`)}`).join(", ");
  return bestOfEach(tally.lifts.filter(named), task.times_reps).map((lift) => `${name(lift)} ${sayLoad(lift.load)}${task.times_reps ? ` × ${lift.reps}` : ""}`).join(", ");
}

/** What makes a repetition or a lift good, in the movement's own sentences. @param {{standards?: string[]}} movement @returns {string} */
export function standardsText({ standards }) {
  return (standards ?? []).join(" ");
}

/**
 * What is said of the points of a window's work at which a time may part equal scores; empty where there are none.
 * @param {Format} format @param {{windows: import("../../../rules/tally.js").WindowTally[]}} tally @param {number} win
 * @param {"point.time" | "point.missed"} [before] of one that was not reached
 */
export function pointsText(format, tally, win, before = "point.time") {
  const told = timedPoints(format, tally).filter((one) => one.win === win);
  return told.map(({ words, at }) => (at === null ? say(before, { point: words }) : say("point.reached", { point: words, time: finishText(at) }))).join(". ");
}
