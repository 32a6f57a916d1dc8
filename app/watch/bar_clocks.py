"""The attempt's clock of a shared bar, as pages show it that hold no marks: the hall's clock, the warm-up area's."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import bar_lanes, heat_ms
from app.live.servertime import go_bound_ms
from app.rules.count.lift_order import bar_clock
from app.rules.records.document import Run
from app.rules.records.roster import Event, Heat, Roster


@dataclass(frozen=True, slots=True)
class BarClockView:
    """Whose attempt it is; since when and until when the bar may stay where it is, ms on the heat clock; how many ms before the
    end it hurries; whether it begins on the floor."""

    who: str
    since: int
    over: int
    hurry: int
    floor: bool


def bar_clock_view(hall: Hall, roster: Roster, event: Event, heat: Heat, run: Run) -> BarClockView | None:
    """The running clock at a heat's shared bar. None while it does not run, and while nobody knows how far the GO is off, which
    may be more than an attempt is long."""
    found = bar_clock(bar_lanes(hall, roster, event, run, heat), heat_ms(hall, run))
    if found is None or go_bound_ms(run, hall.time) is None:
        return None
    return BarClockView(found.who, found.since_ms, found.over_ms, (found.task.warn_seconds or 0) * 1000, not found.task.rack)
