"""The attempt that a lifter's next declaration is for: what stands for it, how often that was changed, what the rule of the event
puts in where nobody declares in time, and why a declaration may not stand.

All of it follows from the marks of one sheet, so every device says the same. Time comes in with what is asked about: a mark's
own, or the moment at which somebody would declare. Whether that was too late is known to within the clocks' bounds
(in_time.py): a declaration that may have been in time stands, and is flagged.
static/js/rules/lifting/next_attempt.js is the twin.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal, get_args

from app.rules.count.lifting.bars import Said, Try
from app.rules.count.lifting.in_time import GO, Past, past_end
from app.rules.count.lifting.judged import LiftTally
from app.rules.records.marks import body_load
from app.rules.values.units import MOST_LOAD_KG, Load, Rounding, decimal_text, round_to
from app.rules.workout.formats import LiftTask

# Why a declaration may not stand, each the key of a flag (count/flags.py) and of a sentence (refused.… in the catalogue).
Refusal = Literal["opener-late", "changes-over", "change-late", "change-lower"]
REFUSALS: tuple[Refusal, ...] = get_args(Refusal)
Doubtful = Literal["opener-doubt", "change-doubt"]  # of one that stands, each the key of a flag as well
# What a time is held against a declaration for: that it was over, or that it may have been.
OVER: frozenset[Past] = frozenset({"past"})
PERHAPS: frozenset[Past] = frozenset({"past", "doubt"})
FINEST = Fraction(1, 10_000)  # of a load's unit


@dataclass(frozen=True, slots=True)
class NextAttempt:
    """What a declaration made now is for.

    number: the attempt, from 1 on. load: what was declared for it, None for nothing. own: somebody declared it, not the rule
    alone. changes: how often it was changed. auto: the load that stands from due_ms on where nobody declares, both None where no
    rule puts one in; over: when the attempt before was over. since_ms, seconds: the attempt's clock, None where it does not run;
    told: the moments of which the latest began it. follows: whoever is called follows their own attempt. again: the load asked
    for of a try that is made again, None for none. All moments in ms on the heat clock.
    """

    number: int = 1
    load: Load | None = None
    own: bool = False
    changes: int = 0
    auto: Load | None = None
    due_ms: int | None = None
    over: Said | None = None
    since_ms: int | None = None
    seconds: int | None = None
    told: tuple[Said, ...] = ()
    follows: bool = False
    again: Load | None = None

    def overdue(self, at: int, late_ms: int) -> bool:
        """Whether the time to declare was over by then. Where it is over at once, the rule's load stands until somebody
        declares, which is no change."""
        return self.auto is not None and self.due_ms is not None and at >= self.due_ms + late_ms

    @property
    def stands(self) -> Load | None:
        """What is lifted if nobody says another thing."""
        return self.load or self.auto


def is_change(task: LiftTask, coming: NextAttempt, at: Said, late_ms: int, late: frozenset[Past] = OVER) -> bool:
    """Whether a declaration made then changes what stands: one that somebody made, or the rule's once the time to declare is
    over."""
    if coming.own or not task.declare_seconds or coming.auto is None or coming.over is None:
        return coming.own
    return past_end(at, (coming.over,), task.declare_seconds * 1000 + late_ms) in late


def refused(
    task: LiftTask, start_ms: int, coming: NextAttempt, load: Load, at: Said, late_ms: int, late: frozenset[Past] = OVER
) -> Refusal | None:
    """Why the event's rules do not let a load stand that is declared at a moment of the heat clock; None where they do.
    start_ms: when the lift's window opens; late_ms: the grace of a bell, which a tap in time has here too; late: what a time is
    held against it for. To say again what stands is always allowed; so is the load that was asked for, where the bar was loaded
    wrong and the lift is made again (at the weight asked for: International Powerlifting Federation, on errors in loading, read
    second-hand)."""
    if load in (coming.stands, coming.again):
        return None
    if not is_change(task, coming, at, late_ms, late):
        return "change-late" if _too_little_left(task, coming, at, late_ms, late) else None
    opener = coming.number == 1
    most = changes_allowed(task, coming.number)
    if opener and _opener_over(task, start_ms, at, late_ms, late):
        return "opener-late"
    if most is not None and coming.changes >= most:
        return "changes-over"
    if _too_little_left(task, coming, at, late_ms, late):
        return "change-late"
    lowers = coming.stands is not None and load < coming.stands
    if lowers and (task.lower_change == "never" or (task.lower_change == "opener" and not opener)):
        return "change-lower"
    return None


def doubtful(task: LiftTask, start_ms: int, coming: NextAttempt, load: Load, at: Said, late_ms: int) -> Doubtful | None:
    """What is open about a declaration that stands: the clocks can't tell whether it came in time. None where nothing is."""
    why = refused(task, start_ms, coming, load, at, late_ms, PERHAPS)
    return None if why is None else "opener-doubt" if why == "opener-late" else "change-doubt"


def changes_allowed(task: LiftTask, number: int) -> int | None:
    """How often the load of an attempt may be changed, None for as often as one likes."""
    if number == 1 and task.opener_changes is not None:
        return task.opener_changes
    if number == task.attempts and task.last_changes is not None:
        return task.last_changes
    return task.changes


def _opener_over(task: LiftTask, start_ms: int, at: Said, late_ms: int, late: frozenset[Past]) -> bool:
    """Whether an opener may be changed no more. Before GO it may: what is declared then is marked at 0, whatever the clock."""
    if task.opener_seconds is None or at.at <= 0:
        return False
    until = max(0, start_ms - task.opener_seconds * 1000 + late_ms)
    return past_end(at, (GO,), until + 1) in late


def _too_little_left(task: LiftTask, coming: NextAttempt, at: Said, late_ms: int, late: frozenset[Past]) -> bool:
    """Whether the attempt's clock runs and has less left than a change needs. Who follows themselves has until an earlier moment
    for their first word, where the event has it so."""
    needs = task.change_left_seconds
    if coming.follows and not coming.own and task.follow_left_seconds is not None:
        needs = task.follow_left_seconds
    if needs is None or coming.since_ms is None or coming.seconds is None:
        return False
    return past_end(at, coming.told, (coming.seconds - needs) * 1000 + late_ms + 1) in late


def automatic(task: LiftTask, lifted: Load, good: bool) -> Load:
    """The load of the next attempt by the rule: the same after a miss; after a good lift heavier by the automatic step, else by
    the least increase, else by the least step."""
    return _heavier(lifted, task.auto_step or task.step_after_good or task.step) if good else lifted


def _heavier(lifted: Load, step: Load) -> Load:
    """A load that is heavier by a step of another unit is rounded up: rounded down it would be too small an increase."""
    if lifted.kg + step.kg > MOST_LOAD_KG:
        return lifted
    more = lifted.in_unit(lifted.unit) + step.in_unit(lifted.unit)
    return Load(decimal_text(-round_to(-more, FINEST, Rounding.DOWN)), lifted.unit)


def least_that_counts(task: LiftTask, lifts: Iterable[LiftTally], load: Load, record: bool) -> Load | None:
    """What a lifter must declare at least after their lifts, where a load would not count: it is less than was tried, or too near
    to a good lift, as both are judged (judged.py). None where it may count. So it comes to be where a lift is ruled good after
    the next load was declared."""
    tried = [lift for lift in lifts if not lift.again]
    best = max((lift.load for lift in tried if lift.good and lift.counts), default=None)
    step = (task.record_step if record and task.record_step else task.step_after_good) if task.step_after_good else None
    wanted = [] if task.may_go_down else [lift.load for lift in tried]
    if best is not None and step is not None and not (task.may_go_down and load <= best):
        wanted.append(_heavier(best, step))
    least = max(wanted, default=load)
    return least if load < least else None


@dataclass(frozen=True, slots=True)
class Declared:
    """A declaration that stands: its load, whether it is somebody's own and whether it changes what stood, as all was told then;
    whether the bar was out, so that it is for the attempt after."""

    load: Load
    own: bool
    change: bool
    out: bool


@dataclass(frozen=True, slots=True)
class Over:
    """The attempt of a try was over at a moment of the heat clock."""

    one: Try
    at: Said


@dataclass(slots=True)
class Turns:
    """A lifter's attempts: what was declared and which tries ended one, as the marks of a window come in order. What they come to
    is asked anew each time, for that a bar was loaded wrong is often told after the try, or when the next is declared already."""

    steps: list[Declared | Over] = field(default_factory=list)

    def declared(self, about: NextAttempt, load: Load, by_rule: bool, change: bool, out: bool) -> None:
        """A declaration stands for the attempt that comes, or while the bar is `out` for the one after. about: what it was made
        for; by_rule: it says no more than the rule's own load; change: it changes what stood."""
        own = not (by_rule and about.auto == load)
        self.steps.append(Declared(load, own, change and load not in (about.stands, about.again), out))

    def told(self, void: Callable[[Try], bool]) -> tuple[NextAttempt, NextAttempt, Over | None]:
        """The attempt that comes, the one after it (which is declared while the bar is out), and what ended the attempt before,
        None before any. void: whether a try is none, so that its attempt comes again; what was declared meanwhile stands for it,
        as it does at the bar, until the lifter goes back to the load that was asked for. So do its changes: they may be more than
        one attempt allows, and then no further one is. A further try under a declaration whose attempt is over ends none."""
        now, then, before = NextAttempt(), NextAttempt(2), None
        ended: set[str] = set()
        for step in self.steps:
            if isinstance(step, Declared):
                now, then = (now, _with(then, step)) if step.out else (_with(now, step), then)
            elif step.one.attempt in ended:
                continue
            elif not void(step.one):
                ended.add(step.one.attempt)
                now, before = then, step
                then = NextAttempt(now.number + 1)
            else:
                now = replace(now, again=body_load(step.one.under.body) if step.one.under else None)
                if then.load is not None:
                    now = replace(now, load=then.load, own=then.own, changes=now.changes + then.changes)
                    then = NextAttempt(now.number + 1)
        return now, then, before


def _with(about: NextAttempt, said: Declared) -> NextAttempt:
    return replace(about, load=said.load, own=about.own or said.own, changes=about.changes + said.change)
