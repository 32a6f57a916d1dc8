// @ts-check
// Runs the cases of tests/vectors in the browser: one function for each `call`, answering in plain JSON.
import { effectOf, momentOf } from "/static/js/rules/authority.js";
import { momentAt, Offset } from "/static/js/rules/clock.js";
import { faultName } from "/static/js/rules/faults.js";
import { filmRoot, sha256 } from "/static/js/screens/round/film_print.js";
import { exact } from "/static/js/rules/fractions.js";
import { heatState } from "/static/js/rules/heat_clock.js";
import { heatTime, sinceGo } from "/static/js/rules/holding.js";
import { atTheBar, barClock, calledLift, calledNext } from "/static/js/rules/platform/lift_order.js";
import { openerSaid, refusedIn } from "/static/js/rules/lifting/opener_said.js";
import { judgedTally } from "/static/js/rules/lights.js";
import { quickPlan } from "/static/js/rules/loading.js";
import { plan } from "/static/js/rules/lifting/fewest_moves.js";
import * as markings from "/static/js/rules/markings.js";
import * as plates from "/static/js/rules/plates.js";
import { withBar } from "/static/js/rules/sheets.js";
import { fold } from "/static/js/rules/tally.js";
import * as typedLoads from "/static/js/rules/typed_loads.js";
import { spoken as said } from "/static/js/rules/texts.js";
import * as times from "/static/js/words/clock_times.js";
import { ROWS } from "/static/js/rules/rows.js";
import { declaresIn, membersIn, namedIn, sharers } from "/static/js/rules/turns.js";
import { timedPoints } from "/static/js/rules/result/points.js";
import { score } from "/static/js/rules/result/scoring.js";
import { sayFrom } from "/static/js/words/say.js";
import * as units from "/static/js/rules/units.js";

/** @type {Record<string, (...args: any[]) => any>} */
const CALLS = {
  moment_at: momentAt,
  offset(exchanges, driftPpm, now, grainMs = 0, slept = null) {
    const offset = new Offset(driftPpm, grainMs);
    for (const [t1, t2, t3, t4] of exchanges) offset.add(t1, t2, t3, t4);
    if (slept) offset.slept(slept[0], slept[1]);
    const found = offset.estimate(now);
    return found ? [found.offset, found.bound] : [];
  },
  heat_time: heatTime,
  heat_state: (run, length, sinceGoMs, holds) => heatState(run, length, heatTime(sinceGoMs, holds)),
  since_go: sinceGo,
  with_bar: withBar,
  // What one exchange shows by the formulas of RFC 5905, section 8: the estimate, bound by half the round-trip delay.
  rfc5905_offset(...stamps) {
    const offset = new Offset(0);
    offset.add(stamps[0], stamps[1], stamps[2], stamps[3]);
    const found = offset.estimate(stamps[3]);
    return found && [found.offset, 2 * found.bound];
  },
  effects: (device, sheet, trials) => trials.map((trial) => effects(device, sheet, trial)),
  moments: (format, times) => times.map((at) => [momentOf(format, at, false), momentOf(format, at, true)]),
  fold,
  who_works: (format) => format.windows.map((window) => [membersIn(format, window), sharers(format, window), linesOf(format, window)]),
  declares_in: (format, member, times) => times.map((ms) => declaresIn(format, member, ms)),
  scores: (format, marks, units) => format.scores.map((rule, i) => score(format, rule, fold(format, marks), units[i]).words),
  points: (format, marks) => timedPoints(format, fold(format, marks)).map(({ win, taps, words, at }) => [win, taps, words, at]),
  fault_name: faultName,
  // Whether one mark more changes a number of a sheet.
  changes: (format, marks, mark, clock) => numbers(fold(format, marks, clock)) !== numbers(fold(format, [...marks, mark], clock)),
  // What waits in one cell of the table of authority counts from now on, or waits again.
  set_cell(seat, kind, moment, effect) {
    ROWS.seats[seat].cells.lane[kind][ROWS.moments.indexOf(moment)] = effect;
    return effect;
  },
  judged_tally: judgedTally,
  platform(format, lanes, times) {
    const there = lanes.map(({ lot, who, sheets, admitted, out }) => ({ lot, who, format, admitted, out, tally: judgedTally(format, sheets), marks: Object.values(sheets).flat() }));
    const bar = atTheBar(there);
    const told = (one) => [one.lot, one.who, one.load, one.attempts, one.lastAt, one.atTheEnd, one.declared, one.automatic, one.least];
    const clock = (runs) => runs && [runs.lot, runs.since, runs.over, runs.bound];
    const waiting = (order) => [calledLift(order, there)?.lot ?? null, ...order.map(told)];
    return [bar && [bar.lot, bar.mark], ...times.map((ms) => [clock(barClock(there, ms)), ...waiting(calledNext(there, ms))])];
  },
  openers(format, marks) {
    const refused = refusedIn(fold(format, marks).flags);
    return [true, false].flatMap((alone) => [1, 2].map((member) => openerSaid(marks, 0, member, alone, refused)));
  },
  film_print(length, piece) {
    const bytes = Uint8Array.from({ length }, (_, n) => (n * 31) % 251);
    const leaves = [];
    for (let at = 0; at < length; at += piece) leaves.push(sha256(bytes.subarray(at, at + piece)));
    return filmRoot(leaves);
  },
  load: (amount, unit) => spoken(() => units.load(amount, unit)),
  parse_load: (text, unit) => spoken(() => units.parseLoad(text, unit)),
  load_text: units.loadText,
  both_units: units.bothUnits,
  in_unit: (load, unit) => fractionText(units.inUnit(load, unit)),
  compare_loads: units.compareLoads,
  on_step: units.onStep,
  plain_decimal: units.plainDecimal,
  round_to: (value, step, how) => fractionText(units.roundTo(exact(value), exact(step), how)),
  decimal_text: (value, most) => units.decimalText(exact(value), most),
  shown: units.shown,
  bar_ways: (set, task, load) => plates.ways(plates.kitOf(set, task), load),
  bar_nearest: (set, task, load) => plates.nearest(plates.kitOf(set, task), load).map(total),
  bar_quick: (set, task, loads, now) => quickPlan(plates.kitOf(set, task), loads, now),
  bar_plan: (set, task, loads, now) => plan(plates.kitOf(set, task), loads, now),
  bar_with(set, task, side) {
    const kit = plates.kitOf(set, task);
    return { total: total(plates.totalOf(kit, side)), words: plates.sideWords(kit, side), too_thick: String(plates.tooThick(kit, side)), low: plates.liesLow(kit, side) };
  },
  tape_text: (mm, unit) => markings.tapeText(exact(mm), unit),
  wall_line: (reach, unit, drop) => fractionText(markings.wallLine(markings.tapeMm(reach, unit), exact(drop))),
  lines_differ: (one, other, tolerance) => markings.differ(exact(one), exact(other), exact(tolerance)),
  minutes_text: times.minutesText,
  hours_text: times.hoursText,
  clock_text: times.clockText,
  say_from: sayFrom,
  said,
  typed_load_at: (text, task, unit, around, set) => spoken(() => typedLoads.typedLoad(text, task, unit, { ...around, kit: plates.kitOf(set, task) })),
  typed_load: (text, task, unit, around) => spoken(() => typedLoads.typedLoad(text, task, unit, around)),
};

/** `3/2`, or `3` when whole. @param {import("/static/js/rules/fractions.js").Fraction} value */
function fractionText(value) {
  return value.d === 1n ? String(value.n) : `${value.n}/${value.d}`;
}

/** @param {import("/static/js/rules/plates.js").Amount | null} amount */
function total(amount) {
  if (!amount) return null;
  const exactly = fractionText(plates.totalIn(amount, "kg"));
  return { kg: exactly, texts: [plates.totalText(amount, "kg"), plates.totalText(amount, "lb")], load: plates.totalLoad(amount) };
}

/** Every number of a sheet, as text. @param {import("/static/js/rules/tally.js").Tally} tally */
function numbers({ windows, any_marks }) {
  const told = windows.map(({ count, norep, credited, finish_ms, left, measure, lifts }) => {
    const tries = lifts.map((lift) => [lift.mark, lift.load, lift.good, lift.counts, lift.again]);
    return [count, norep, credited, finish_ms, left, measure, tries];
  });
  return JSON.stringify([told, any_marks]);
}

/** @param {any} format @param {any} window */
function linesOf(format, window) {
  const items = format.tasks[window.task ?? ""]?.items ?? [];
  return items.map((/** @type {any} */ item) => [sharers(format, window, item), namedIn(format, window, item)]);
}

/** What a mark does at each moment. @param {any} device @param {string} sheet @param {string[]} trial kind, by, maker and kind of what is struck */
function effects(device, sheet, [kind, by, maker, struck]) {
  const mark = /** @type {any} */ ({ sheet: `asg_1/1/${sheet}`, kind, body: by ? { by } : {} });
  const about = /** @type {any} */ (struck ? { kind: struck, device: maker } : null);
  return ROWS.moments.map((moment) => effectOf(device, mark, about, moment));
}

/** @param {() => any} work */
function spoken(work) {
  try {
    return work();
  } catch (wrong) {
    if (wrong instanceof units.BadMeasure) return { error: wrong.message };
    throw wrong;
  }
}

/**
 * @param {{call: string, args: any[]}[]} cases
 * @returns {any[]} what each call answers
 */
export function answers(cases) {
  return cases.map(({ call, args }) => CALLS[call](...args));
}
