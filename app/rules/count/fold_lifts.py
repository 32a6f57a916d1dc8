"""The marks of a lift window as attempts: a declaration, the tries under it, the bar racked; which tries count, and for how much.

static/js/rules/lifts.js is its twin.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

from app.rules.count.lift_floor import Floor, Odd, walk
from app.rules.count.lifting.bars import AttemptTime, Bar, Try
from app.rules.count.lifting.next_attempt import NextAttempt, automatic
from app.rules.count.verdicts import Doubt, Lights, Verdict
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load
from app.rules.workout.formats import LiftTask, Movement, Window
from app.rules.workout.misload import Misload


@dataclass(frozen=True, slots=True)
class LiftTally:
    """One try: the mark that judged it, the declaration it was made under, the load that counts, and whether it may count.

    asked: the load declared and on_bar: the load really lifted, each where it is another one than `load`. again: void because the
    bar was loaded wrong. begun: the mark of the bar leaving its rack. racked: the bar of its declaration was racked in the end.
    lights: the decisions of several judges, lane judge first, None where one has not decided; empty where one judge decides.
    doubt: what is still open about them, see rules/count/verdicts.py. out: it does not count because its lifter was out, of a
    load that grows (settling.py).
    """

    mark: str
    declared: str | None
    load: Load
    reps: int
    good: bool
    fault: str | None
    member: int | None
    at: int
    counts: bool
    asked: Load | None = None
    on_bar: Load | None = None
    again: bool = False
    begun: str | None = None
    racked: bool = False
    lights: Lights = ()
    doubt: Doubt | None = None
    out: bool = False

    def value(self, times_reps: bool) -> Fraction:
        """What the try is worth in kilograms: its load, or its load times its repetitions."""
        return self.load.kg * self.reps if times_reps else self.load.kg


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


@dataclass(slots=True)
class _Lifter:
    """What a member has done so far in the window."""

    tries: dict[str, int] = field(default_factory=dict)
    heaviest: Load | None = None
    best: Load | None = None
    missed: int = 0  # one after another, until now


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
    """Folds the marks of one window, which come in order; `verdicts` are those of several judges, by the mark of the try;
    `taken_back` as in lift_floor.walk; `credited`: the tries that a ruling calls good, whatever a clock said of them;
    `asked`: the load that must be lifted there at least, of one that grows; `admitted`: marks that a ruling lets count.

    A rule of the event (attempts, one try, no going down, the least increase, the time of an attempt), kept for each member,
    makes a try not count; a doubt (no declaration, another load than declared, off the step) is only flagged, for the judge saw
    the lift.
    """
    floor = walk(task, window, [_decided(mark, verdicts) for mark in marks], taken_back, late_ms, admitted)
    lifters: dict[int | None, _Lifter] = {}
    lifts, odd = [], list(floor.odd)
    for one in floor.tries:
        lifter = lifters.setdefault(one.member, _Lifter())
        wrong = floor.misload(one)
        broken = [] if wrong and wrong.again else list(_broken(floor, one, lifter, late_ms, one.mark.id in credited))
        if asked is not None and (wrong.load if wrong else body_load(one.mark.body)) < asked:
            broken.append("below-asked")
        odd.extend((one.mark.id, why) for why in [*_doubts(floor, movement, one, wrong), *broken])
        ruled = verdicts.get(one.mark.id)
        if ruled is not None and ruled.doubt is not None:
            odd.append((one.mark.id, f"judges-{ruled.doubt}"))
        waiting = ruled is not None and ruled.doubt == "waiting"
        lift = _lift(floor, one, wrong, not broken and not waiting and not (wrong and wrong.again), ruled)
        if not lift.again:
            lifter.heaviest = lift.load if lifter.heaviest is None else max(lifter.heaviest, lift.load)
        if not lift.again and not waiting and "below-asked" not in broken:
            lifter.missed = 0 if lift.good and lift.counts else lifter.missed + 1
        if lift.good and lift.counts:
            lifter.best = lift.load if lifter.best is None else max(lifter.best, lift.load)
        lifts.append(lift)
    bar = floor.newest()
    said = floor.loaded.get(bar.standing.id) if bar.standing else None
    return LiftWindow(
        lifts=tuple(lifts),
        declaration=bar.standing.id if bar.standing else None,
        begun=bar.out.id if bar.out else None,
        waiting=bar.waiting.id if bar.waiting else None,
        loaded=body_load(said.body) if said else None,
        free_ms=bar.free_ms,
        time=floor.time_of(bar, bar.standing),
        coming=_newest_coming(floor, bar, lifts, lifters),
        comings=tuple((who, _coming(floor, floor.bar(who), who, lifts, lifters)) for who in sorted(filter(None, floor.turns))),
        odd=odd,
    )


def _newest_coming(floor: Floor, bar: Bar, lifts: Sequence[LiftTally], lifters: Mapping[int | None, _Lifter]) -> NextAttempt:
    """What the next declaration is for, of whoever lifted last or stands at the bar."""
    last = lifts[-1] if lifts else None
    member = last.member if last else floor.member(bar.standing) if bar.standing else None
    return _coming(floor, bar, member, lifts, lifters)


def _coming(
    floor: Floor, bar: Bar, member: int | None, lifts: Sequence[LiftTally], lifters: Mapping[int | None, _Lifter]
) -> NextAttempt:
    """What a member's next declaration is for. The rule puts a load in only when the try before is decided, and not for who is
    out; the load follows from what came of that try."""
    task, last = floor.task, next((one for one in reversed(lifts) if one.member == member), None)
    coming = floor.coming(bar, member)
    if coming.auto is None or last is None:
        return coming
    lifter = lifters[member]
    if last.doubt == "waiting" or task.loads or (task.misses_out is not None and lifter.missed >= task.misses_out):
        return replace(coming, auto=None, due_ms=None)
    good = last.good and last.counts
    return replace(coming, auto=automatic(task, last.load if good else last.asked or last.load, good))


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


def _lift(floor: Floor, one: Try, wrong: Misload | None, counts: bool, ruled: Verdict | None) -> LiftTally:
    mark, under = one.mark, one.under
    said = body_load(mark.body)
    asked = body_load(under.body) if under else said
    load = wrong.load if wrong else said
    return LiftTally(
        mark=mark.id,
        declared=under.id if under else None,
        load=load,
        reps=mark.body.get("reps", 1),
        good=mark.body["good"],
        fault=mark.body.get("fault"),
        member=one.member,
        at=mark.at,
        counts=counts,
        asked=asked if wrong and asked != load else None,
        on_bar=wrong.actual if wrong and wrong.actual != load else None,
        again=bool(wrong and wrong.again),
        begun=mark.body.get("begun") or (one.begun.id if one.begun else None),
        racked=one.attempt in floor.racked,
        lights=ruled.lights if ruled else (),
        doubt=ruled.doubt if ruled else None,
    )


def _doubts(floor: Floor, movement: Movement, one: Try, wrong: Misload | None) -> Iterator[str]:
    task, load = floor.task, wrong.actual if wrong else body_load(one.mark.body)
    if one.under is None:
        yield "no-declaration"
    if wrong is not None:
        yield "load-differs" if one.under and one.under.id not in floor.loaded else "loaded-wrong"
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


def _broken(floor: Floor, one: Try, lifter: _Lifter, late_ms: int, credited: bool) -> Iterator[str]:
    task, attempt = floor.task, one.attempt
    first = attempt not in lifter.tries
    lifter.tries[attempt] = lifter.tries.get(attempt, 0) + 1
    if task.attempts is not None and list(lifter.tries).index(attempt) >= task.attempts:
        yield "attempt-over"
    if task.misses_out is not None and lifter.missed >= task.misses_out:
        yield "put-out"
    if not task.tries_until_racked and lifter.tries[attempt] > 1:
        yield "second-try"
    asked = body_load((one.under or one.mark).body)
    if not task.may_go_down and lifter.heaviest is not None and asked < lifter.heaviest:
        yield "went-down"
    if first and _too_small(task, one, asked, lifter):
        yield "small-increase"
    if first and not credited and _out_of_time(one, late_ms):
        yield "attempt-late"
    placed = credited and one.mark.at < floor.window.end_ms  # a ruling said at which moment it is to be counted
    if one.begun is not None and not placed and task.counts_when == "begun" and one.begun.at >= floor.window.end_ms + late_ms:
        yield "begun-late"


def _too_small(task: LiftTask, one: Try, asked: Load, lifter: _Lifter) -> bool:
    """After a good lift the next load is heavier by the least increase at least; an equal load is no increase unless loads may
    also go down. A record attempt may be nearer, by its own step."""
    least = task.step_after_good
    if one.under is not None and one.under.body.get("record") and task.record_step is not None:
        least = task.record_step if least is not None else None
    if least is None or lifter.best is None or asked < lifter.best or (asked == lifter.best and task.may_go_down):
        return False
    return asked.kg < lifter.best.kg + least.kg


def _out_of_time(one: Try, late_ms: int) -> bool:
    """Whether the bar left its rack after the time of the attempt, with the same grace as at a bell. What was begun in time
    counts whenever it ends."""
    since, seconds = one.time.since_ms, one.time.seconds
    if since is None or seconds is None or one.begun is None:
        return False
    return one.begun.at >= since + seconds * 1000 + late_ms
