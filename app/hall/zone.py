"""The hall's time of day: by the time zone that the plan of the day names, else by this computer's own."""

from datetime import UTC, datetime, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from app.rules.records.day import DayRules
from app.rules.records.roster import Roster


def zone_of(rules: DayRules | None) -> tzinfo | None:
    """The hall's time zone; None for this computer's own."""
    if rules is None or not rules.zone:
        return None
    try:
        return ZoneInfo(rules.zone)
    except (ZoneInfoNotFoundError, ValueError):
        return None


def in_the_hall(roster: Roster | None, wall_ms: int) -> datetime:
    """A moment by the hall's clocks."""
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(zone_of(roster.day if roster else None))
