"""A heat that is held: its clock stands for all lanes, and goes on from where it stood.

Heat clock = server time - GO - the time it was held. What a lane did is timed on that clock, so that all lanes get the same time.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pydantic import Field

from app.rules.values.shapes import Base

MOST_HOLDS = 100
LONGEST_MS = 24 * 3600 * 1000


class Hold(Base):
    """The heat clock stood at `at_ms` for `for_ms` milliseconds; None: it stands until somebody lets it go on."""

    at_ms: int = Field(ge=0, le=LONGEST_MS)
    for_ms: int | None = Field(default=None, ge=0, le=LONGEST_MS)


@dataclass(frozen=True, slots=True)
class HeatTime:
    """A moment of a heat that may be held.

    ms: on the heat clock. held_ms: how long it had stood before, in holds that were over. standing: it stands now. into_ms: for
    how long it has stood already. left_ms: until it goes on; None while nobody has said when, and when it is not standing.
    """

    ms: int
    held_ms: int = 0
    standing: bool = False
    into_ms: int = 0
    left_ms: int | None = None


def heat_time(since_go_ms: int, holds: Sequence[Hold] = ()) -> HeatTime:
    """The heat's moment `since_go_ms` milliseconds after GO, by a clock that never stood."""
    held = 0
    for hold in holds:
        into = since_go_ms - held - hold.at_ms
        if into < 0:
            break
        if hold.for_ms is None or into < hold.for_ms:
            left = None if hold.for_ms is None else hold.for_ms - into
            return HeatTime(hold.at_ms, held, True, into, left)
        held += hold.for_ms
    return HeatTime(since_go_ms - held, held)


def since_go(ms: int, holds: Sequence[Hold] = ()) -> int:
    """Milliseconds since GO by a clock that never stood, at which the heat clock came to `ms`: the way back from heat_time.

    Where it stood just there, the moment at which it began to stand.
    """
    return ms + sum(hold.for_ms or 0 for hold in holds if hold.at_ms < ms)


def check_holds(holds: Sequence[Hold]) -> None:
    """Raises ValueError unless the holds come in the order of the clock and only the last one is open."""
    for before, after in pairwise(holds):
        if before.for_ms is None:
            raise ValueError("A heat is held once at a time: only the last hold of a run may be open.")
        if after.at_ms < before.at_ms:
            raise ValueError("The holds of a run come in the order of its clock.")
