// @ts-check
/**
 * Tally to score, as a lane's sheet shows it to whoever signs: parts, each an exact fraction, added up and rounded as stated. Twin of
 * app/rules/result/scoring.py, where the rules are said in words; both pass tests/vectors/scores.json. Comparing is the desk's.
 */
import { minutesText } from "../../words/clock_times.js";
import { endMs, startMs } from "../clock.js";
import { compare, exact, floor, fraction, over, plus, times } from "../fractions.js";
import { attemptsLeft, bestOfEach, putOut } from "../lifts.js";
import { membersIn } from "../turns.js";
import { KG_IN, MM_IN, compareLoads, decimalText, roundTo } from "../units.js";
import { decimal, say } from "../../words/say.js";

/** @typedef {import("../fractions.js").Fraction} Fraction */
/** @typedef {import("../tally.js").WindowTally} WindowTally */
/** @typedef {{window: number, member: number | null, raw: Fraction, unit: string, value: Fraction}} Term raw: in the window's own `unit` */
/** @typedef {{take: string, windows: number[], terms: Term[], taken: Term[]}} PartScore what a part may take, and what it took */
/** @typedef {{name: string, words: string, parts: PartScore[]}} Score words: as the results say it, `9:42` or `487 points` */

/** @type {Record<string, Fraction>} */
const SCALE = { ...KG_IN, ...MM_IN };
const NOTHING = exact("0");

/**
 * The score of one tally under one score rule.
 * @param {any} format @param {any} rule @param {{windows: WindowTally[], signed?: Record<string, string>}} tally
 * @param {string} [unit] the unit that is true of the score in all variants of the event, which the desk knows
 * @returns {Score}
 */
export function score(format, rule, tally, unit = rule.unit) {
  const parts = /** @type {any[]} */ (rule.parts).map((part) => partScore(format, rule, part, tally));
  const whole = parts.map(({ taken }, i) => times(sum(taken), exact(rule.parts[i].weight))).reduce(plus, NOTHING);
  const left = workLeft(format, rule, tally);
  const adds = left !== null && rule.cap_adds != null;
  const total = adds ? plus(whole, times(exact(rule.cap_adds), exact(left))) : whole;
  const value = roundTo(total, exact(rule.rounding_step), rule.rounding);
  const said = rule.better === "less" && unmeasured(format, rule, tally) ? say("not measured") : scoreWords(value, unit, adds ? null : left);
  const words = rule.every_part && noTotal(format, rule, tally) ? (rule.parts.length > 1 ? say("no total") : say("no good lift")) : said;
  return { name: rule.name, words, parts };
}

/** @param {Term[]} terms @returns {Fraction} */
const sum = (terms) => terms.map(({ value }) => value).reduce(plus, NOTHING);

/** A unit behind a number as it is shown: those that are words and no signs, in this language. @param {string} unit @param {number} n */
const unitWord = (unit, n) => (unit === "reps" ? say("short.reps", { n }) : unit === "points" ? say("short.points", { n }) : unit);

/** @param {Fraction} value @param {string} unit @param {number | null} left */
function scoreWords(value, unit, left) {
  if (left !== null) return say("capped, {left} left", { left });
  return amountWords(value, unit);
}

/** An amount as it is read: `9:42`, `28 points`. @param {Fraction} value @param {string} unit */
export function amountWords(value, unit) {
  const shown = decimalText(value, 3);
  return decimal(unit === "s" ? exactText(value) : `${shown} ${unitWord(unit, Number(shown))}`);
}

/** Seconds as m:ss, with as many decimals of the second as it has. @param {Fraction} seconds */
function exactText(seconds) {
  const size = seconds.n < 0n ? fraction(-seconds.n, seconds.d) : seconds;
  const told = roundTo(size, exact("1/1000"), "nearest");
  const whole = floor(told);
  const rest = decimalText(plus(told, fraction(-whole)), 3).replace(/^0/, "");
  return `${seconds.n < 0n && told.n ? "-" : ""}${minutesText(Number(whole))}${rest}`;
}

/** The windows a part takes from, in order. @param {any} format @param {any} part @returns {number[]} */
function windowsOf(format, { windows, tasks }) {
  if (windows.length) return [...new Set(/** @type {number[]} */ (windows))].sort((a, b) => a - b);
  return /** @type {any[]} */ (format.windows).flatMap(({ task }, i) => (task != null && tasks.includes(task) ? [i] : []));
}

/** @param {any} format @param {number} index */
const taskOf = (format, index) => format.tasks[format.windows[index].task];

/** Whether a part has nothing to take because no number was measured. @param {any} format @param {any} rule @param {{windows: WindowTally[]}} tally */
function unmeasured(format, rule, tally) {
  return /** @type {any[]} */ (rule.parts).some((part) => {
    const measured = windowsOf(format, part).filter((index) => taskOf(format, index).kind === "measure");
    const missing = measured.map((index) => tally.windows[index].measure === null);
    return missing.length > 0 && (["best", "last"].includes(part.take) ? missing.every(Boolean) : missing.some(Boolean));
  });
}

/** Whether a part lacks a good lift, and none can follow any more. Twin of app/rules/result/totals.py. @param {any} format @param {any} rule @param {{windows: WindowTally[], signed?: Record<string, string>}} tally */
function noTotal(format, rule, tally) {
  const lifts = /** @type {any[]} */ (rule.parts).map((part) => windowsOf(format, part).filter((index) => taskOf(format, index).kind === "lift"));
  const missing = lifts.filter((indexes) => indexes.length && indexes.every((index) => tally.windows[index].best === null));
  return missing.some((indexes) => tally.signed?.judge !== undefined || isOver(format, indexes, tally.windows));
}

/** Whether no attempt can follow: a later window was judged, or all attempts are used up. @param {any} format @param {number[]} indexes @param {WindowTally[]} windows */
function isOver(format, indexes, windows) {
  const end = Math.max(...indexes.map((index) => endMs(format.windows[index])));
  const holds = ({ count, norep, lifts, measure, finish_ms }) => Boolean(count || norep || lifts.length || measure !== null || finish_ms !== null);
  return windows.some((one) => holds(one) && startMs(format.windows[one.index]) >= end) || indexes.every((index) => usedUp(format, windows[index]));
}

/** Whether everybody who may lift in a window has made all attempts. @param {any} format @param {WindowTally} window */
function usedUp(format, { index, lifts }) {
  const task = taskOf(format, index);
  return membersIn(format, format.windows[index]).every((member) => {
    const mine = lifts.filter((lift) => (lift.member === member || lift.member === null) && !lift.again);
    if (putOut(task, mine)) return true;
    return attemptsLeft(task, mine) === 0 && !mine.some(({ doubt }) => doubt === "waiting") && !(task.tries_until_racked && mine.length && !mine[mine.length - 1].racked);
  });
}

/** Repetitions left on the lists whose time is scored; null when all are finished or no time is scored. @param {any} format @param {any} rule @param {{windows: WindowTally[]}} tally @returns {number | null} */
function workLeft(format, rule, tally) {
  const timed = /** @type {any[]} */ (rule.parts).filter(({ take }) => take === "time").flatMap((part) => windowsOf(format, part));
  const open = timed.map((index) => tally.windows[index]).filter(({ finish_ms }) => finish_ms === null);
  return open.length ? open.reduce((left, window) => left + (window.left ?? wholeList(taskOf(format, window.index))), 0) : null;
}

/** @param {any} task @returns {number} */
function wholeList(task) {
  const round = task.items.reduce((/** @type {number} */ work, /** @type {any} */ item) => work + item.reps * item.worth, 0);
  return round * (task.rounds ?? 1);
}

/** @param {any} format @param {any} rule @param {any} part @param {{windows: WindowTally[]}} tally @returns {PartScore} */
function partScore(format, rule, part, tally) {
  const windows = windowsOf(format, part);
  const terms = windows.flatMap((index) => termsOf(format, rule, part, tally.windows[index]));
  return { take: part.take, windows, terms, taken: takenOf(part, rule.better, terms, format.members) };
}

/** @param {any} format @param {any} rule @param {any} part @param {WindowTally} window @returns {Term[]} */
function termsOf(format, rule, part, window) {
  const { index } = window;
  const task = taskOf(format, index);
  const term = (/** @type {number | null} */ member, /** @type {Fraction} */ raw, /** @type {string} */ unit) => made(format, rule, index, member, raw, unit);
  const only = onlyOne(format.windows[index]);
  if (part.take === "time") return [term(null, over(exact(window.finish_ms ?? endMs(format.windows[index]) - startMs(format.windows[index])), exact(1000)), "s")];
  if (part.take === "heaviest" && task.kind === "list") {
    const load = heaviestLine(task, window.reps.length);
    return [load ? term(null, exact(load.amount), load.unit) : term(null, NOTHING, rule.unit)];
  }
  if (task.kind === "lift") return liftTerms(part, window, task, only, term);
  if (task.kind !== "measure") return countTerms(format, part, window, term);
  if (window.measure === null) return rule.better === "less" ? [] : [term(only, NOTHING, task.unit)];
  if (part.take !== "member_best" || format.members === 1) return [term(only, exact(window.measure), task.unit)];
  return window.shares.flatMap(({ member, measure }) => (measure === null ? [] : [term(member, exact(measure), task.unit)]));
}

/** @param {{who: any}} window @returns {number | null} */
const onlyOne = ({ who }) => (Array.isArray(who) && who.length === 1 ? who[0] : null);

/** @param {any} format @param {any} rule @param {number} window @param {number | null} member @param {Fraction} raw @param {string} unit @returns {Term} */
function made(format, rule, window, member, raw, unit) {
  const into = alike(unit, rule.unit) ? rule.unit : unit in KG_IN ? format.unit : unit;
  const value = unit !== into && alike(unit, into) ? over(times(raw, SCALE[unit]), SCALE[into]) : raw;
  return { window, member, raw, unit, value };
}

/** Whether two units measure the same: two of loads, or two of lengths. @param {string} one @param {string} other */
function alike(one, other) {
  return one === other || (one in SCALE && other in SCALE && one in KG_IN === other in KG_IN);
}

/** The heaviest load of the lines that count and that so many taps have done; of equal ones the first. @param {any} task @param {number} taps @returns {import("../units.js").Load | null} */
function heaviestLine(task, taps) {
  let best = null;
  let done = 0;
  const round = task.items.reduce((/** @type {number} */ reps, /** @type {any} */ item) => reps + item.reps, 0);
  const rounds = task.rounds ?? 1 + Math.floor(taps / round);
  for (let n = 0; n < rounds * task.items.length; n += 1) {
    const { reps, load, worth } = task.items[n % task.items.length];
    done += reps;
    if (done > taps) break;
    if (load && worth && (best === null || compareLoads(load, best) > 0)) best = load;
  }
  return best;
}

/** @typedef {(member: number | null, raw: Fraction, unit: string) => Term} Made */

/** @param {any} format @param {any} part @param {WindowTally} window @param {Made} term @returns {Term[]} */
function countTerms({ members }, { take }, window, term) {
  if (take !== "member_best") return [term(null, exact(window.credited), "reps")];
  /** @type {Map<number | null, number>} */
  const counts = new Map();
  for (const [, worth, said] of window.reps) {
    const member = members > 1 ? said : null; // of one athlete, whether a mark names them or not
    counts.set(member, (counts.get(member) ?? 0) + worth);
  }
  return [...counts].map(([member, n]) => term(member, exact(n), "reps"));
}

/** @param {any} part @param {WindowTally} window @param {any} task @param {number | null} only @param {Made} term @returns {Term[]} */
function liftTerms({ take }, window, task, only, term) {
  const worth = (/** @type {any} */ lift) => times(exact(lift.load.amount), exact(task.times_reps ? lift.reps : 1));
  if (take !== "member_best" && window.best === null) return [term(only, NOTHING, task.bar.unit)];
  const best = take === "member_best" ? bestOfEach(window.lifts, task.times_reps) : [window.best];
  return best.map((/** @type {any} */ lift) => term(lift.member, worth(lift), lift.load.unit));
}

/** Which terms a part takes, in order. Best and worst follow the score; of equals the earlier is taken. @param {any} part @param {string} better @param {Term[]} terms @param {number} members @returns {Term[]} */
function takenOf({ take, drop }, better, terms, members) {
  const rising = terms.map((_, i) => i).sort((a, b) => compare(terms[a].value, terms[b].value) || a - b);
  const greatest = rising.find((i) => terms.every(({ value }) => compare(value, terms[i].value) <= 0));
  const pick = (/** @type {(number | undefined)[]} */ picked) => terms.filter((_, i) => picked.includes(i));
  if (take === "best") return pick([better === "more" ? greatest : rising[0]]);
  if (take === "worst") return pick([better === "more" ? rising[0] : greatest]);
  if (take === "last") return terms.filter((_, i) => i === lastMarked(terms));
  if (take === "member_best") return pick(memberBests(better, terms, members));
  return pick(rising.slice(drop));
}

/** The last that is not zero, else the last. @param {Term[]} terms */
function lastMarked(terms) {
  const marked = terms.flatMap(({ raw }, i) => (raw.n === 0n ? [] : [i]));
  return marked.at(-1) ?? terms.length - 1;
}

/** Each member's best term, never more of them than the entry has members. @param {string} better @param {Term[]} terms @param {number} members @returns {number[]} */
function memberBests(better, terms, members) {
  const sign = better === "more" ? -1 : 1;
  const ranked = terms.map((_, i) => i).sort((a, b) => sign * compare(terms[a].value, terms[b].value) || a - b);
  const best = new Map();
  for (const i of ranked) if (!best.has(terms[i].member)) best.set(terms[i].member, i);
  return [...best.values()].slice(0, members);
}
