"""Totals that a judge reads off a tablet which can't send: keyed in at the desk, as marks on the lane's paper sheet."""

import re
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from operator import itemgetter

from app.floor.judging import record_marks
from app.hall.devices import Who
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS
from app.live.projection import Place
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.sheets import paper_sheet
from app.rules.count.tally import WindowTally
from app.rules.records.kinds import Kind
from app.rules.records.marks import MOST_MARKS, VALUE, Mark, mark_plain
from app.rules.result.ties import reached
from app.rules.values.clock_times import clock_text, exact_text
from app.rules.values.ids import RANDOM_BITS, mark_id
from app.rules.values.shapes import load_plain
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Task, Window
from app.rules.workout.points import Point
from app.store.refusals import NotThere

MOST_REPS = 2_000
AS_LATE = "m:ss from the start of the window. Empty: as late as possible."
FINISH = re.compile(r"(\d{1,3}):([0-5]\d)(?:[.,](\d{1,3}))?")


@dataclass(frozen=True, slots=True)
class LaneChoice:
    """A lane whose totals can be keyed in: `value` is its assignment, `place` the lane in its heat, and who stands there."""

    value: str
    heat: str
    place: str

    @property
    def words(self) -> str:
        """All of it: `Ferry stairs, heat 1, lane 2: Chalk Lines`."""
        return f"{self.heat}, {self.place[0].lower()}{self.place[1:]}"


@dataclass(frozen=True, slots=True)
class TotalsField:
    """One number to ask the judge for: its input's name, what it is, a hint, and what the desk's own marks say."""

    name: str
    label: str
    hint: str
    here: str


@dataclass(frozen=True, slots=True)
class TotalsForm:
    """What to ask the judge of one lane."""

    assignment: str
    title: str
    fields: tuple[TotalsField, ...]


def lane_choices(hall: Hall) -> list[LaneChoice]:
    """All lanes of all heats."""
    roster = hall.projection.roster
    if roster is None:
        return []
    names = {entry.id: entry.name for entry in roster.entries}
    events = {event.id: event.name for event in roster.events}
    return [
        LaneChoice(lane.id, f"{events[heat.event]}, heat {heat.number}", f"Lane {lane.lane}: {names[lane.entry]}")
        for heat in roster.heats
        for lane in heat.lanes
    ]


def totals_form(hall: Hall, assignment: str) -> TotalsForm:
    """The numbers to ask for, with what is here already. Raises NotThere."""
    place, sheet = lane_place(hall, assignment)
    own = hall.projection.sheet_tally(sheet)
    format = place.format
    fields = [
        field
        for index, window in enumerate(format.windows)
        if window.task is not None
        for field in _fields(format, index, window, format.tasks[window.task], own.windows[index])
    ]
    title = next(choice.words for choice in lane_choices(hall) if choice.value == assignment)
    return TotalsForm(assignment, title, tuple(fields))


async def key_totals(hall: Hall, who: Who, assignment: str, typed: Typed) -> int:
    """Stores totals as marks on the lane's paper sheet; what was keyed in before for the same window is struck out.

    Returns how many windows were keyed in. Raises BadForm, NotThere, StoreFull.
    """
    place, sheet = lane_place(hall, assignment)
    reading, format = Reading(typed), place.format
    said: dict[int, list[Draft]] = {}
    for index, window in enumerate(format.windows):
        if window.task is None:
            continue
        drafts = list(window_drafts(reading, format, index, window, format.tasks[window.task]))
        if drafts:
            said[index] = drafts
    reading.done()
    struck = _struck(hall, paper_sheet(sheet), set(said))
    marks = numbered(hall, who, paper_sheet(sheet), [*struck, *(draft for drafts in said.values() for draft in drafts)])
    for start in range(0, len(marks), MOST_MARKS):
        await record_marks(hall, who, [mark_plain(mark) for mark in marks[start : start + MOST_MARKS]])
    return len(said)


@dataclass(frozen=True, slots=True)
class Draft:
    """A mark before it is numbered."""

    kind: Kind
    at: int
    win: int | None
    body: dict[str, object]


def lane_place(hall: Hall, assignment: str) -> tuple[Place, str]:
    """Where a lane assignment stands, and its sheet that counts. Raises NotThere."""
    place, sheet = hall.projection.place_of(assignment), hall.projection.counting_sheet(assignment)
    if place is None or sheet is None:
        raise NotThere("That lane is on no start list.")
    return place, sheet


def _fields(format: Format, index: int, window: Window, task: Task, own: WindowTally) -> Iterator[TotalsField]:
    span = f"{clock_text(window.start_ms)} to {clock_text(window.end_ms)}"
    who = "" if isinstance(window.who, str) or format.members == 1 else "".join(LETTERS[m - 1] for m in window.who) + ": "
    if isinstance(task, CountTask):
        yield TotalsField(f"w{index}", f"{who}{format.movements[task.movement].name}", f"{span}. Repetitions.", str(own.count))
        yield from _time_fields(format, index, who, own)
    elif isinstance(task, ListTask):
        done = "Repetitions done." if task.all_counts else "Repetitions done, without the lines that do not count."
        yield TotalsField(f"w{index}", f"{who}Work list", f"{span}. {done}", str(own.credited))
        yield from _time_fields(format, index, who, own)
        if format.has_no_end(window.task or ""):  # the bell ends it
            return
        finish = "" if own.finish_ms is None else clock_text(own.finish_ms)
        yield TotalsField(f"w{index}-finish", f"{who}Work list, finish", "If finished: m:ss from its start.", finish)
    elif isinstance(task, LiftTask):
        name = format.movements[task.movement].name
        yield TotalsField(f"w{index}", f"{who}{name}", f"{span}. The heaviest good lift, in {format.unit}.", _load(own.best))
    else:
        measured = "" if own.measure is None else decimal_text(own.measure, 3)
        yield TotalsField(f"w{index}", f"{who}{format.movements[task.movement].name}", f"{span}. In {task.unit}.", measured)


def _time_fields(format: Format, index: int, who: str, own: WindowTally) -> Iterator[TotalsField]:
    """The times that may part equal scores."""
    start = format.windows[index].start_ms
    for taps, point in _points(format, index).items():
        at = reached(own, taps)
        here = "" if at is None else exact_text(Fraction(at - start, 1000))
        yield TotalsField(f"w{index}-at{taps}", f"{who}{say('point.time', point=point.words())}", AS_LATE, here)


def _points(format: Format, index: int) -> dict[int, Point]:
    """The points of a window's work whose times are written, by the taps that bring there, in order."""
    return {taps: point for (win, taps), point in sorted(format.timed_points().items(), key=itemgetter(0)) if win == index}


def _load(best: LiftTally | None) -> str:
    return "" if best is None else best.load.text()


def window_drafts(reading: Reading, format: Format, index: int, window: Window, task: Task) -> Iterator[Draft]:
    """The marks that a window's typed total makes; what can't be read is noted as a problem."""
    name = f"w{index}"
    if isinstance(task, CountTask):
        count = reading.whole(name, "The repetitions", 0, MOST_REPS) or 0
        yield from _reps(reading, format, index, count, window.end_ms)
    elif isinstance(task, ListTask):
        yield from _list_drafts(reading, format, index, task)
    elif isinstance(task, LiftTask):
        load = reading.load(name, "The lift", format.unit)
        if load is not None:
            yield Draft("lift", window.end_ms - 1, index, {"load": load_plain(load), "good": True})
    elif isinstance(task, MeasureTask):
        value = reading.raw(name).replace(",", ".")
        if value and not VALUE.fullmatch(value):
            reading.wrong(name, f"The measure is a number in {task.unit}, such as 12.5.")
        elif value:
            yield Draft("measure", window.end_ms - 1, index, {"value": value})


def _list_drafts(reading: Reading, format: Format, index: int, task: ListTask) -> Iterator[Draft]:
    name, window = f"w{index}", format.windows[index]
    work = reading.whole(name, "The repetitions done", 0, MOST_REPS * 10)
    finished = bool(reading.raw(f"{name}-finish"))
    taps = 0 if work is None else _taps(task, work, finished)
    if taps is None:
        reading.wrong(name, "That number ends in the middle of a line that counts as a whole. Ask the judge again.")
        return
    taps = _followed(reading, format, index, task, taps)
    finish = _since_start(
        reading, f"{name}-finish", "The finish is minutes:seconds since the start of the work list, such as 9:42."
    )
    at = window.end_ms if finish is None else window.start_ms + finish
    yield from _reps(reading, format, index, taps, at)
    if finish is not None:
        yield Draft("finish", min(at, window.end_ms - 1), index, {})


def _since_start(reading: Reading, field: str, sentence: str) -> int | None:
    """A time that was typed as m:ss, in ms since the start of its window; None where nothing was, or nothing that can be read."""
    typed = reading.raw(field)
    found = FINISH.fullmatch(typed)
    if typed and not found:
        reading.wrong(field, sentence)
    return (int(found[1]) * 60 + int(found[2])) * 1000 + int((found[3] or "0").ljust(3, "0")) if found else None


def _taps(task: ListTask, work: int, finished: bool) -> int | None:
    """How many taps of a work list make so many repetitions of work; None if none do.

    Of lines that do not count, those are taken as done that others followed, and all of them where the list was finished. Who was
    in the first of them when the bell went has a result of 0: one tap of it tells that from no result.
    """
    worths = [item.worth for item in task.items for _ in range(item.reps)]
    if finished and task.rounds is not None and work == task.work_in_round * task.rounds:
        return len(worths) * task.rounds
    if not work and not worths[0]:
        return 1
    done = taps = 0
    while done < work:
        done += worths[taps % len(worths)]
        taps += 1
    return taps if done == work else None


def _followed(reading: Reading, format: Format, index: int, task: ListTask, taps: int) -> int:
    """The taps that were done, with those behind them that do not count, where a time is written at the end of these."""
    worths = [item.worth for item in task.items for _ in range(item.reps)]
    for tap in _points(format, index):
        counted = any(worths[at % len(worths)] for at in range(taps, tap))
        if tap > taps and not counted and reading.raw(f"w{index}-at{tap}"):
            taps = tap
    return taps


def _reps(reading: Reading, format: Format, index: int, taps: int, end: int) -> Iterator[Draft]:
    """Repetitions, done by `end`, of which nobody knows the moments but those that were written at points of the work: evenly in
    between. A point that was reached without a time was reached as late as can be: nobody gains by a time that was not taken."""
    known = [(0, format.windows[index].start_ms)]
    for tap, point in _points(format, index).items():
        field, what = f"w{index}-at{tap}", point.words()
        said = _since_start(reading, field, f"The time at {what} is minutes:seconds since the start of the window, such as 2:05.")
        at = end - 1 if said is None else format.windows[index].start_ms + said
        if said is not None and tap > taps:
            reading.wrong(field, f"There is a time at {what}, but too few repetitions to get there.")
        elif not known[-1][1] <= at < end:
            reading.wrong(field, f"The time at {what} is later than the point after it. Ask the judge again.")
        elif tap <= taps:
            known.append((tap, at))
    for (tap, at), (last, until) in pairwise([*known, (taps + 1, end)]):
        yield from (
            Draft("rep", at + (until - at) * (n - tap) // (last - tap), index, {}) for n in range(tap + 1, last + 1) if n <= taps
        )


def _struck(hall: Hall, sheet: str, windows: set[int]) -> list[Draft]:
    """Strike-outs of what was keyed in before."""
    marks = hall.projection.sheet_marks(sheet)
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    standing = [mark for mark in marks if mark.kind != "strike" and mark.id not in struck and mark.win in windows]
    return [Draft("strike", mark.at, None, {"mark": mark.id}) for mark in standing]


def numbered(hall: Hall, who: Who, sheet: str, drafts: list[Draft]) -> list[Mark]:
    """Marks of the desk: each keying is an epoch of its own, so that no number comes twice. One that a mark of the sheet has is
    never drawn again, should the clock stand or go back."""
    wall_ms = hall.time.wall_ms()
    taken = {mark.epoch for mark in hall.projection.sheet_marks(sheet)}
    epoch = wall_ms * 1000 + secrets.randbelow(1000)
    while epoch in taken:
        epoch += 1
    return [
        Mark(
            mark_id(wall_ms, secrets.randbits(RANDOM_BITS)),
            sheet,
            who.device_id,
            epoch,
            seq,
            draft.kind,
            draft.at,
            0,
            draft.win,
            draft.body,
        )
        for seq, draft in enumerate(drafts, start=1)
    ]
