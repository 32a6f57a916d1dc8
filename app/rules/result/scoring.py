"""Tally to score: parts in one unit, each an exact fraction, summed, rounded as stated, and comparable."""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.result.totals import Total, total_of
from app.rules.values.clock_times import exact_text
from app.rules.values.units import Load, LoadUnit, decimal_text, round_to
from app.rules.values.words import decimal, known, say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, Part, ScoreRule, Task
from app.rules.workout.score_units import added_in, convert, part_unit, score_unit

NO_TOTAL, NO_LIFT = "no total", "no good lift"
PLACES = "places added"  # what a sum of places is counted in


@dataclass(frozen=True, slots=True)
class Term:
    """One value that a part takes: from which window, how much in the window's own unit, and that in the unit it is added in."""

    window: int
    member: int | None
    raw: Fraction
    raw_unit: str
    value: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class PartScore:
    """One part of a score: its terms, which of them were taken, the weight, and what it adds, in its own unit."""

    name: str
    take: str
    terms: tuple[Term, ...]
    taken: tuple[int, ...]
    weight: Fraction
    value: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class Score:
    """A score that can be compared and explained.

    value: the published number in `unit`, which is points where unlike things are added. left: repetitions of work left when a
    time cap was reached (None: finished, or no cap).
    key: smaller is better. text: as shown, without unit for times. parts: how it was worked out. exact: before rounding.
    unmeasured: a number is missing without which a less-is-better score is none. total: whether there is one, where that asks
    for a good lift in each part.
    """

    value: Fraction
    unit: str
    left: int | None
    key: tuple[Fraction, ...]
    text: str
    parts: tuple[PartScore, ...]
    exact: Fraction
    unmeasured: bool = False
    total: Total = Total.WHOLE

    @property
    def in_words(self) -> bool:
        """Whether it is told by words and no number: it was never measured, or there is no total."""
        return self.unmeasured or self.total is Total.NONE


def score(format: Format, rule: ScoreRule, tally: Tally, before: tuple[Tally, Score] | None = None) -> Score:
    """The score of one tally under one score rule. `before`: one that was made by the same format and rule, whose parts are kept
    where they take from the same windows."""
    parts = tuple(_kept_part(format, rule, number, tally, before) for number in range(len(rule.parts)))
    exact = sum((part.value for part in parts), Fraction(0))
    left = work_left(format, rule, tally)
    if left is not None and rule.cap_adds is not None:
        exact += rule.cap_adds * left
        left = None
    value = round_to(exact, rule.rounding_step, rule.rounding)
    sign = -1 if rule.better == "more" else 1
    # A finisher always stands before one who was capped; the capped stand by the work they had left.
    key = (Fraction(0), sign * value) if left is None else (Fraction(1), Fraction(left), sign * value)
    unmeasured = rule.better == "less" and _unmeasured(format, rule, tally)
    if unmeasured:
        key = (Fraction(2), sign * value)
    unit = score_unit(format, rule) if before is None else before[1].unit
    text = "not measured" if unmeasured else score_text(value, unit, left)
    made = Score(value, unit, left, key, text, parts, exact, unmeasured)
    return with_total(made, *total_of(format, rule, tally)) if rule.every_part else made


def with_total(made: Score, total: Total, missing: int) -> Score:
    """A score that asks for a good lift in each part: whoever lacks one stands behind all who don't, while it can still be made;
    then there is none, and the lifts are shown all the same."""
    asked = replace(made, key=(Fraction(missing), *made.key), total=total)
    return without_total(asked) if total is Total.NONE else asked


def without_total(made: Score) -> Score:
    """The same once no lift can follow any more: what still lacks a good lift is no total."""
    if made.total is Total.WHOLE:
        return made
    text = NO_TOTAL if len(made.parts) > 1 else NO_LIFT
    return replace(made, key=(Fraction(len(made.parts) + 1), *made.key[1:]), text=text, total=Total.NONE)


def _unmeasured(format: Format, rule: ScoreRule, tally: Tally) -> bool:
    """Whether a part has nothing to take because no number was measured: where less is better, that zero must not win."""
    for part in rule.parts:
        windows = [tally.windows[i] for i in format.window_indexes(part) if _task(format, i).kind == "measure"]
        missing = [window.measure is None for window in windows]
        if missing and (all(missing) if part.take in ("best", "last") else any(missing)):
            return True
    return False


def _task(format: Format, index: int) -> Task:
    return format.tasks[format.windows[index].task or ""]


def work_left(format: Format, rule: ScoreRule, tally: Tally) -> int | None:
    """Repetitions of work left on the lists whose time is scored; None when all are finished or no time is scored."""
    left: int | None = None
    for part in rule.parts:
        if part.take == "time":
            for index in format.window_indexes(part):
                window = tally.windows[index]
                if window.finish_ms is None:
                    left = (left or 0) + (_whole_list(format, index) if window.left is None else window.left)
    return left


def _whole_list(format: Format, index: int) -> int:
    task = _task(format, index)
    return task.work_in_round * (task.rounds or 1) if isinstance(task, ListTask) else 0


def score_text(value: Fraction, unit: str, left: int | None) -> str:
    """A score as shown: `487`, `9:42`, or `capped, 13 left`."""
    if left is not None:
        return f"capped, {left} left"
    return exact_text(value) if unit == "s" else decimal_text(value, 3)


def shown_unit(made: Score) -> str:
    """The unit to set behind a score: none behind a clock time, a cap or words, which read by themselves."""
    return "" if made.left is not None or made.in_words or made.unit == "s" else unit_word(made.unit, made.value)


def unit_word(unit: str, number: Fraction | int | None = None) -> str:
    """A unit behind a number as it is shown, or at the head of several: those that are words and no signs in the language that is
    spoken."""
    n = 2 if number is None else round(number, 3)
    return say(f"short.{unit.replace(' ', '_')}", n=n) if unit in ("reps", "points", PLACES) else unit


def shown_text(made: Score) -> str:
    """A score without its unit, in the language that is spoken; `made.text` is in English wherever it was made."""
    if made.left is not None:
        return say("capped, {left} left", left=made.left)
    return known(made.text) if made.in_words else decimal(made.text)


def score_words(made: Score) -> str:
    """A score as it is said: `487 points`, `9:42`, `capped, 13 left`."""
    return f"{shown_text(made)} {shown_unit(made)}".strip()


def _kept_part(format: Format, rule: ScoreRule, number: int, tally: Tally, before: tuple[Tally, Score] | None) -> PartScore:
    part = rule.parts[number]
    if before is None:
        return _part(format, rule, part, tally, part_name(format, part), part_unit(format, rule, part))
    held = before[1].parts[number]
    if all(tally.windows[i] is before[0].windows[i] for i in format.window_indexes(part)):
        return held
    return _part(format, rule, part, tally, held.name, held.unit)


def _part(format: Format, rule: ScoreRule, part: Part, tally: Tally, name: str, unit: str) -> PartScore:
    terms: list[Term] = []
    for index in format.window_indexes(part):
        terms.extend(_terms(format, rule, part, tally.windows[index]))
    taken = _taken(part, rule.better, terms, format.members)
    total = sum((terms[i].value for i in taken), Fraction(0)) * part.weight
    return PartScore(name, part.take, tuple(terms), taken, part.weight, total, unit)


def part_name(format: Format, part: Part) -> str:
    """What a part takes from, in words: the movements of its windows, each once."""
    names: list[str] = []
    for index in format.window_indexes(part):
        task = _task(format, index)
        name = "Work list" if isinstance(task, ListTask) else format.movements[task.movement].name
        if name not in names:
            names.append(name)
    return ", ".join(names)


def _terms(format: Format, rule: ScoreRule, part: Part, window: WindowTally) -> list[Term]:
    task = _task(format, window.index)
    if part.take == "time":
        cap = format.windows[window.index].seconds * 1000
        ms = cap if window.finish_ms is None else window.finish_ms
        return [_term(format, rule, window.index, None, Fraction(ms, 1000), "s")]
    if part.take == "heaviest" and isinstance(task, ListTask):
        return [_heaviest(format, task, window, rule)]
    if isinstance(task, LiftTask):
        return _lift_terms(format, rule, part, window, task)
    if isinstance(task, CountTask | ListTask):
        return _count_terms(format, rule, part, window)
    if window.measure is None and rule.better == "less":
        return []
    if part.take == "member_best" and window.measure is not None and format.members > 1:
        measures = [(one.member, one.measure) for one in window.shares if one.measure is not None]
        return [_term(format, rule, window.index, member, value, task.unit) for member, value in measures]
    value = Fraction(0) if window.measure is None else window.measure
    return [_term(format, rule, window.index, _only(format, window.index), value, task.unit)]


def _heaviest(format: Format, task: ListTask, window: WindowTally, rule: ScoreRule) -> Term:
    """The heaviest load among the lines whose repetitions are all done; nothing done is nothing, in the score's unit."""
    found = heaviest_line(task, len(window.reps))
    if found is None:
        return _term(format, rule, window.index, None, Fraction(0), rule.unit)
    best, _ = found
    return _term(format, rule, window.index, None, best.in_unit(best.unit), best.unit)


def heaviest_line(task: ListTask, taps: int) -> tuple[Load, int] | None:
    """The heaviest load of the lines that count and that so many taps have done, and the tap that did its line; of equal ones the
    first."""
    best: tuple[Load, int] | None = None
    done = 0
    for item in (item for _ in range(task.rounds or 1 + taps // task.taps_in_round) for item in task.items):
        done += item.reps
        if done > taps:
            break
        if item.load is not None and item.worth and (best is None or item.load > best[0]):
            best = (item.load, done)
    return best


def _only(format: Format, index: int) -> int | None:
    who = format.windows[index].who
    return who[0] if isinstance(who, tuple) and len(who) == 1 else None


def _count_terms(format: Format, rule: ScoreRule, part: Part, window: WindowTally) -> list[Term]:
    if part.take != "member_best":
        return [_term(format, rule, window.index, None, window.counted, "reps")]
    counted: dict[int | None, int] = {}
    for _, worth, said in window.reps:
        member = said if format.members > 1 else None  # of one athlete, whether a mark names them or not
        counted[member] = counted.get(member, 0) + worth
    counts = {member: Fraction(count) for member, count in counted.items()}
    if window.joined is not None and len(counts) < 2:  # of several, only the sheet that it began with says whose each was
        counts = {next(iter(counts), _only(format, window.index) if format.members > 1 else None): window.joined}
    return [_term(format, rule, window.index, member, n, "reps") for member, n in sorted(counts.items(), key=str)]


def _lift_terms(format: Format, rule: ScoreRule, part: Part, window: WindowTally, task: LiftTask) -> list[Term]:
    if part.take != "member_best":
        if window.best is None:  # a window without a good lift is worth nothing, and may be the worst or the one dropped
            return [_term(format, rule, window.index, _only(format, window.index), Fraction(0), task.bar.unit)]
        best = [window.best]
    else:
        best = list(_best_by_member(window, task.times_reps).values())
    return [_term(format, rule, window.index, lift.member, *_lift_value(lift, task.times_reps)) for lift in best]


def _best_by_member(window: WindowTally, times_reps: bool) -> dict[int | None, LiftTally]:
    best: dict[int | None, LiftTally] = {}
    for lift in window.lifts:
        held = best.get(lift.member)
        if lift.good and lift.counts and (held is None or lift.value(times_reps) > held.value(times_reps)):
            best[lift.member] = lift
    return best


def _lift_value(lift: LiftTally, times_reps: bool) -> tuple[Fraction, str]:
    """The lift in the unit it was declared in, so that the explanation shows the conversion."""
    raw_unit: LoadUnit = lift.load.unit
    raw = lift.load.in_unit(raw_unit)
    return raw * (lift.reps if times_reps else 1), raw_unit


def _term(format: Format, rule: ScoreRule, window: int, member: int | None, raw: Fraction, raw_unit: str) -> Term:
    unit = added_in(format, rule, raw_unit)
    return Term(window, member, raw, raw_unit, convert(raw, raw_unit, unit), unit)


def _taken(part: Part, better: Literal["more", "less"], terms: list[Term], members: int) -> tuple[int, ...]:
    """Which terms a part takes, as indexes in order. Best and worst follow the score; of equals the earlier is taken."""
    if not terms:
        return ()
    by_value = sorted(range(len(terms)), key=lambda i: terms[i].value)
    greatest = max(range(len(terms)), key=lambda i: (terms[i].value, -i))
    match part.take:
        case "best":
            return (greatest if better == "more" else by_value[0],)
        case "worst":
            return (by_value[0] if better == "more" else greatest,)
        case "last":
            marked = [i for i, term in enumerate(terms) if term.raw != 0]
            return (marked[-1] if marked else len(terms) - 1,)
        case "member_best":
            return _member_bests(better, terms, members)
        case _:
            return tuple(sorted(by_value[part.drop :]))


def _member_bests(better: Literal["more", "less"], terms: list[Term], members: int) -> tuple[int, ...]:
    """Each member's best term: never more of them than the entry has members. What nobody in particular did is one more best
    only while there is a member without one; the best of all of them are taken. Common practice, no source."""
    sign = -1 if better == "more" else 1
    best: dict[int | None, int] = {}
    for i in sorted(range(len(terms)), key=lambda i: (sign * terms[i].value, i)):
        best.setdefault(terms[i].member, i)
    return tuple(sorted(list(best.values())[:members]))
