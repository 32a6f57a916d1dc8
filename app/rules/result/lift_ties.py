"""What the lifts of a score say where scores are equal: when the last of the best was made, after how many attempts and misses.
Who of two heats made it first is told by when their GOs were, for each heat's clock begins at its own.

Of each value that the score takes, the best lift is asked that made it: of equal ones the first.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from app.rules.count.fold_lifts import best_lift
from app.rules.count.lifting.judged import LiftTally, attempts_used
from app.rules.count.sheets import ruled_sheets
from app.rules.count.tally import WindowTally
from app.rules.records.document import Run
from app.rules.records.holding import since_go
from app.rules.records.marks import sheet_key
from app.rules.records.roster import Event, Roster
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Format, LiftTask


@dataclass(frozen=True)
class Making:
    """A lift that made a value of a score, and all tries by its lifter in its window that were not void, in order."""

    lift: LiftTally
    tries: tuple[LiftTally, ...]

    @cached_property
    def before(self) -> tuple[LiftTally, ...]:
        """The tries before it."""
        return self.tries[: next(n for n, one in enumerate(self.tries) if one.mark == self.lift.mark)]

    def attempt(self) -> int:
        """Which attempt it was, from 1: tries under one declaration are one."""
        return attempts_used((*self.before, self.lift))

    def previous(self) -> tuple[Fraction, ...]:
        """The loads in kg of the attempts before it, the last one first; tries under one declaration are one."""
        loads = {one.attempt: one.load.kg for one in self.before if one.attempt != self.lift.attempt}
        return tuple(reversed(loads.values()))

    def tries_at_its_load(self) -> int:
        """How many tries at its load it took, itself among them."""
        return 1 + sum(1 for one in self.before if one.load == self.lift.load)

    def misses(self) -> int:
        """How many tries before it were no good lift, or did not count."""
        return sum(1 for one in self.before if not (one.good and one.counts))


Asked = Callable[[Making], int]


def making(task: LiftTask, window: WindowTally, member: int | None, own: bool) -> Making | None:
    """The lift that made what is taken of a window, None where there is none. own: of that member alone."""
    lifts = tuple(one for one in window.lifts if not one.again and (not own or one.member == member))
    best = best_lift(lifts, task.times_reps)
    return None if best is None else Making(best, tuple(one for one in lifts if one.member == best.member))


def asked_of(found: Iterator[Making | None], asked: Asked) -> tuple[int, ...] | None:
    """What is asked of each lift that made the score; None where there is no lift, or one of them is missing."""
    lifts = list(found)
    return None if not lifts or any(one is None for one in lifts) else tuple(asked(one) for one in lifts if one is not None)


@dataclass(frozen=True, slots=True)
class Gone:
    """The run on which a lane's work counts: the number of its heat, and the run itself, None where the desk gave no such GO."""

    heat: int = 0
    run: Run | None = None

    def moment(self, at: int) -> tuple[int, ...]:
        """A moment of its heat clock (ms) among those of all heats, smaller for sooner: by the wall clock at its GO. What has no
        GO that is known comes behind, by the number of its heat."""
        if self.run is None or not self.run.go_wall_ms:
            return (1, self.heat, at)
        return (0, self.run.go_wall_ms + since_go(at, self.run.holds))


def asks_who_was_first(format: Format) -> bool:
    """Whether a tie may be parted by who made a score first, so that it matters when heats had their GO."""
    return any(step.kind == "total_first" for rule in format.scores for step in rule.ties)


def goes(roster: Roster, event: Event, runs: Sequence[Run], rulings: Sequence[Ruling]) -> Mapping[str, Gone]:
    """By lane assignment of an event, the run on which its work counts, as the rulings have it; none where no tie asks."""
    if not asks_who_was_first(event.format):
        return {}
    heats = {lane.id: heat for heat in roster.heats for lane in heat.lanes}
    given = {(run.heat, run.number): run for run in runs}
    found = {}
    for lane, sheets in ruled_sheets(roster, runs, rulings).items():
        if sheets and heats[lane].event == event.id:
            key = sheet_key(sheets["lane"])
            heat = heats.get(key.assignment, heats[lane])
            found[lane] = Gone(heat.number, given.get((heat.id, key.run)))
    return found
