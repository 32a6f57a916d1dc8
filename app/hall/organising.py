"""What is on the roster: the roster itself, one record of it, an order with one moved; and the time of day in its hall."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, tzinfo
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from app.hall.hall import Hall
from app.rules.records.day import DayRules
from app.rules.records.roster import Roster
from app.rules.values.units import shown
from app.store.refusals import NotThere


class HasId(Protocol):
    """Whatever has an id."""

    @property
    def id(self) -> str:
        """The id."""


Item = TypeVar("Item", bound=HasId)


def needed_roster(hall: Hall) -> Roster:
    """The roster. Raises NotThere before there is a competition."""
    if hall.projection.roster is None:
        raise NotThere("There is no competition yet. Name it first.")
    return hall.projection.roster


def moved(ids: Sequence[str], key: str, by: int) -> list[str]:
    """A list with one item moved by so many places; at an end it stays."""
    order = list(ids)
    if key in order:
        at = order.index(key)
        order.insert(max(0, min(len(order) - 1, at + by)), order.pop(at))
    return order


def found(items: Iterable[Item], key: str, what: str) -> Item:
    """The item with this id. Raises NotThere."""
    for item in items:
        if item.id == key:
            return item
    raise NotThere(f"There is no {what} with the id {shown(key)}. It may have been deleted in the meantime.")


def zone_of(rules: DayRules | None) -> tzinfo | None:
    """The hall's time zone, which the plan of the day may name; None for this computer's own."""
    if rules is None or not rules.zone:
        return None
    try:
        return ZoneInfo(rules.zone)
    except (ZoneInfoNotFoundError, ValueError):
        return None


def in_the_hall(roster: Roster | None, wall_ms: int) -> datetime:
    """A moment by the hall's clocks."""
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(zone_of(roster.day if roster else None))
