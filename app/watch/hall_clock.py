"""What a big clock shows: the heat last given a GO, in the hall or on one platform, its windows, and which heat comes next."""

import json
from dataclasses import asdict, dataclass

from app.hall.hall import Hall
from app.hall.heats import bar_lanes, clock_json, event_of, holds_json, in_day_order, newest_runs, planned_words
from app.live.servertime import go_bound_ms, go_on_this_timeline
from app.rules.records.document import Run
from app.rules.records.platforms import platform_at
from app.rules.records.roster import Heat, Roster
from app.rules.values.words import say
from app.watch.bar_clocks import BarClockView, bar_clock_view
from app.watch.called_out import CalledLane, CalledLift, lifts, lineup

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
    """The hall clock. `heat` is None before the first GO; `next` names the heat that waits, or is empty."""

    competition: str
    heat: ClockHeat | None
    next: str

    def plain(self) -> str:
        """The same as JSON, for the page's script."""
        return json.dumps(asdict(self), ensure_ascii=False)


def hall_clock(hall: Hall, lane: int | None = None) -> ClockView:
    """The hall clock as it stands; with a lane that of its platform's heats, for two platforms may lift at once."""
    whole = hall.projection.roster
    if whole is None:
        return ClockView(NOTHING_YET, None, "")
    roster = whole if lane is None else _beside(whole, lane)
    runs = newest_runs(hall.projection.runs)
    heats = {heat.id: heat for heat in roster.heats}
    run = max((run for run in runs.values() if run.heat in heats), key=lambda run: (run.go_wall_ms, run.number), default=None)
    heat = _heat(hall, roster, heats[run.heat], run) if run else None
    return ClockView(roster.competition.name, heat, _next(roster, runs))


def _beside(roster: Roster, lane: int) -> Roster:
    """A competition with the heats alone that are on a lane's platform."""
    lanes = platform_at(roster, lane)
    heats = tuple(heat for heat in roster.heats if any(one.lane in lanes for one in heat.lanes))
    return roster.model_copy(update={"heats": heats})


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


def _next(roster: Roster, runs: dict[str, Run]) -> str:
    """The first heat of the day that has had no GO: `Heat 3 of Mirror, planned 10:30`."""
    waiting = next((heat for heat in in_day_order(roster) if heat.id not in runs), None)
    if waiting is None:
        return ""
    number, event = waiting.number, event_of(roster, waiting).name
    several = len(roster.events) > 1
    named = say("Heat {number} of {event}", number=number, event=event) if several else say("Heat {number}", number=number)
    return planned_words(named, waiting)
