"""What a request does, for the record: who, on which record, with what outcome. The line goes along with the change itself.

No password, token, code or private text comes into it: names of records, and who gave their name to it.
"""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from itertools import chain
from time import time_ns
from typing import Any

from app.hall.hall import Hall
from app.live.presence import Who
from app.rules.records.roster import Assignment, Heat, Roster
from app.rules.records.seats import seat_row
from app.rules.values.texts import cleaned, unfit
from app.store.acts import DOING, Act, Doing, Outcome, put_act
from app.store.database import Database
from app.store.devices import welcome_devices
from app.store.writer import StoreTrouble

NOBODY = "Somebody"
MOST_TYPED = 80  # characters of a typed name that come into the record


def begin(hall: Hall, kind: str, words: str, gaps: Mapping[str, str], address: str) -> Doing:
    """What is about to be done; whoever finds out who does it says so by `done_by`."""
    act = Act(hall.time.wall_ms(), "", NOBODY, "", address, kind, words, _named(hall, gaps), "done")
    doing = Doing(act)
    DOING.set(doing)
    return doing


def done_by(who: Who) -> None:
    """Says who does what is being done."""
    if (doing := DOING.get()) is not None:
        seat = seat_row(who.role, who.sheet)
        place = seat.place(who.lane).lower() if who.lane is not None else ""
        role = ", ".join(part for part in (place, seat.told) if part)
        doing.act = replace(doing.act, device_id=who.device_id, name=who.name, role=role)


def done_to(about: str) -> None:
    """Says on which record it is done, where the address of the page does not name it."""
    if (doing := DOING.get()) is not None:
        doing.act = replace(doing.act, about=about)


def done_by_form(form: Mapping[str, str]) -> None:
    """Takes from a form what names the record, and who put their name to it."""
    doing = DOING.get()
    if doing is None:
        return
    about, lane = doing.act.about or _fit(form.get("name", "")), form.get("lane", "").strip()
    if lane.isascii() and lane.isdigit() and not about:
        about = f"lane {lane[:3]}"
    if by := _fit(form.get("by", "")):
        about = f"{about}, by {by}" if about else f"by {by}"
    doing.act = replace(doing.act, about=about)


def _fit(typed: str) -> str:
    """A typed name, or nothing if it holds what no name may."""
    name = cleaned(typed[:MOST_TYPED])
    return "" if unfit(name) else name


async def end(hall: Hall, doing: Doing, outcome: Outcome, *, always: bool = False) -> None:
    """Writes the line that has not been written with a change: of what was refused, of marks that came by another way, and
    `always` of what only took something along."""
    if doing.written or not (outcome != "done" or doing.changed or always):
        return
    quota = hall.presence.our_lines if doing.act.device_id else hall.presence.strangers_lines
    if outcome == "done" or quota.take(hall.time.server_ms()):
        act = replace(doing.act, outcome=outcome)
        with suppress(StoreTrouble):  # a full disk is told of elsewhere, and by this very answer
            await hall.database.awrite_quietly(lambda session: put_act(session, act))
            doing.written = True


def note_at_terminal(database: Database, words: str, about: str) -> None:
    """A line of what was done with a data folder from the command line. It is done, also where no line more can be kept: from a
    full disk everything is to be had."""
    wall_ms = time_ns() // 1_000_000
    act = Act(wall_ms, "", "Command line", "", "", "file", words, about, "done")
    with suppress(StoreTrouble):
        database.write(lambda session: put_act(session, act))


def _named(hall: Hall, gaps: Mapping[str, str]) -> str:
    """The records in an address, by the names that people know them by."""
    names = [name for gap, key in gaps.items() if (name := _name(hall, gap, key))]
    return ", ".join(dict.fromkeys(names))


def _name(hall: Hall, gap: str, key: str) -> str:
    if gap == "device_id":
        welcome = hall.database.read(welcome_devices)
        return next((device.name for device in welcome if device.id == key), "")
    roster = hall.projection.roster
    if roster is None or gap == "token":
        return ""
    if gap == "protest":
        key = next((one.entry for one in roster.protests if one.id == key), "")
    for heat in roster.heats:
        if heat.id == key:
            return _heat(roster, heat)
        for lane in heat.lanes:
            if lane.id == key:
                return _lane(roster, heat, lane)
    lists: tuple[Iterable[Any], ...] = (roster.entries, roster.athletes, roster.events, roster.divisions, roster.clubs)
    everything = chain(*lists, roster.judges, roster.plate_sets)
    return next((str(one.name) for one in everything if one.id == key), "")


def _heat(roster: Roster, heat: Heat) -> str:
    event = next((one.name for one in roster.events if one.id == heat.event), "")
    return f"{event}, heat {heat.number}"


def _lane(roster: Roster, heat: Heat, lane: Assignment) -> str:
    entry = next((one.name for one in roster.entries if one.id == lane.entry), "")
    return f"{entry}, lane {lane.lane} of {_heat(roster, heat)}"
