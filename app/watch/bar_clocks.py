"""The attempt's clock of a shared bar, as pages show it that hold no marks: hall clock, board, walls, the warm-up area's."""

from collections.abc import Iterable
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import heat_ms
from app.live.servertime import go_bound_ms
from app.rules.count.lift_order import BarLane, bar_clock
from app.rules.records.document import Run


@dataclass(frozen=True, slots=True)
class BarClockView:
    """Whose attempt it is; since when and until when the bar may stay where it is, ms on the heat clock; how many ms before the
    end it hurries; whether it begins on the floor; how far it may be off by the clocks of those who started it, in ms."""

    who: str
    since: int
    over: int
    hurry: int
    floor: bool
    bound: int


def bar_clock_view(hall: Hall, run: Run, lanes: Iterable[BarLane]) -> BarClockView | None:
    """The running clock at the bar that a heat's lanes share. None while it does not run, and while nobody knows how far the GO
    is off, which may be more than an attempt is long."""
    found = bar_clock(lanes, heat_ms(hall, run))
    if found is None or go_bound_ms(run, hall.time) is None:
        return None
    hurry, floor = (found.task.warn_seconds or 0) * 1000, not found.task.rack
    return BarClockView(found.who, found.since_ms, found.over_ms, hurry, floor, found.bound_ms)
