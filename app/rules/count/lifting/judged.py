"""The tries of a lift window as the event's rules judge them, each by what came before it and by what is told of its bar so far.

Asked again whenever more is told: while the marks come in, for the load that the rule puts in after a try, and in the end.
static/js/rules/lifting/judged.js is the twin.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from app.rules.count.lifting.bars import Try
from app.rules.count.lifting.in_time import DOUBTS, Lateness, lateness
from app.rules.count.lifting.verdicts import Doubt, Lights, Verdict
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load
from app.rules.workout.formats import LiftTask, Window
from app.rules.workout.misload import Misload, misload


@dataclass(frozen=True, slots=True)
class LiftTally:
    """One try: the mark that judged it, the declaration it was made under, the load that counts, and whether it may count.

    asked: the load declared and on_bar: the load really lifted, each where it is another one than `load`. again: void because the
    bar was loaded wrong. begun: the mark of the bar leaving its rack. racked: the bar of its declaration was racked in the end.
    lights: the decisions of several judges, lane judge first, None where one has not decided; empty where one judge decides.
    doubt: what is still open about them, see verdicts.py. out: it does not count because its lifter was out, of a load that grows
    (settling.py).
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

    @property
    def attempt(self) -> str:
        """Which attempt it was: tries under one declaration are one."""
        return self.declared or self.mark

    def value(self, times_reps: bool) -> Fraction:
        """What the try is worth in kilograms: its load, or its load times its repetitions."""
        return self.load.kg * self.reps if times_reps else self.load.kg


def attempts_used(lifts: Iterable[LiftTally]) -> int:
    """How many attempts some tries used: several under one declaration are one, one that is made again is none."""
    return len({lift.attempt for lift in lifts if not lift.again})


@dataclass(slots=True)
class Tried:
    """What the tries of a window are judged by: its rules; the tries in order, what was said to be on the bar by declaration,
    which declarations' bars were racked; and what was decided elsewhere: the `verdicts` of several judges, by the mark of the
    try; `credited`: the tries that a ruling calls good, whatever a clock said of them; `asked`: the load that must be lifted at
    least, of one that grows. late_ms: the grace of a bell."""

    task: LiftTask
    window: Window
    late_ms: int = 1000
    verdicts: Mapping[str, Verdict] = field(default_factory=dict)
    credited: Collection[str] = ()
    asked: Load | None = None
    tries: list[Try] = field(default_factory=list)
    pressed: dict[str, list[str]] = field(default_factory=dict)
    loaded: dict[str, Mark] = field(default_factory=dict)
    racked: set[str] = field(default_factory=set)

    def leaving(self, mark: str) -> str:
        """Of the marks that say of one leaving of a rack that it was, the last: it stands for all of them. Two tablets of a seat
        may both have said it, the one not knowing of the other."""
        return self.pressed.get(mark, [mark])[-1]

    def told(self, one: Try) -> Mark | None:
        """What was said to be on the bar of a try."""
        return one.loaded if one.apart or one.under is None else self.loaded.get(one.under.id)

    def misload(self, one: Try) -> Misload | None:
        """What the event's rule makes of another load than declared, or of uneven ends, by what is told of the bar so far; None
        where it was right."""
        if one.under is None:
            return None
        said = self.told(one)
        asked, actual = body_load(one.under.body), body_load((said or one.mark).body)
        uneven = bool(said and said.body.get("uneven"))
        if actual == asked and not uneven:
            return None
        keep = said.body.get("keep") if said else None
        return misload(self.task.misload, self.task.step, asked, actual, uneven, one.mark.body["good"], keep)

    def void(self, one: Try) -> bool:
        """Whether a try is none, by what is told so far: the bar was loaded wrong, and it is made again."""
        wrong = self.misload(one)
        return wrong is not None and wrong.again


@dataclass(frozen=True, slots=True)
class Judged:
    """One try: what it comes to; what was wrong with its bar; which rules of the event it breaks and which it may break, if the
    clocks are off by as much as they may be, each the key of a flag; whether misses have put its lifter out."""

    lift: LiftTally
    wrong: Misload | None
    broken: tuple[str, ...]
    doubtful: tuple[str, ...]
    out: bool


@dataclass(slots=True)
class Lifter:
    """What a member has done so far in the window."""

    tries: dict[str, int] = field(default_factory=dict)
    heaviest: Load | None = None
    best: Load | None = None
    missed: int = 0  # one after another, until now


def judged(tried: Tried) -> list[Judged]:
    """The tries so far, in order.

    A rule of the event (attempts, one try, no going down, the least increase, the time of an attempt), kept for each member,
    makes a try not count. A try that is made again because the bar was loaded wrong is none.
    """
    lifters: dict[int | None, Lifter] = {}
    return [_judged(tried, one, lifters.setdefault(one.member, Lifter())) for one in tried.tries]


def _judged(tried: Tried, one: Try, lifter: Lifter) -> Judged:
    wrong = tried.misload(one)
    again = wrong is not None and wrong.again
    late = () if again else tuple(_lateness(tried, one, lifter))
    broken = () if again else (*_broken(tried, one, wrong, lifter), *(why for why in late if why not in DOUBTS))
    ruled = tried.verdicts.get(one.mark.id)
    waiting = ruled is not None and ruled.doubt == "waiting"
    lift = _lift(tried, one, wrong, not (broken or waiting or again), ruled)
    if not again:
        lifter.heaviest = lift.load if lifter.heaviest is None else max(lifter.heaviest, lift.load)
    if not again and not waiting and "below-asked" not in broken:
        lifter.missed = 0 if lift.good and lift.counts else lifter.missed + 1
    if lift.good and lift.counts:
        lifter.best = lift.load if lifter.best is None else max(lifter.best, lift.load)
    most = tried.task.misses_out
    counts = lift.good and lift.counts  # nothing rests on a miss, nor on a try that waits or that a rule keeps out
    doubtful = tuple(why for why in late if why in DOUBTS and counts)
    return Judged(lift, wrong, broken, doubtful, most is not None and lifter.missed >= most)


def _lateness(tried: Tried, one: Try, lifter: Lifter) -> Iterator[Lateness]:
    first, credited = one.attempt not in lifter.tries, one.mark.id in tried.credited
    return lateness(tried.task, tried.window, tried.late_ms, one, first, credited)


def _lift(tried: Tried, one: Try, wrong: Misload | None, counts: bool, ruled: Verdict | None) -> LiftTally:
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
        begun=tried.leaving(left) if (left := left_by(mark, one.begun)) is not None else None,
        racked=one.apart or one.attempt in tried.racked,
        lights=ruled.lights if ruled else (),
        doubt=ruled.doubt if ruled else None,
    )


def left_by(mark: Mark, out: Mark | None) -> str | None:
    """Which leaving of its rack a decision is about: the one that it names, else by which the bar was out."""
    return mark.body.get("begun") or (out.id if out else None)


def _broken(tried: Tried, one: Try, wrong: Misload | None, lifter: Lifter) -> Iterator[str]:
    task, attempt = tried.task, one.attempt
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
    if tried.asked is not None and (wrong.load if wrong else body_load(one.mark.body)) < tried.asked:
        yield "below-asked"


def _too_small(task: LiftTask, one: Try, asked: Load, lifter: Lifter) -> bool:
    """After a good lift the next load is heavier by the least increase at least; an equal load is no increase unless loads may
    also go down. A record attempt may be nearer, by its own step."""
    least = task.step_after_good
    if one.under is not None and one.under.body.get("record") and task.record_step is not None:
        least = task.record_step if least is not None else None
    if least is None or lifter.best is None or asked < lifter.best or (asked == lifter.best and task.may_go_down):
        return False
    return asked.kg < lifter.best.kg + least.kg
