"""What a big clock shows: the heat at work, in the hall or on one floor, its windows, and which heat comes next."""

import json
from dataclasses import asdict, dataclass

from app.hall.hall import Hall
from app.hall.heats import bar_lanes, clock_json, event_of, holds_json, newest_runs
from app.live.servertime import go_bound_ms, go_on_this_timeline
from app.rules.records.document import Run
from app.rules.records.roster import Heat, Roster
from app.watch.bar_clocks import BarClockView, bar_clock_view
from app.watch.called_out import CalledLane, CalledLift, lifts, lineup
from app.watch.shown import Beside, beside, next_heat, shown_heat

NOTHING_YET = "Nothing to show yet"


@dataclass(frozen=True, slots=True)
class ClockHeat:
    """A heat as its clock needs it. `clock` and `holds` are JSON; `go_ms` is on the timeline that `boot` names. `bound_ms`: how
    far that GO may be off; None: nobody knows. `lineup`, `lifts`: whom the hall's voice names. `attempt`: the attempt's clock at
    a shared bar."""

    event: str
    number: int
    state: str
    go_ms: int
    boot: str
    bound_ms: int | None
    holds: str
    clock: str
    lineup: tuple[CalledLane, ...]
    lifts: tuple[CalledLift, ...]
    attempt: BarClockView | None


@dataclass(frozen=True, slots=True)
class ClockView:
    """The hall clock. `heat` is None before the first GO; `next` names the heat that waits, or is empty; `beside`: what it does
    not show."""

    competition: str
    heat: ClockHeat | None
    next: str
    beside: Beside

    def plain(self) -> str:
        """The same as JSON, for the page's script."""
        return json.dumps(asdict(self), ensure_ascii=False)


def hall_clock(hall: Hall, lane: int | None = None) -> ClockView:
    """The hall clock as it stands; with a lane that of its floor's heats, for two platforms may lift at once."""
    roster = hall.projection.roster
    if roster is None:
        return ClockView(NOTHING_YET, None, "", Beside())
    runs = newest_runs(hall.projection.runs)
    gone = shown_heat(hall, roster, runs, lane)
    heat = _heat(hall, roster, gone, runs[gone.id]) if gone else None
    there = beside(hall, roster, runs, gone, lane)
    return ClockView(roster.competition.name, heat, next_heat(roster, runs, lane), there)


def _heat(hall: Hall, roster: Roster, heat: Heat, run: Run) -> ClockHeat:
    event = event_of(roster, heat)
    return ClockHeat(
        event=event.name,
        number=heat.number,
        state=run.state,
        go_ms=go_on_this_timeline(run, hall.time),
        boot=hall.time.boot,
        bound_ms=go_bound_ms(run, hall.time),
        holds=holds_json(run),
        clock=clock_json(event.format),
        lineup=lineup(roster, heat),
        lifts=lifts(hall, roster, event, heat, run) if run.state == "set" else (),
        attempt=bar_clock_view(hall, run, bar_lanes(hall, roster, event, run, heat)) if run.state == "set" else None,
    )
