"""Entries and their members: one at a time, or many pasted as lines. Athletes and clubs come into being by being named."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlmodel import Session

from app.hall.changing import change_roster, id_or_new, new_id
from app.hall.forms import Reading, Typed, row_numbers
from app.hall.hall import Hall
from app.hall.organising import found, moved, needed_roster
from app.people.organising import age, bodyweight, sex
from app.rules.records.body_formulas import Sex
from app.rules.records.roster import MOST_SAID_LIKE, Athlete, Club, Entry, Roster
from app.rules.values.units import Load
from app.rules.workout.formats import MOST_MEMBERS
from app.store.entries import delete_entry, order_entries, put_entry
from app.store.kinds import ATHLETES, CLUBS


@dataclass(frozen=True, slots=True)
class Named:
    """A member as typed: a name, a club or nothing. What is None was not asked, and stays as it is stored. `weight` is that of
    one who is put back; `aged`: the age was asked."""

    name: str
    club: str = ""
    weight: Load | None = None
    age: int | None = None
    said_like: str | None = None
    sex: Sex | None = None
    aged: bool = False


@dataclass(slots=True)
class People:
    """The athletes and clubs that are there, and those that a form brings into being."""

    clubs: dict[str, Club]
    athletes: dict[str, Athlete]
    new_clubs: list[Club] = field(default_factory=list)
    changed: list[Athlete] = field(default_factory=list)

    @classmethod
    def of(cls, roster: Roster) -> "People":
        """The people of a roster."""
        clubs = {club.name.casefold(): club for club in roster.clubs}
        return cls(clubs, {athlete.id: athlete for athlete in roster.athletes})

    def club(self, name: str) -> str | None:
        """The id of the club with this name, made if it is new; None for no name."""
        if not name:
            return None
        known = self.clubs.get(name.casefold())
        if known is None:
            known = Club(id=new_id(), name=name)
            self.clubs[name.casefold()] = known
            self.new_clubs.append(known)
        return known.id

    def member(self, named: Named, before: str | None = None, only_here: bool = False) -> str:
        """The id of the athlete with this name and club.

        `before` is who stood in this place: a new spelling of somebody who competes nowhere else changes that athlete.
        """
        club = self.club(named.club)
        same = (a for a in self.athletes.values() if a.name.casefold() == named.name.casefold() and a.club == club)
        known = next(same, None)
        if known is None and before is not None and only_here:
            known = self.athletes[before]
        if known is None:
            known = Athlete(id=new_id(), name=named.name, club=club, bodyweight=named.weight)
        after = as_named(known, named, club)
        return after.id if self.athletes.get(after.id) == after else self._put(after)

    def _put(self, athlete: Athlete) -> str:
        self.athletes[athlete.id] = athlete
        self.changed = [*(one for one in self.changed if one.id != athlete.id), athlete]
        return athlete.id

    def store(self, session: Session) -> None:
        """Stores what is new or changed."""
        for club in self.new_clubs:
            CLUBS.put(session, club)
        for athlete in self.changed:
            ATHLETES.put(session, athlete)


def as_named(athlete: Athlete, named: Named, club: str | None) -> Athlete:
    """An athlete with the name and the club that were typed, and what else was asked."""
    said: dict[str, object] = {} if named.said_like is None else {"said_like": named.said_like}
    said |= {} if named.sex is None else {"sex": named.sex}
    said |= {"age": named.age} if named.aged else {}
    return athlete.model_copy(update={"name": named.name, "club": club, **said})


async def save_entry(hall: Hall, typed: Typed, key: str = "") -> str:
    """Adds an entry with its members in order, or changes one; returns its id."""
    roster = needed_roster(hall)
    read = Reading(typed)
    name = read.name("name", "The entry's name")
    division = read.choice("division", "The division", {one.id: one.name for one in roster.divisions})
    before = next((one.team for one in roster.entries if one.id == key), "")
    team = read.optional("team", "The team for points") if "team" in typed else before
    members = typed_members(read)
    same = [one for one in roster.entries if one.division == division and one.id != key]
    if name and any(one.name.casefold() == name.casefold() for one in same):
        read.wrong("name", f"There is already an entry called {name} in this division. Add something that tells them apart.")
    read.done()
    people = People.of(roster)
    ids = _member_ids(roster, people, members, key)
    entry = Entry(id=id_or_new(key), division=division, name=name, members=ids, team=team)

    def store(session: Session) -> None:
        people.store(session)
        put_entry(session, entry)

    await change_roster(hall, store)
    return entry.id


def typed_members(read: Reading) -> list[Named]:
    """The members of an entry form, in order; rows without a name are skipped. Notes problems."""
    members: list[Named] = []
    for number in row_numbers(read.typed, "member"):
        at = f"member-{number}-"
        name, club = read.optional(f"{at}name", "The member's name"), read.optional(f"{at}club", "The member's club")
        asked = f"{at}said" in read.typed
        said = read.optional(f"{at}said", "How the name is said", MOST_SAID_LIKE) if asked else None
        of = sex(read, f"{at}sex") if f"{at}sex" in read.typed else None
        aged = f"{at}age" in read.typed
        named = Named(name, club, bodyweight(read, f"{at}weight", "kg"), age(read, f"{at}age"), said, of, aged)
        if named.club and not named.name:
            read.wrong(f"{at}name", f"The member from {named.club} has no name. Type it, or clear the club.")
        if named.name and any(_same(named, other) for other in members):
            read.wrong(f"{at}name", f"{named.name} is there twice. Each member must be a different person.")
        if named.name:
            members.append(named)
    if not members:
        read.wrong("member-0-name", "The entry has no member. Type at least one name.")
    if len(members) > MOST_MEMBERS:
        read.wrong(f"member-{MOST_MEMBERS}-name", f"An entry has at most {MOST_MEMBERS} members.")
    return members


def _same(one: Named, other: Named) -> bool:
    return (one.name.casefold(), one.club.casefold()) == (other.name.casefold(), other.club.casefold())


def _member_ids(roster: Roster, people: People, members: Sequence[Named], key: str) -> tuple[str, ...]:
    before = next((entry.members for entry in roster.entries if entry.id == key), ())
    elsewhere = {member for entry in roster.entries if entry.id != key for member in entry.members}
    typed_names = {named.name.casefold() for named in members}
    ids: list[str] = []
    for place, named in enumerate(members):
        was = before[place] if place < len(before) else None
        # Members who changed places are known by their names; only a name that is gone from the form was respelled.
        respelled = was is not None and was not in elsewhere and people.athletes[was].name.casefold() not in typed_names
        club_only = was is not None and was not in elsewhere and people.athletes[was].name == named.name
        ids.append(people.member(named, was, respelled or club_only))
    return tuple(ids)


async def move_entry(hall: Hall, key: str, by: int) -> str:
    """Moves an entry up (-1) or down (1) among those of its division, the order in which lanes are filled; returns its name, or
    nothing where it stays at an end."""
    roster = needed_roster(hall)
    entry = found(roster.entries, key, "entry")
    before = [one.id for one in roster.entries if one.division == entry.division]
    order = moved(before, key, by)
    if order == before:
        return ""
    ids = [one.id for division in roster.divisions for one in roster.entries if one.division == division.id != entry.division]
    await change_roster(hall, lambda session: order_entries(session, [*order, *ids]))
    return entry.name


async def remove_entry(hall: Hall, key: str) -> Entry:
    """Removes an entry, and athletes who compete nowhere else; returns it."""
    roster = needed_roster(hall)
    entry = found(roster.entries, key, "entry")
    elsewhere = {member for one in roster.entries if one.id != key for member in one.members}

    def remove(session: Session) -> None:
        delete_entry(session, key)
        session.flush()
        for member in entry.members:
            if member not in elsewhere:
                ATHLETES.delete(session, member)

    await change_roster(hall, remove)
    return entry


def named_members(roster: Roster, entry: Entry) -> tuple[Named, ...]:
    """An entry's members by name and club, in order."""
    clubs = {club.id: club.name for club in roster.clubs}
    athletes = {athlete.id: athlete for athlete in roster.athletes}
    people = [athletes[member] for member in entry.members]
    return tuple(
        Named(one.name, clubs.get(one.club or "", ""), one.bodyweight, one.age, one.said_like, one.sex, True) for one in people
    )
