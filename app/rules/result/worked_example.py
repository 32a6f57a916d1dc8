"""A worked example of an event: one invented entry's marks, played by plain numbers and scored by the real rule book."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from app.rules.count.tally import fold
from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat, Roster
from app.rules.result.explain import RULES, Explanation, explain
from app.rules.result.explain_windows import Step
from app.rules.result.results import event_results
from app.rules.values.shapes import load_plain
from app.rules.values.units import KG_IN, MOST_LOAD_KG, Load, Rounding, decimal_text, round_to
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Window
from app.rules.workout.turns import members_in

NAME = "Example"
SHEET = "example/1/lane"
QUICK_MS = 300  # a movement whose repetitions may follow so quickly is a rope or the like: one a second, else one in four
FINISHES_AT = Fraction(4, 5)  # of a work list's window
LEAST_S_A_TAP = 2
MOST_ENDLESS_TAPS = 400
TIMES_THE_BAR = 4  # the first load
RAISES = 5  # steps between one attempt and the next
A_SET = 8
USUAL_MEASURE = Fraction(20)


@dataclass(frozen=True, slots=True)
class WorkedScore:
    """One score of the example: its name, what came out, and how, step by step."""

    name: str
    score: str
    steps: tuple[Step, ...]


def worked_example(event: Event, variant: str = "") -> tuple[WorkedScore, ...]:
    """The example of an event, as a variant does it: one for each score that the event has.

    The marks are invented; every number after them is the rule book's: tally, score, explanation.
    """
    roster, marks = _roster(event, variant), played(event.format.varied(variant))
    format = event.format.varied(variant)
    tally = fold(format, marks)
    found = event_results(roster, event.id, {"example": tally})
    explained = [(table, explain(format, table, table.rows[0], {"lane": tally}, {"lane": marks})) for table in found.tables]
    return tuple(WorkedScore(table.rule.name, said.score, _without_place(said)) for table, said in explained)


def played(format: Format) -> tuple[Mark, ...]:
    """The marks of the example, in order."""
    sheet, seen = _Sheet(), dict[str, int]()
    for index, window in enumerate(format.windows):
        if window.task is not None:
            nth = seen.get(window.task, 0)
            seen[window.task] = nth + 1
            _play(sheet, format, index, nth)
    return tuple(sheet.marks)


def _without_place(explanation: Explanation) -> tuple[Step, ...]:
    return tuple(step for step in explanation.steps if step.title not in ("Place", RULES))


def _roster(event: Event, variant: str) -> Roster:
    members = tuple(f"ath_{number}" for number in range(1, event.format.members + 1))
    lane = Assignment(id="example", lane=1, entry="ent", variant=variant)
    return Roster(
        competition=Competition(id="cmp", name=NAME),
        divisions=(Division(id="div", name=NAME),),
        athletes=tuple(Athlete(id=member, name=NAME) for member in members),
        entries=(Entry(id="ent", division="div", name=NAME, members=members),),
        events=(event.model_copy(update={"variants": {}, "divisions": ()}),),
        heats=(Heat(id="heat", event=event.id, number=1, lanes=(lane,)),),
    )


@dataclass(slots=True)
class _Sheet:
    """The example's sheet while it is written."""

    marks: list[Mark] = field(default_factory=list)

    def mark(self, kind: Kind, at: int, win: int, **body: Any) -> str:
        """Adds a mark and returns its id."""
        number = len(self.marks) + 1
        key = f"{number:032x}"
        self.marks.append(Mark(key, SHEET, "example", 1, number, kind, at, 0, win, body))
        return key


def _play(sheet: _Sheet, format: Format, index: int, nth: int) -> None:
    """One window of work; `nth` of its task."""
    window = format.windows[index]
    task = format.tasks[window.task or ""]
    match task:
        case CountTask():
            quick = (format.movements[task.movement].fastest_ms or 1000) <= QUICK_MS
            wanted = max(1, window.seconds // (1 if quick else 4) - 3 * nth)
            target = wanted if task.target is None else task.target + task.grows * nth
            _spread(sheet, index, window, min(wanted, target) if task.target is None else min(target, window.seconds * 2))
        case ListTask():
            _play_list(sheet, index, window, task)
        case LiftTask():
            for turn, member in enumerate(_members(format, window)):
                fault = next((one.id for one in format.movements[task.movement].faults), None)
                whose = {} if member is None else {"member": member}
                _play_lifts(sheet, index, window, task, whose, _tries(format, index, nth, task, turn), fault)
        case MeasureTask():
            usual = max(task.low, min(task.high, USUAL_MEASURE + nth))
            value = round_to(usual, task.step, Rounding.DOWN)
            sheet.mark("measure", window.end_ms - 1000, index, value=decimal_text(max(value, task.low), 6))


def _spread(sheet: _Sheet, index: int, window: Window, count: int, until: Fraction = Fraction(1)) -> None:
    length = int((window.end_ms - window.start_ms) * until)
    for number in range(count):
        sheet.mark("rep", window.start_ms + length * (number + 1) // (count + 1), index)


def _play_list(sheet: _Sheet, index: int, window: Window, task: ListTask) -> None:
    """A list with an end is finished four fifths into its window, unless nobody could; an endless one is done for two rounds and
    a part of the third."""
    round_of = task.taps_in_round
    if task.rounds is None:
        _spread(sheet, index, window, min(MOST_ENDLESS_TAPS, round_of * 2 + max(1, round_of // 3)))
        return
    whole = round_of * task.rounds
    if whole * LEAST_S_A_TAP > window.seconds * FINISHES_AT:
        _spread(sheet, index, window, window.seconds // 4)
        return
    _spread(sheet, index, window, whole, FINISHES_AT)
    sheet.mark("finish", window.start_ms + int((window.end_ms - window.start_ms) * FINISHES_AT), index)


def _members(format: Format, window: Window) -> Iterator[int | None]:
    if format.members == 1:
        yield None
    else:
        yield from members_in(format, window)


def _play_lifts(
    sheet: _Sheet,
    index: int,
    window: Window,
    task: LiftTask,
    whose: dict[str, int],
    tries: list[tuple[Load, bool]],
    fault: str | None,
) -> None:
    """So many tries, good and missed, each under a declaration of its own."""
    part = (window.end_ms - window.start_ms) // 4
    for attempt, (load, good) in enumerate(tries[: task.attempts]):
        said = {"load": load_plain(load)}
        at = window.start_ms + part * attempt + 1000 + 100 * max(0, whose.get("member", 1) - 1)
        in_time = attempt and task.declare_seconds is not None  # else the rule's load would stand by then
        declared = sheet.mark("declare", at - part // 2 + 400 if in_time else at, index, **said, by="judge", **whose)
        reps = {"reps": A_SET} if task.times_reps else {}
        why = {"fault": fault} if fault and not good else {}
        sheet.mark("lift", at + part // 2, index, **said, good=good, declared=declared, **whose, **reps, **why)
        sheet.mark("racked", at + part // 2 + 200, index, declared=declared)


def _tries(format: Format, index: int, nth: int, task: LiftTask, turn: int) -> list[tuple[Load, bool]]:
    """Two good lifts and a heavier one missed; each later member begins five steps lighter. Of a load that grows what is asked
    for, window by window, missed in the last."""
    if task.loads:
        return _climb(format, index, nth, task)
    step, bar, unit = task.step.in_unit(task.step.unit), task.bar.in_unit(task.step.unit), task.step.unit
    above = round_to(bar * (TIMES_THE_BAR - 1), step, Rounding.DOWN) - step * RAISES * turn
    most = Fraction(MOST_LOAD_KG / KG_IN[unit] // 1)
    amounts = [min(most, max(bar, bar + above + step * RAISES * attempt)) for attempt in range(3)]
    return [(Load(decimal_text(amount), unit), number < 2) for number, amount in enumerate(amounts)]


def _climb(format: Format, index: int, nth: int, task: LiftTask) -> list[tuple[Load, bool]]:
    if task.rises == "lift":
        return [] if nth else [(task.load_at(number), number < 2) for number in range(3)]
    window, asked = format.windows[index], format.asked_load(index)
    last = all((one.task, one.who) != (window.task, window.who) for one in format.windows[index + 1 :])
    return [] if asked is None else [(asked, nth == 0 or not last)]
