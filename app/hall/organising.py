"""Setting the competition up: its name, divisions, clubs and athletes. Everything can be changed later."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Protocol, TypeVar, cast

from app.hall.changing import change_roster, id_or_new, new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.rules.records.roster import Athlete, Club, Competition, Division, Roster
from app.rules.values.units import Load, LoadUnit, shown
from app.rules.workout.safety import FACTS, Safety
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS
from app.store.refusals import NotThere
from app.store.roster import put_competition

UNITS = {"kg": "kg", "lb": "lb"}
MOST_BODY_KG = 400  # beyond it a digit slipped in
PROTEST_MINUTES, MOST_PROTEST_MINUTES = 30, 7 * 24 * 60


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


async def save_competition(hall: Hall, typed: Typed) -> None:
    """Names the competition, or changes its name, place, day, unit and safety facts."""
    read = Reading(typed)
    name = read.name("name", "The competition's name")
    place = read.optional("place", "The place", 200)
    day = read.raw("day")
    if day and not _is_day(day):
        read.wrong("day", f"The day is a date such as 2031-05-17, or empty; not “{shown(day)}”.")
    unit = read.choice("unit", "The unit of loads", UNITS)
    roster = hall.projection.roster
    safety = _safety(read, roster.competition.safety if roster else Safety())
    before = roster.competition.protest_minutes if roster else PROTEST_MINUTES
    minutes = read.whole("protest_minutes", "The minutes for protests", 0, MOST_PROTEST_MINUTES, before)
    read.done()
    key, demo = (roster.competition.id, roster.competition.demo) if roster else (new_id(), hall.settings.demo)
    named = Competition(
        id=key,
        name=name,
        place=place,
        day=day,
        unit=cast(LoadUnit, unit),
        demo=demo,
        safety=safety,
        protest_minutes=before if minutes is None else minutes,
    )
    await change_roster(hall, lambda session: put_competition(session, named))


def _safety(read: Reading, before: Safety) -> Safety:
    """The safety facts as typed; what the form did not ask for stays."""
    asked = [(field, label) for field, label, _ in FACTS if field in read.typed]
    return before.model_copy(update={field: read.optional(field, f"“{label}”", 200) for field, label in asked})


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


async def save_division(hall: Hall, typed: Typed, key: str = "") -> str:
    """Adds a division, or gives one another name. Two divisions can't have one name."""
    read = Reading(typed)
    name = read.name("name", "The division's name")
    read.done()
    others = [division for division in needed_roster(hall).divisions if division.id != key]
    if any(division.name.casefold() == name.casefold() for division in others):
        raise refuse("name", f"There is already a division called {name}. Give this one another name.")
    division = Division(id=id_or_new(key), name=name)
    await change_roster(hall, lambda session: DIVISIONS.put(session, division))
    return division.id


async def move_division(hall: Hall, key: str, by: int) -> None:
    """Moves a division up (-1) or down (1) in the order shown."""
    ids = moved([division.id for division in needed_roster(hall).divisions], key, by)
    await change_roster(hall, lambda session: DIVISIONS.put_in_order(session, ids))


async def delete_division(hall: Hall, key: str) -> Division:
    """Removes a division and returns it, so that it can be put back. Raises InUse, NotThere."""
    division = found(needed_roster(hall).divisions, key, "division")
    await change_roster(hall, lambda session: DIVISIONS.delete(session, key))
    return division


async def save_club(hall: Hall, typed: Typed, key: str = "") -> str:
    """Adds a club, or gives one another name."""
    read = Reading(typed)
    name = read.name("name", "The club's name")
    read.done()
    if any(club.name.casefold() == name.casefold() and club.id != key for club in needed_roster(hall).clubs):
        raise refuse("name", f"There is already a club called {name}.")
    club = Club(id=id_or_new(key), name=name)
    await change_roster(hall, lambda session: CLUBS.put(session, club))
    return club.id


async def delete_club(hall: Hall, key: str) -> Club:
    """Removes a club and returns it. Raises InUse, NotThere."""
    club = found(needed_roster(hall).clubs, key, "club")
    await change_roster(hall, lambda session: CLUBS.delete(session, key))
    return club


async def save_athlete(hall: Hall, typed: Typed, key: str) -> None:
    """Gives an athlete another name, club or bodyweight, wherever the athlete competes. Raises NotThere."""
    roster = needed_roster(hall)
    before = found(roster.athletes, key, "athlete")
    read = Reading(typed)
    name = read.name("name", "The athlete's name")
    club = read.raw("club")
    if club and all(one.id != club for one in roster.clubs):
        read.wrong("club", "The club is one of those on this page, or none.")
    weight = bodyweight(read, "weight", roster.competition.unit) if "weight" in typed else before.bodyweight
    read.done()
    athlete = Athlete(id=key, name=name, club=club or None, bodyweight=weight)
    await change_roster(hall, lambda session: ATHLETES.put(session, athlete))


def bodyweight(read: Reading, field: str, unit: LoadUnit) -> Load | None:
    """What an athlete weighs, or None for one who was not weighed."""
    weight = read.load(field, "The bodyweight", unit)
    if weight is not None and weight.kg > MOST_BODY_KG:
        read.wrong(field, f"The bodyweight is at most {MOST_BODY_KG} kg; not {weight.text()}.")
    return weight


async def delete_athlete(hall: Hall, key: str) -> Athlete:
    """Removes an athlete who is in no entry. Raises InUse, NotThere."""
    athlete = found(needed_roster(hall).athletes, key, "athlete")
    await change_roster(hall, lambda session: ATHLETES.delete(session, key))
    return athlete


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
    raise NotThere(f"There is no {what} with the id {shown(key)}. It may have been deleted meanwhile.")
