"""Who lifts next where several lifters share one bar. The lot is the lane's number: lots are drawn when lanes are given.

The rising bar: the lightest load first; of equal loads who has taken fewer attempts, then who lifted longest ago, then the lower
lot (International Weightlifting Federation, Technical and Competition Rules 6.5, calling order, read in a reprint). Rounds: all
first attempts from light to heavy, then all second ones, and so on; of equal loads the lower lot (a world federation's rules of
powerlifting, 2007; that the lower lot goes first is from memory). A heat is a flight: it makes all its attempts at a lift before
the next one.

A lift that is made again because the bar was loaded wrong is no attempt taken. It comes at once, by the order as it then is; or
behind all others of its round, where the event has it so (International Powerlifting Federation, on errors in loading, read
second-hand).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from app.rules.values.units import Load
from app.rules.workout.tasks import LiftOrder


@dataclass(frozen=True, slots=True)
class Waiting:
    """A lifter with a declared load: the lot, the attempts taken so far, when the last one was (ms on the heat clock, None for
    none yet), whether the next is one to be made again that waits for the end of its round."""

    lot: int
    who: str
    load: Load
    attempts: int = 0
    last_at: int | None = None
    at_the_end: bool = False


def lift_order(waiting: Iterable[Waiting], order: LiftOrder = "lightest") -> tuple[Waiting, ...]:
    """Those who wait, in the order in which they are called."""
    return tuple(sorted(waiting, key=ORDERS[order]))


def _rising(one: Waiting) -> tuple[Any, ...]:
    return (one.load.kg, one.attempts, _since(one), one.lot)


def _in_rounds(one: Waiting) -> tuple[Any, ...]:
    return (one.attempts, one.at_the_end, one.load.kg, one.lot)


def _since(one: Waiting) -> int:
    """Who has not lifted yet comes before who has."""
    return -(10**9) if one.last_at is None else one.last_at


# Where each lane lifts for itself nobody is called; asked all the same, by the lot.
ORDERS: Mapping[LiftOrder, Callable[[Waiting], tuple[Any, ...]]] = {
    "lanes": lambda one: (one.lot,),
    "lightest": _rising,
    "rounds": _in_rounds,
}
