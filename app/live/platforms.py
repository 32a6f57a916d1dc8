"""Which lanes a device stands at: its own, those of its platform, or wherever its entries lift. And who stands at a lane."""

from typing import Protocol

from app.live.places import Place
from app.live.presence import Presence, Seen, Who
from app.live.projection import Projection
from app.rules.records.platforms import platform_at, shares_a_bar
from app.rules.records.seats import seat_row
from app.rules.workout.formats import Format


class Hall(Protocol):
    """What is asked of the hall here: who is at its doors, and the start lists as they are now."""

    @property
    def presence(self) -> Presence:
        """Who is at the doors."""

    @property
    def projection(self) -> Projection:
        """What the marks come to, and the roster that they are of."""


def at_platform(who: Who) -> bool:
    """Whether a device's place is a platform."""
    return seat_row(who.role, who.sheet).at == "platform"


def with_entries(who: Who) -> bool:
    """Whether a device's place is that of the entries that it stands for."""
    return seat_row(who.role, who.sheet).at == "entries"


def lanes_of(hall: Hall, who: Who) -> tuple[int, ...]:
    """The lanes that a device stands at, in order; none for a desk."""
    if with_entries(who):
        roster = hall.projection.roster
        heats = roster.heats if roster is not None else ()
        return tuple(sorted({one.lane for heat in heats for one in heat.lanes if one.entry in who.entries}))
    if not at_platform(who):
        return () if who.lane is None else (who.lane,)
    return platform_of(hall, who.lane)


def platform_of(hall: Hall, lane: int | None) -> tuple[int, ...]:
    """The lanes of the platform that a lane belongs to, as the start lists are now."""
    roster = hall.projection.roster
    return platform_at(roster, lane) if roster is not None else ()


def stands_at(hall: Hall, who: Who, place: Place) -> bool:
    """Whether a device has its place where an entry does an event: at a platform, only what shares its bar."""
    if with_entries(who):
        return place.assignment.entry in who.entries
    if not at_platform(who):
        return place.assignment.lane == who.lane
    return shares_a_bar(place.format) and place.assignment.lane in platform_of(hall, who.lane)


def seen_at(hall: Hall, lane: int, format: Format | None = None) -> list[Seen]:
    """The devices seen at a lane since the server started, the latest heard of first; those of its platform as well where it does
    an event that shares a bar (`format`; None: whatever it does)."""
    everybody = hall.presence.everybody()
    there = [seen for seen in everybody if seen.device.lane == lane and not at_platform(seen.device)]
    others = [seen for seen in everybody if at_platform(seen.device)]
    if others and (format is None or shares_a_bar(format)):
        lanes = platform_of(hall, lane)
        there += [seen for seen in others if seen.device.lane in lanes]
    return sorted(there, key=lambda seen: -seen.last_seen_ms)
