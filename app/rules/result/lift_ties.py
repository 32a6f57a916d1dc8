"""What the lifts of a score say where scores are equal: when the last of the best was made, after how many attempts and misses.

Of each value that the score takes, the best lift is asked that made it: of equal ones the first.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from app.rules.count.fold_lifts import LiftTally, best_lift
from app.rules.count.tally import WindowTally
from app.rules.workout.formats import LiftTask


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
        return len({one.declared or one.mark for one in (*self.before, self.lift)})

    def previous(self) -> tuple[Fraction, ...]:
        """The loads in kg of the attempts before it, the last one first; tries under one declaration are one."""
        own = self.lift.declared or self.lift.mark
        loads = {key: one.load.kg for one in self.before if (key := one.declared or one.mark) != own}
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
