"""How late the day runs, from the GOs and holds there really were; shown on the desk, the timetable and the hall screen."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from app.hall.hall import Hall
from app.hall.heats import event_of, heat_title, in_day_order, newest_runs, state_of
from app.hall.organising import zone_of
from app.plan.day_times import MINUTE_MS, WentHeat, length_of, minute_of_day, rules_of, went
from app.rules.day.lateness import MORNING, DayHeat, Lateness, lateness, nearest, planned_minutes
from app.rules.records.judges import MINUTES_IN_DAY, clock_of
from app.rules.records.moves import HeatState
from app.rules.records.roster import Roster
from app.rules.values.clock_times import span_text
from app.rules.values.words import say

ON_TIME = 2  # minutes that nobody calls late
BEGUN = frozenset({HeatState.RUNNING, HeatState.HELD, HeatState.GOING_ON, HeatState.OVER})


@dataclass(frozen=True, slots=True)
class Running:
    """The day against its plan. `starts`: by heat, in minutes after midnight. `words`: empty while the day is on time."""

    starts: dict[str, int]
    late: int
    words: str


def running(hall: Hall) -> Running:
    """The day as it stands. Before the competition's day, after it, and without planned times, nothing is late."""
    roster = hall.projection.roster
    if roster is None:
        return Running({}, 0, "")
    found = _found(hall, roster)
    words = say("Running {span} late", span=span_text(found.late)) if found.late > ON_TIME else ""
    return Running(found.starts, found.late, words)


def is_today(hall: Hall, roster: Roster) -> bool:
    """Whether the competition's day is today, or was not said."""
    return on_the_day(roster, hall.time.wall_ms())


def on_the_day(roster: Roster, wall_ms: int) -> bool:
    """Whether a moment is of the competition's day; until six in the morning the night still belongs to it."""
    moment = datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(zone_of(roster.day))
    night = (moment - timedelta(minutes=MORNING)).date().isoformat()
    return roster.competition.day in ("", moment.date().isoformat(), night)


def probable_starts(hall: Hall) -> dict[str, tuple[int, str]]:
    """By heat the moment at which it will probably start, as planned or later where the day runs late: in ms on the server's line
    of time, and as a time of day. None on a day not the competition's."""
    roster = hall.projection.roster
    if roster is None or not is_today(hall, roster):
        return {}
    wall_ms, server_ms = hall.time.wall_ms(), round(hall.time.server_ms())
    now = minute_of_day(wall_ms, zone_of(rules_of(roster)))
    into_ms = wall_ms % MINUTE_MS
    starts = _found(hall, roster).starts
    return {
        heat: (server_ms - into_ms + (minute - nearest(now, minute)) * MINUTE_MS, clock_of(minute % MINUTES_IN_DAY))
        for heat, minute in starts.items()
    }


def went_heats(hall: Hall) -> tuple[WentHeat, ...]:
    """The heats with a planned time that have begun on the competition's day, each against its plan."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    runs, minutes, rules = newest_runs(hall.projection.runs), planned_minutes(in_day_order(roster)), rules_of(roster)
    found = []
    for heat in in_day_order(roster):
        run, state = runs.get(heat.id), state_of(hall, roster, heat, runs.get(heat.id))
        if run is not None and heat.id in minutes and state in BEGUN and on_the_day(roster, run.go_wall_ms):
            event, planned = event_of(roster, heat), minutes[heat.id]
            on_floor = went(hall, event, run, zone_of(rules), planned)
            ended = on_floor.end if state is HeatState.OVER and run.state != "closed" else None
            planned_end = planned - (-event.format.length_ms // MINUTE_MS)
            found.append(WentHeat(heat_title(event, heat), planned, planned_end, on_floor.start, ended))
    return tuple(found)


def _found(hall: Hall, roster: Roster) -> Lateness:
    rules = rules_of(roster)
    minutes = planned_minutes(in_day_order(roster))
    planned = [heat for heat in roster.heats if heat.planned]
    if not is_today(hall, roster):
        return Lateness(minutes, 0)
    zone, runs = zone_of(rules), newest_runs(hall.projection.runs)
    events = {event.id: event for event in roster.events}
    members = {entry.id: entry.members for entry in roster.entries}
    begun = any(heat.id in runs for heat in planned)
    heats = []
    for heat in planned:
        event, run = events[heat.event], runs.get(heat.id)
        on_floor = went(hall, event, run, zone, minutes[heat.id]) if run is not None and run.state != "stopped" else None
        heats.append(
            DayHeat(
                key=heat.id,
                event=heat.event,
                planned=minutes[heat.id],
                minutes=length_of(event, rules.of(event.id)),
                lanes=frozenset(rules.of(event.id).lanes) | {lane.lane for lane in heat.lanes},
                athletes=frozenset(member for lane in heat.lanes for member in members.get(lane.entry, ())),
                went=(on_floor.start, on_floor.end) if on_floor else None,
            )
        )
    # Before the first GO only a day that was said to be today can be late: else a plan looked at in the evening would be.
    if not begun and not roster.competition.day:
        return lateness(heats, rules, 0)
    anchor = max((heat.went[0] for heat in heats if heat.went), default=min(minutes.values(), default=0))
    return lateness(heats, rules, nearest(minute_of_day(hall.time.wall_ms(), zone), anchor))
