"""Who lifts next where several lifters share one bar.

Lightest load first; of equal loads who has taken fewer attempts, then who lifted longest ago, then the lower lot. The first and
the last step are in the technical rules of the international lifting federations; the two between are those of weightlifting,
from memory. The lot is the lane's number: lots are drawn when lanes are given.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from app.rules.values.units import Load


@dataclass(frozen=True, slots=True)
class Waiting:
    """A lifter with a declared load: the lot, the attempts taken so far, when the last one was (ms on the heat clock, None for
    none yet)."""

    lot: int
    who: str
    load: Load
    attempts: int = 0
    last_at: int | None = None


def lift_order(waiting: Iterable[Waiting]) -> tuple[Waiting, ...]:
    """Those who wait, in the order in which they are called."""
    return tuple(sorted(waiting, key=lambda one: (one.load.kg, one.attempts, _since(one), one.lot)))


def _since(one: Waiting) -> int:
    """Who has not lifted yet comes before who has."""
    return -(10**9) if one.last_at is None else one.last_at
