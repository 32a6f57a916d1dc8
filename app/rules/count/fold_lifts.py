"""The marks of a lift window as attempts: a declaration, the tries under it, the bar racked; which tries count, and for how much.

static/js/rules/lifts.js is its twin.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from app.rules.count.lift_floor import walk
from app.rules.count.lifting.bars import AttemptTime, Bar, Try
from app.rules.count.lifting.judged import LiftTally, Tried, judged
from app.rules.count.lifting.next_attempt import NextAttempt
from app.rules.count.lifting.verdicts import Verdict
from app.rules.count.lifting.window import Floor, Odd
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load
from app.rules.workout.formats import LiftTask, Movement, Window
from app.rules.workout.misload import Misload


@dataclass(frozen=True, slots=True)
class LiftWindow:
    """A lift window added up: its tries in order; the declaration that stands; the mark of the bar leaving its rack, while it is
    out; the declaration that waits for the bar; what was said to be on the bar of the one that stands; since when the bar has
    been free, in ms on the heat clock; the time of the attempt that stands; what the next declaration at that bar is for; the
    same of each member who declared or lifted; what is odd, and why."""

    lifts: tuple[LiftTally, ...]
    declaration: str | None
    begun: str | None
    waiting: str | None
    loaded: Load | None
    free_ms: int
    time: AttemptTime
    coming: NextAttempt
    comings: tuple[tuple[int, NextAttempt], ...]
    odd: Odd


def fold_lifts(
    task: LiftTask,
    movement: Movement,
    window: Window,
    marks: Sequence[Mark],
    late_ms: int = 1000,
    verdicts: Mapping[str, Verdict] = MappingProxyType({}),
    taken_back: Sequence[Mark] = (),
    credited: Collection[str] = (),
    asked: Load | None = None,
    admitted: Collection[str] = (),
) -> LiftWindow:
    """Folds the marks of one window, which come in order; `verdicts`, `credited` and `asked` as in judged.Tried,
    `taken_back` as in lift_floor.walk; `admitted`: marks that a ruling lets count.

    A rule of the event makes a try not count; a doubt (no declaration, another load than declared, off the step) is only flagged,
    for the judge saw the lift.
    """
    floor = Floor(task, window, late_ms, verdicts, credited, asked, admitted=admitted)
    floor = walk(floor, [_decided(mark, verdicts) for mark in marks], taken_back)
    found, odd = judged(floor), list(floor.odd)
    for one, had in zip(floor.tries, found, strict=True):
        odd.extend((one.mark.id, why) for why in [*_doubts(floor, movement, one, had.wrong), *had.doubtful, *had.broken])
        if had.lift.doubt is not None:
            odd.append((one.mark.id, f"judges-{had.lift.doubt}"))
    lifts, bar = tuple(had.lift for had in found), floor.newest()
    said = floor.loaded.get(bar.standing.id) if bar.standing else None
    return LiftWindow(
        lifts=lifts,
        declaration=bar.standing.id if bar.standing else None,
        begun=bar.out.id if bar.out else None,
        waiting=bar.waiting.id if bar.waiting else None,
        loaded=body_load(said.body) if said else None,
        free_ms=bar.free.at,
        time=floor.time_of(bar, bar.standing),
        coming=_newest_coming(floor, bar, lifts),
        comings=tuple((who, floor.coming(floor.bar(who), who)) for who in sorted(filter(None, floor.turns))),
        odd=odd,
    )


def _newest_coming(floor: Floor, bar: Bar, lifts: Sequence[LiftTally]) -> NextAttempt:
    """What the next declaration is for, of whoever lifted last or stands at the bar."""
    last = lifts[-1] if lifts else None
    return floor.coming(bar, last.member if last else floor.member(bar.standing) if bar.standing else None)


def _decided(mark: Mark, verdicts: Mapping[str, Verdict]) -> Mark:
    """A lift as the judges together decided it."""
    ruled = verdicts.get(mark.id)
    if ruled is None or mark.kind != "lift" or ruled.good == mark.body["good"]:
        return mark
    return replace(mark, body={**mark.body, "good": ruled.good})


def best_lift(lifts: Sequence[LiftTally], times_reps: bool) -> LiftTally | None:
    """The best good lift that counts: the heaviest (times its repetitions if the task says so), then the earliest."""
    good = [lift for lift in lifts if lift.good and lift.counts]
    return min(good, key=lambda lift: (-lift.value(times_reps), lift.at, lift.mark), default=None)


def _doubts(tried: Tried, movement: Movement, one: Try, wrong: Misload | None) -> Iterator[str]:
    task, load = tried.task, wrong.actual if wrong else body_load(one.mark.body)
    if one.under is None:
        yield "no-declaration"
    if wrong is not None:
        yield "loaded-wrong" if tried.told(one) else "load-differs"
        if wrong.again:
            yield "misload-again"
        elif wrong.open:
            yield "misload-choose"
    if one.racked:
        yield "after-rack"
    if load < task.bar:
        yield "below-bar"
    record = bool(one.under and one.under.body.get("record"))
    if record and task.record_step is None:
        yield "no-records"
    step = task.record_step if record and task.record_step else task.step
    if not task.loads and load.kg % step.kg != 0 and (wrong is None or wrong.load.kg % step.kg != 0):
        yield "off-step"
    if movement.heaviest is not None and load > movement.heaviest:
        yield "heavy"
