"""Coaches: whose lifters a coach's phone declares for, as the desk ticks them, a club at once or one by one."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from app.doors.device_list import DeviceView, list_devices
from app.doors.pairing import OpenInvitation, invite
from app.hall.devices import MOST_NAME, UnknownDevice, Who, asked_anew
from app.hall.forms import FormView, Reading, Typed
from app.hall.hall import Hall
from app.rules.records.roster import Roster
from app.rules.records.seats import seat_row
from app.rules.values.alphabet import by_name, in_order
from app.store.devices import devices_among, stand_for

TICK = "lifter-"  # how the field of an entry's tick begins; its id follows
NOBODY = "Tick at least one lifter."


@dataclass(frozen=True, slots=True)
class Choice:
    """A club that a new coach may be of, for a list to choose from."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Tick:
    """An entry that can be ticked: its field, its name, its division."""

    field: str
    name: str
    division: str


@dataclass(frozen=True, slots=True)
class OfClub:
    """A club's entries; of those that have none, its name says so."""

    name: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class CoachRow:
    """A coach's device, and its lifters in words."""

    device: DeviceView
    lifters: str


@dataclass(frozen=True, slots=True)
class CoachView:
    """The form of a coach's lifters: a new coach's, or those of a device. form: its name and its ticks."""

    device: str
    title: str
    form: FormView
    clubs: tuple[OfClub, ...]


def club_choices(hall: Hall) -> tuple[Choice, ...]:
    """The clubs that have entries, by name."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    there = set(_clubs_of(roster).values())
    clubs = in_order(club for club in roster.clubs if club.id in there)
    return tuple(Choice(club.id, club.name) for club in clubs)


def coach_rows(hall: Hall, devices: Iterable[DeviceView]) -> tuple[CoachRow, ...]:
    """The coaches among some devices, with the names of their lifters."""
    roster = hall.projection.roster
    names = {entry.id: entry.name for entry in roster.entries} if roster else {}
    coaches = [device for device in devices if device.at == "entries"]
    return tuple(
        CoachRow(one, ", ".join(names[entry] for entry in one.entries if entry in names) or "no lifters")
        for one in in_order(coaches)
    )


def new_coach(hall: Hall, club: str) -> CoachView:
    """The form of a new coach; all entries of a club are ticked, and it is called after it."""
    roster = hall.projection.roster
    named = next((one.name for one in roster.clubs if one.id == club), "") if roster else ""
    of_club = [entry for entry, its in _clubs_of(roster).items() if its == club] if roster and named else []
    typed = {f"{TICK}{entry}": "on" for entry in of_club}
    return coach_form(hall, "", FormView(typed | {"name": f"Coach, {named}"[:MOST_NAME] if named else ""}), first=club)


async def coach_at_hand(hall: Hall, who: Who, device_id: str) -> CoachView:
    """The form of the lifters of a coach's device. Raises UnknownDevice."""
    devices = await list_devices(hall, who)
    found = next((one for one in devices if one.id == device_id and one.at == "entries"), None)
    if found is None:
        raise UnknownDevice
    return coach_form(hall, found.id, FormView({"name": found.name} | {f"{TICK}{entry}": "on" for entry in found.entries}))


def coach_form(hall: Hall, device: str, form: FormView, first: str = "") -> CoachView:
    """A form with all entries by their clubs; first: the club that stands first."""
    title = f"Lifters of {form.value('name')}" if device else "Invite a coach"
    return CoachView(device, title, form, _by_club(hall.projection.roster, first))


async def give_lifters(hall: Hall, device_id: str, entries: Collection[str]) -> None:
    """Says for whom a coach's device stands from now on; for anybody else nothing is taken from it any more. Raises
    UnknownDevice."""

    def work(session: Session) -> None:
        found = devices_among(session, [device_id]).get(device_id)
        if found is None or seat_row(found.role, found.sheet).at != "entries" or not stand_for(session, device_id, entries):
            raise UnknownDevice

    await hall.database.awrite(work)
    asked_anew(hall, device_id)
    hall.hub.publish("desk", {"type": "devices"})


async def invite_coach(hall: Hall, typed: Typed, sure: bool) -> OpenInvitation:
    """Makes an invitation for a coach's phone. Raises BadForm."""
    reading = Reading(typed)
    name, entries = reading.name("name", "The name", MOST_NAME), _ticked(hall, reading)
    reading.done()
    return await invite(hall, "coach", None, sure, entries=entries, name=name)


async def change_lifters(hall: Hall, device_id: str, typed: Typed) -> None:
    """Gives a coach's device the lifters that are ticked, and no others. Raises BadForm, UnknownDevice."""
    reading = Reading(typed)
    entries = _ticked(hall, reading)
    reading.done()
    await give_lifters(hall, device_id, entries)


def _ticked(hall: Hall, reading: Reading) -> tuple[str, ...]:
    """The entries that are ticked, in the order of the entries."""
    roster = hall.projection.roster
    entries = tuple(entry.id for entry in (roster.entries if roster else ()) if reading.typed.get(f"{TICK}{entry.id}"))
    if not entries:
        reading.wrong("", NOBODY)
    return entries


def _clubs_of(roster: Roster) -> dict[str, str]:
    """By entry the club of its first member who has one; empty for none."""
    clubs: Mapping[str, str | None] = {athlete.id: athlete.club for athlete in roster.athletes}
    return {entry.id: next((its for one in entry.members if (its := clubs.get(one))), "") for entry in roster.entries}


def _by_club(roster: Roster | None, first: str) -> tuple[OfClub, ...]:
    if roster is None:
        return ()
    divisions, clubs = {one.id: one.name for one in roster.divisions}, _clubs_of(roster)
    names = {club.id: club.name for club in roster.clubs} | {"": "No club"}
    order = sorted({*clubs.values()}, key=lambda club: (club != first, not club, by_name(names.get(club, ""))))
    ticks = {
        club: tuple(
            Tick(f"{TICK}{one.id}", one.name, divisions[one.division])
            for one in in_order(roster.entries)
            if clubs[one.id] == club
        )
        for club in order
    }
    return tuple(OfClub(names.get(club, ""), ticks[club]) for club in order)
