"""Marks to tally: one sheet's marks added up, window by window, with what was struck and what is odd.

The tally of a set of marks is one value, whatever order they arrive in, however often, in whatever batches.
static/js/rules/tally.js is its twin on the tablet; both pass tests/vectors/tally.json.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from math import inf
from types import MappingProxyType
from typing import Any

from app.rules.count.beyond import but_for_beyond
from app.rules.count.fold_lifts import LiftWindow, best_lift, fold_lifts
from app.rules.count.one_tablet import doubled
from app.rules.count.placing import place, said_member
from app.rules.count.presence import presence
from app.rules.count.received import ahead_of, as_heard, but_for_ahead, is_judged, let_count
from app.rules.count.ruled_marks import judged_anew, with_repetitions
from app.rules.count.settling import member_of, settled
from app.rules.count.sheet_clock import PLAIN, SheetClock, retimed
from app.rules.count.tally_shape import Flag, Share, Tally, WindowTally
from app.rules.count.verdicts import Verdict
from app.rules.records.kinds import JUDGED, PLACED
from app.rules.records.marks import Mark
from app.rules.values.units import Rounding, round_to
from app.rules.workout.formats import Format, LiftTask, ListTask, MeasureTask, Task, Window

__all__ = ["Flag", "Tally", "WindowTally", "fold", "member_of"]


@dataclass(slots=True)
class _Open:
    """A window while its marks are gathered, in order."""

    index: int
    window: Window
    task: Task
    marks: list[Mark] = field(default_factory=list)
    taken_back: list[Mark] = field(default_factory=list)


NO_VERDICTS: Mapping[str, Verdict] = MappingProxyType({})


def fold(
    format: Format, marks: Iterable[Mark], clock: SheetClock = PLAIN, verdicts: Mapping[str, Verdict] = NO_VERDICTS
) -> Tally:
    """Adds up the marks of one sheet under a format, read by its clock: when it was held, how a start by hand is shifted, what
    the head judge ruled on its marks, and which of them were there when the event was signed off. `verdicts` are what several
    judges together decided about tries, by their marks."""
    waiting: list[Flag] = []
    unique = let_count(_unique(clock.within(marks)), clock)
    known, ahead = {mark.id: mark.order for mark in unique.values()}, ahead_of(unique, clock)
    unique, into_hold = retimed(but_for_beyond(but_for_ahead(unique, ahead, waiting), format, waiting), clock)
    unique = as_heard(judged_anew(unique, clock.ruled), clock, waiting)
    struck, flags = _struck(unique)
    standing = sorted((m for m in unique.values() if m.kind != "strike" and m.id not in struck), key=lambda m: m.order)
    opened = {i: _Open(i, w, format.tasks[w.task]) for i, w in enumerate(format.windows) if w.task is not None}
    declared = {mark.id: mark for mark in unique.values() if mark.kind == "declare"}

    def where(mark: Mark, odd: list[Flag]) -> int | None:
        return place(format, mark, said_member(mark, declared), into_hold.get(mark.id), odd)

    for mark in (mark for mark in standing if mark.kind in PLACED):
        index = where(mark, flags)
        if index is not None:
            opened[index].marks.append(mark)
    for mark in (mark for mark in declared.values() if mark.id in struck):
        index = where(mark, [])
        if index is not None:
            opened[index].taken_back += [mark, *_strikes_on(unique, mark)]
    for window in opened.values():
        _leave_one_tablet(window, format.quiet_ms, flags)
    struck_out = {mark.id: where(mark, []) for mark in unique.values() if mark.id in struck and mark.kind in JUDGED}
    seen = presence(format, _where(opened) | {key: at for key, at in struck_out.items() if at is not None}, unique, struck)
    for window in opened.values():
        window.marks = with_repetitions(window.index, window.window, window.marks, clock.ruled)
    made = [_fold_window(format, opened.get(index), index, flags, verdicts) for index in range(len(format.windows))]
    windows, out = settled(format, made)
    flags += out
    order = known | {mark.id: mark.order for mark in unique.values()}
    flags = [flag for flag in [*waiting, *flags] if flag.mark in order]  # not what a ruling added: nobody marked that
    return Tally(
        windows=windows,
        stops=tuple(mark.id for mark in standing if mark.kind == "stop"),
        signed=_signed(standing),
        flags=tuple(sorted(set(flags), key=lambda flag: (order[flag.mark], flag.why))),
        struck=tuple(sorted(struck)),
        any_marks=is_judged(unique),
        seen=seen,
    )


def _strikes_on(marks: Mapping[str, Mark], target: Mark) -> list[Mark]:
    return [mark for mark in marks.values() if mark.kind == "strike" and mark.body["mark"] == target.id]


def _where(opened: Mapping[int, _Open]) -> dict[str, int]:
    """The window in which each mark counts."""
    return {mark.id: window.index for window in opened.values() for mark in window.marks}


def _unique(marks: Iterable[Mark]) -> dict[str, Mark]:
    """One mark per id. The store refuses a second mark under a used id; here the choice only has to be the same everywhere. Of
    one mark with two receipts the first receipt stands; one that is known goes before none, for what waits must not come to count
    by a copy that has forgotten when it came."""
    unique: dict[str, Mark] = {}
    for mark in marks:
        known = unique.get(mark.id)
        if known is None or (known is not mark and _canonical(mark) < _canonical(known)):
            unique[mark.id] = mark
    return unique


def _canonical(mark: Mark) -> tuple[Any, ...]:
    return (
        mark.order,
        mark.sheet,
        mark.kind,
        mark.err,
        -1 if mark.win is None else mark.win,
        repr(sorted(mark.body.items(), key=str)),
        mark.receipt.number if mark.receipt else inf,
    )


def _struck(unique: dict[str, Mark]) -> tuple[set[str], list[Flag]]:
    """What strike-outs strike. A strike-out can't be struck itself: to bring a mark back, it is made again."""
    struck: set[str] = set()
    flags: list[Flag] = []
    for mark in unique.values():
        if mark.kind == "strike":
            target = unique.get(mark.body["mark"])
            if target is None or target.kind == "strike":
                flags.append(Flag(mark.id, "strikes-nothing"))
            else:
                struck.add(target.id)
    return struck, flags


def _leave_one_tablet(opened: _Open, quiet_ms: int, flags: list[Flag]) -> None:
    extra = doubled(opened.marks, quiet_ms)
    if extra:
        flags.extend(Flag(mark, "second-tablet") for mark in extra)
        opened.marks = [mark for mark in opened.marks if mark.id not in extra]


def _fold_window(
    format: Format, opened: _Open | None, index: int, flags: list[Flag], verdicts: Mapping[str, Verdict]
) -> WindowTally:
    """What one window holds by itself; what runs over all of them is settled after."""
    if opened is None:
        return WindowTally(index)
    found = _fold_task(format, opened, index, flags, verdicts)
    return found if isinstance(opened.task, LiftTask) else replace(found, shares=_shares(opened))


def _fold_task(format: Format, opened: _Open, index: int, flags: list[Flag], verdicts: Mapping[str, Verdict]) -> WindowTally:
    marks, task, back = opened.marks, opened.task, opened.taken_back
    norep = sum(1 for mark in marks if mark.kind == "norep")
    if isinstance(task, LiftTask):
        found = fold_lifts(task, format.movements[task.movement], opened.window, marks, format.late_ms, verdicts, back)
        flags.extend(Flag(mark, why) for mark, why in found.odd)
        return _lift_window(index, task, norep, found)
    if isinstance(task, MeasureTask):
        return WindowTally(index, norep=norep, measure=_measure(task, marks, flags))
    reps = [mark for mark in marks if mark.kind == "rep"]
    if isinstance(task, ListTask):
        return _fold_list(opened, task, reps, norep, flags)
    _flag_fast(format.movements[task.movement].fastest_ms, reps, flags)
    return WindowTally(index, count=len(reps), norep=norep, marked=tuple(reps))


def _lift_window(index: int, task: LiftTask, norep: int, found: LiftWindow) -> WindowTally:
    return WindowTally(
        index,
        norep=norep,
        lifts=found.lifts,
        best=best_lift(found.lifts, task.times_reps),
        declaration=found.declaration,
        begun=found.begun,
        waiting=found.waiting,
        loaded=found.loaded,
        free_ms=found.free_ms,
    )


def _fold_list(opened: _Open, task: ListTask, reps: list[Mark], norep: int, flags: list[Flag]) -> WindowTally:
    worths = [item.worth for item in task.items for _ in range(item.reps)]
    taps = None if task.rounds is None else len(worths) * task.rounds
    credited = reps[:taps]
    flags.extend(Flag(mark.id, "beyond-list") for mark in reps[len(credited) :])
    times = tuple((mark.at, worths[i % len(worths)], member_of(opened.window, mark)) for i, mark in enumerate(credited))
    work = sum(worth for _, worth, _ in times)
    complete = taps is not None and len(credited) == taps
    finish = _finish(opened, credited, flags) if complete else None
    tapped = [mark for mark in opened.marks if mark.kind == "finish"]
    if not complete:
        flags.extend(Flag(mark.id, "finish-short") for mark in tapped)
    left = None if task.rounds is None else task.work_in_round * task.rounds - work
    done = WindowTally(opened.index, count=len(reps), norep=norep, credited=work, reps=times, finish_ms=finish, left=left)
    return replace(done, tapped=complete and bool(tapped))


def _finish(opened: _Open, credited: list[Mark], flags: list[Flag]) -> int:
    """When a list that is done was finished, since the window's start: by the finish that was marked, not before the last
    repetition; by that one where none was. At the bell at the latest."""
    last = credited[-1]
    first = next((mark for mark in opened.marks if mark.kind == "finish"), None)
    if first is None:
        flags.append(Flag(last.id, "finish-missing"))
    elif first.at < last.at:
        flags.append(Flag(first.id, "finish-before-work"))
    at = max(last.at, last.at if first is None else first.at)
    return min(at, opened.window.end_ms) - opened.window.start_ms


def _shares(opened: _Open) -> tuple[Share, ...]:
    """What of a window is whose, by member; last what is nobody's in particular. Its oddities are told with the whole."""
    mine: dict[int | None, list[Mark]] = {}
    for mark in opened.marks:
        mine.setdefault(member_of(opened.window, mark), []).append(mark)
    named = sorted(mine, key=lambda member: (member is None, member or 0))
    return tuple(share for member in named if (share := _share(opened.task, member, mine[member])) != Share(member))


def _share(task: Task, member: int | None, marks: list[Mark]) -> Share:
    kinds = [mark.kind for mark in marks]
    measure = _measure(task, marks, []) if isinstance(task, MeasureTask) else None
    return Share(member, kinds.count("rep"), kinds.count("norep"), measure)


def _measure(task: MeasureTask, marks: list[Mark], flags: list[Flag]) -> Fraction | None:
    values = []
    for mark in marks:
        if mark.kind != "measure":
            continue
        value = Fraction(mark.body["value"])
        if not task.low <= value <= task.high:
            flags.append(Flag(mark.id, "out-of-bounds"))
            continue
        stepped = round_to(value, task.step, Rounding(task.rounding))
        if stepped != value:
            flags.append(Flag(mark.id, "off-step"))
        values.append(stepped)
    if not values:
        return None
    match task.keep:
        case "best":
            return max(values)
        case "least":
            return min(values)
        case "sum":
            return sum(values, Fraction(0))
        case _:
            return values[-1]


def _flag_fast(fastest_ms: int | None, reps: list[Mark], flags: list[Flag]) -> None:
    if fastest_ms is not None:
        flags.extend(Flag(b.id, "fast") for a, b in pairwise(reps) if b.at - a.at < fastest_ms)


def _signed(standing: list[Mark]) -> tuple[tuple[str, str], ...]:
    latest: dict[str, str] = {}
    for mark in standing:
        if mark.kind == "sign":
            latest[mark.body["who"]] = mark.body.get("name", "")  # a file for everybody says that, not who
    return tuple(sorted(latest.items()))
