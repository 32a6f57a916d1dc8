"""What one window holds by itself, from its marks in order: made anew when they change, or one more where that is enough. What
runs over all windows is settled after (settling.py)."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from operator import attrgetter

from app.rules.count.fold_lifts import LiftWindow, best_lift, fold_lifts
from app.rules.count.lifting.verdicts import Verdict
from app.rules.count.one_tablet import doubled
from app.rules.count.ruled_marks import credited, on_repetitions, with_repetitions
from app.rules.count.settling import member_of
from app.rules.count.tally_shape import Flag, Share, WindowTally
from app.rules.records.kinds import JUDGED
from app.rules.records.marks import Mark
from app.rules.records.rulings import Ruling
from app.rules.values.units import Rounding, round_to
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Task, Window

IN_ORDER = attrgetter("order")


class OpenWindow:
    """One window of work. alone: its marks that stand by themselves, in order once it is settled. together, taken_back: the
    others, as they were last looked at. tally, flags, signs: what came of all of them, and the moments at which somebody judged;
    that is true while it is `fresh`."""

    def __init__(
        self, format: Format, index: int, ruled: Sequence[Ruling], verdicts: Mapping[str, Verdict], admitted: Collection[str] = ()
    ) -> None:
        self.index, self.window = index, format.windows[index]
        self.alone: list[Mark] = []
        self.together: list[Mark] = []
        self.taken_back: list[Mark] = []
        self.tally, self.flags, self.signs = WindowTally(index), list[Flag](), list[int]()
        self.fresh = False
        self._format, self._verdicts = format, verdicts
        self._ruled = on_repetitions(index, ruled)
        self._credited, self._admitted = credited(ruled), admitted
        self._counts = isinstance(format.tasks[self.window.task or ""], CountTask) and not self._ruled
        self._tablet: tuple[str, str] | None = None  # whose all of its marks are, where they are one tablet's

    def put(self, mark: Mark) -> list[Flag] | None:
        """Puts a mark that stands by itself. Where the window has added it up at once, what is odd about it; else None."""
        adds = self.fresh and self._counts and self._tablet == (mark.sheet, mark.device) and self.alone[-1].order < mark.order
        self.alone.append(mark)
        self.fresh = adds
        return self._add(mark) if adds else None

    def drop(self, marks: Collection[str]) -> None:
        """Takes marks that stand by themselves out again."""
        self.alone = [mark for mark in self.alone if mark.id not in marks]
        self.fresh = False

    def look(self, together: list[Mark], taken_back: list[Mark]) -> None:
        """Takes the marks that don't stand by themselves, both in order."""
        if together != self.together or taken_back != self.taken_back:
            self.together, self.taken_back, self.fresh = together, taken_back, False

    def settle(self) -> None:
        """Makes what it holds from all of its marks."""
        flags: list[Flag] = []
        self.alone.sort(key=IN_ORDER)
        marks = sorted([*self.alone, *self.together], key=IN_ORDER) if self.together else self.alone
        extra = doubled(marks, self._format.quiet_ms)
        flags.extend(Flag(mark, "second-tablet") for mark in extra)
        left = [mark for mark in marks if mark.id not in extra] if extra else marks
        tablets = {(mark.sheet, mark.device) for mark in marks}
        self._tablet = next(iter(tablets)) if len(tablets) == 1 else None
        self.signs = [mark.at for mark in left if mark.kind in JUDGED]
        counted = with_repetitions(self.index, self.window, left, self._ruled)
        placed = Placed(self.index, self.window, counted, self.taken_back, self._credited, self._admitted)
        made = fold_window(self._format, placed, flags, self._verdicts)
        self.tally = replace(made, ruled=True) if self._ruled else made
        self.flags, self.fresh = flags, True

    def _add(self, mark: Mark) -> list[Flag]:
        task = self._format.tasks[self.window.task or ""]
        assert isinstance(task, CountTask)
        before = self.tally.marked[-1] if self.tally.marked else None
        fast = mark.kind == "rep" and before and too_fast(self._format.movements[task.movement].fastest_ms, before, mark)
        odd = [Flag(mark.id, "fast")] if fast else []
        self.flags += odd
        self.signs.append(mark.at)
        self.tally = one_more(self.window, self.tally, mark)
        return odd


@dataclass(frozen=True, slots=True)
class Placed:
    """The marks that count in one window, in order; the declarations that were taken back there, with their strike-outs; the
    lifts that a ruling credits, and the marks that one lets count."""

    index: int
    window: Window
    marks: Sequence[Mark]
    taken_back: Sequence[Mark] = ()
    credited: Collection[str] = ()
    admitted: Collection[str] = ()


def fold_window(format: Format, placed: Placed, flags: list[Flag], verdicts: Mapping[str, Verdict]) -> WindowTally:
    """What a window of work holds; what is odd is added to the flags."""
    found, task = _fold_task(format, placed, flags, verdicts), format.tasks[placed.window.task or ""]
    return found if isinstance(task, LiftTask) else replace(found, shares=_shares(placed, task))


def _fold_task(format: Format, placed: Placed, flags: list[Flag], verdicts: Mapping[str, Verdict]) -> WindowTally:
    marks, task = placed.marks, format.tasks[placed.window.task or ""]
    norep = sum(1 for mark in marks if mark.kind == "norep")
    if isinstance(task, LiftTask):
        movement = format.movements[task.movement]
        beside = (verdicts, placed.taken_back, placed.credited, format.asked_load(placed.index), placed.admitted)
        found = fold_lifts(task, movement, placed.window, marks, format.late_ms, *beside)
        flags.extend(Flag(mark, why) for mark, why in found.odd)
        return _lift_window(placed.index, task, norep, found)
    if isinstance(task, MeasureTask):
        return WindowTally(placed.index, norep=norep, measure=_measure(task, marks, flags))
    reps = [mark for mark in marks if mark.kind == "rep"]
    if isinstance(task, ListTask):
        listed = _fold_list(placed, task, reps, norep, flags)
        listed = replace(listed, left=None) if format.has_no_end(placed.window.task or "") else listed
        return replace(listed, marked=tuple(reps)) if format.miss_puts_out else listed
    fastest = format.movements[task.movement].fastest_ms
    flags.extend(Flag(b.id, "fast") for a, b in pairwise(reps) if too_fast(fastest, a, b))
    moments = tuple((mark.at, 1, member_of(placed.window, mark)) for mark in reps)
    return WindowTally(placed.index, count=len(reps), norep=norep, marked=tuple(reps), reps=moments)


def one_more(window: Window, made: WindowTally, mark: Mark) -> WindowTally:
    """A window of counted repetitions with one more mark behind all of its own."""
    member = member_of(window, mark)
    if mark.kind == "norep":
        return replace(made, norep=made.norep + 1, shares=_with_share(made.shares, Share(member, 0, 1)))
    moment, shares = (mark.at, 1, member), _with_share(made.shares, Share(member, 1))
    return replace(made, count=made.count + 1, marked=(*made.marked, mark), reps=(*made.reps, moment), shares=shares)


def too_fast(fastest_ms: int | None, before: Mark, mark: Mark) -> bool:
    """Whether a repetition follows another faster than the movement is believed to allow."""
    return fastest_ms is not None and mark.at - before.at < fastest_ms


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
        since_ms=found.time.since_ms,
        since_off_ms=found.time.off_ms,
        attempt_seconds=found.time.seconds,
        coming=found.coming,
        comings=found.comings,
    )


def _fold_list(placed: Placed, task: ListTask, reps: list[Mark], norep: int, flags: list[Flag]) -> WindowTally:
    worths = [item.worth for item in task.items for _ in range(item.reps)]
    taps = None if task.rounds is None else len(worths) * task.rounds
    credited = reps[:taps]
    flags.extend(Flag(mark.id, "beyond-list") for mark in reps[len(credited) :])
    times = tuple((mark.at, worths[i % len(worths)], member_of(placed.window, mark)) for i, mark in enumerate(credited))
    work = sum(worth for _, worth, _ in times)
    complete = taps is not None and len(credited) == taps
    finish = _finish(placed, credited, flags) if complete else None
    tapped = [mark for mark in placed.marks if mark.kind == "finish"]
    if not complete:
        flags.extend(Flag(mark.id, "finish-short") for mark in tapped)
    left = None if task.rounds is None else task.work_in_round * task.rounds - work
    done = WindowTally(placed.index, count=len(reps), norep=norep, credited=work, reps=times, finish_ms=finish, left=left)
    return replace(done, tapped=complete and bool(tapped))


def _finish(placed: Placed, credited: list[Mark], flags: list[Flag]) -> int:
    """When a list that is done was finished, since the window's start: by the finish that was marked, not before the last
    repetition; by that one where none was. At the bell at the latest."""
    last = credited[-1]
    first = next((mark for mark in placed.marks if mark.kind == "finish"), None)
    if first is None:
        flags.append(Flag(last.id, "finish-missing"))
    elif first.at < last.at:
        flags.append(Flag(first.id, "finish-before-work"))
    at = max(last.at, last.at if first is None else first.at)
    return min(at, placed.window.end_ms) - placed.window.start_ms


def _shares(placed: Placed, task: Task) -> tuple[Share, ...]:
    """What of a window is whose, by member; last what is nobody's in particular. Its oddities are told with the whole."""
    mine: dict[int | None, list[Mark]] = {}
    for mark in placed.marks:
        mine.setdefault(member_of(placed.window, mark), []).append(mark)
    shares = (_share(task, member, mine[member]) for member in mine)
    return tuple(sorted((share for share in shares if share != Share(share.member)), key=_by_member))


def _share(task: Task, member: int | None, marks: list[Mark]) -> Share:
    kinds = [mark.kind for mark in marks]
    measure = _measure(task, marks, []) if isinstance(task, MeasureTask) else None
    return Share(member, kinds.count("rep"), kinds.count("norep"), measure)


def _with_share(shares: Sequence[Share], more: Share) -> tuple[Share, ...]:
    """The shares of counted work with one mark more."""
    held = next((one for one in shares if one.member == more.member), Share(more.member))
    grown = Share(more.member, held.count + more.count, held.norep + more.norep)
    return tuple(sorted([*(one for one in shares if one is not held), grown], key=_by_member))


def _by_member(share: Share) -> tuple[bool, int]:
    return share.member is None, share.member or 0


def _measure(task: MeasureTask, marks: Sequence[Mark], flags: list[Flag]) -> Fraction | None:
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
