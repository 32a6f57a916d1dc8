"""How long a heat holds the floor and when it was on it, by the rules of the day: what every judge's screen asks of the plan."""

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from app.hall.hall import Hall
from app.rules.day.lateness import nearest
from app.rules.records.day import DayRules, EventDay
from app.rules.records.document import Run
from app.rules.records.roster import Event, Roster

MINUTE_MS = 60_000
USUAL_LANES = 10


@dataclass(frozen=True, slots=True)
class Went:
    """A heat that was started: its GO and the end of its work, in minutes after midnight of the hall's day."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class WentHeat:
    """A heat that has begun: its name, and in minutes after midnight when it was to begin and end, and when it did; `ended` is
    None while it runs, and of a heat that was closed early, for nobody noted when."""

    name: str
    planned: int
    planned_end: int
    began: int
    ended: int | None

    @property
    def late(self) -> int:
        """How many minutes late it began; less than nothing for early."""
        return self.began - self.planned

    @property
    def late_end(self) -> int | None:
        """The same of its end."""
        return None if self.ended is None else self.ended - self.planned_end


def minute_of_day(wall_ms: int, zone: tzinfo | None) -> int:
    """A moment as minutes after midnight, in the hall's time."""
    moment = datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(zone)
    return moment.hour * 60 + moment.minute


def rules_of(roster: Roster) -> DayRules:
    """The day's rules as stored, or the usual ones, with every event planned on as many lanes as there are."""
    if roster.day is not None:
        return roster.day
    lanes = max((lane.lane for heat in roster.heats for lane in heat.lanes), default=USUAL_LANES)
    return DayRules(events=tuple(EventDay(event=event.id, last_lane=lanes) for event in roster.events))


def length_of(event: Event, how: EventDay) -> int:
    """How long a heat of an event holds the floor, in minutes: as said, else the event's length rounded up."""
    return how.minutes or max(1, -(-event.format.length_ms // MINUTE_MS))


def went(hall: Hall, event: Event, run: Run, zone: tzinfo | None, planned: int) -> Went:
    """When a heat was on the floor: on the night that is nearest to its plan. Holds make it longer; one that still runs ends
    when its last bell will ring."""
    start = nearest(minute_of_day(run.go_wall_ms, zone), planned)
    now_ms = hall.time.wall_ms() - run.go_wall_ms
    held = sum(hold.for_ms if hold.for_ms is not None else max(0, now_ms - hold.at_ms) for hold in run.holds)
    return Went(start, start - (-(event.format.length_ms + held) // MINUTE_MS))
