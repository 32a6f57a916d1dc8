"""Check-in at the door: who is here, whose waiver was seen, what is still missing of whom, found by name, club or entry.

Of a person only this is kept: here or not, waiver seen or not, each with when and by whom, and what an event needs: bodyweight,
reach, opener, and the height that tells a slip in the reach. None of the first two, nor the height, is in the competition file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sqlmodel import Session

from app.hall.changing import look_again
from app.hall.forms import refuse
from app.hall.hall import Hall
from app.hall.markings import markings_of
from app.hall.organising import found, needed_roster
from app.hall.views import State
from app.people.found_by import found_by
from app.people.openers import lifters_of, stored_opener
from app.rules.records.markings import Markings, line_text, measured, protocol_of
from app.rules.records.measuring import Protocol
from app.rules.records.resting import asked_of_body
from app.rules.records.roster import Athlete, Event, Roster
from app.rules.values.alphabet import folded, in_order
from app.rules.values.words import say
from app.rules.workout.words import listed
from app.store.entering import CHECKINS, Checkin, checkin, checkins

Seen = Literal["present", "waiver"]
WHAT: Mapping[Seen, str] = {"present": "here", "waiver": "waiver seen"}
# What may be missing of a person, in words, and the field that says it.
BODY = {"bodyweight": "bodyweight", "category (women or men)": "sex", "age": "age"}
SHOWN = 60  # rows; the search finds the rest


@dataclass(frozen=True, slots=True)
class DoorRow:
    """One athlete on the check-in page. `missing` names what is still to be asked."""

    id: str
    name: str
    club: str
    entries: str
    here: bool
    here_words: str
    waiver: bool
    waiver_words: str
    missing: tuple[str, ...]
    state: State


@dataclass(frozen=True, slots=True)
class Door:
    """The check-in page: how many are missing what, and those that were looked for."""

    total: int
    here: int
    counts: tuple[tuple[str, int], ...]
    rows: tuple[DoorRow, ...]
    more: int
    lines: tuple[str, ...]
    classes: bool = False


@dataclass(frozen=True, slots=True)
class Needs:
    """What is asked of athletes: bodyweight, sex or age (by their fields) for ties and points, a reach for a wall line.
    `scale`: who must be weighed in, for their class asks for it."""

    body: frozenset[str]
    walls: tuple[tuple[Event, Markings], ...]
    scale: frozenset[str] = frozenset()

    @property
    def weight(self) -> bool:
        """Whether a bodyweight is asked for."""
        return "bodyweight" in self.body


def needs_of(roster: Roster) -> Needs:
    """What the events of a competition ask of its athletes."""
    body = frozenset(one for event in roster.events for one in asked_of_body(event, roster.overall))
    body |= {"sex"} if any(one.limits and one.limits.sex for one in roster.divisions) else set()
    body |= {"age"} if any(one.limits and (one.limits.from_age or one.limits.to_age) for one in roster.divisions) else set()
    marked = ((event, markings_of(roster, event)) for event in roster.events)
    weighing = {one.id for one in roster.divisions if one.limits and one.limits.weighs}
    scale = frozenset(member for entry in roster.entries if entry.division in weighing for member in entry.members)
    walls = tuple((event, markings) for event, markings in marked if markings is not None and markings.wall)
    return Needs(body, walls, scale)


def is_weighed(athlete: Athlete, seen: Checkin | None) -> bool:
    """Whether the bodyweight that stands in the list is what the scale showed."""
    return seen is not None and seen.weighed is not None and seen.weighed == athlete.bodyweight


async def door(hall: Hall, wanted: str = "", show: str = "") -> Door:
    """The check-in page. `wanted` is looked for in names, clubs and entries; `show`: `missing` hides who is done."""
    roster = needed_roster(hall)
    seen = await hall.database.aread(checkins)
    needs, entries = needs_of(roster), _entries(roster)
    unplanned = _without_opener(roster)
    clubs = {club.id: club.name for club in roster.clubs}
    rows = [
        _row(roster, athlete, clubs.get(athlete.club or "", ""), entries[athlete.id], seen.get(athlete.id), needs, unplanned)
        for athlete in in_order(roster.athletes)
        if athlete.id in entries
    ]
    words = folded(wanted).split()
    shown = [row for row in rows if _matches(row, words) and (show != "missing" or row.missing)]
    names = ("waiver", *BODY, "weigh-in", "reach", "opener")
    counts = tuple((name, sum(1 for row in rows if name in row.missing)) for name in names)
    return Door(
        total=len(rows),
        here=sum(1 for row in rows if row.here),
        counts=tuple((name, count) for name, count in counts if count or name == "waiver"),
        rows=tuple(shown[:SHOWN]),
        more=max(0, len(shown) - SHOWN),
        lines=tuple(event.name for event, _ in needs.walls),
        classes=any(one.limits for one in roster.divisions),
    )


def _entries(roster: Roster) -> dict[str, list[str]]:
    """The entries of each athlete who is in one, with their divisions."""
    divisions = {division.id: division.name for division in roster.divisions}
    found: dict[str, list[str]] = {}
    for entry in roster.entries:
        for member in entry.members:
            found.setdefault(member, []).append(f"{entry.name}, {divisions[entry.division]}")
    return found


def _without_opener(roster: Roster) -> set[str]:
    """The athletes who lift something that they have no opener for."""
    missing = set()
    for event in roster.events:
        for lifter in lifters_of(roster, event):
            if stored_opener(roster, lifter) is None:
                missing.add(lifter.entry.members[lifter.member - 1])
    return missing


def _row(
    roster: Roster, athlete: Athlete, club: str, entries: list[str], seen: Checkin | None, needs: Needs, unplanned: set[str]
) -> DoorRow:
    reach = measured(roster.measures).get(athlete.id)
    here, waiver = bool(seen and seen.present_ms), bool(seen and seen.waiver_ms)
    missing = [name for name, there in (("here", here), ("waiver", waiver)) if not there]
    missing += [words for words, field in BODY.items() if field in needs.body and not getattr(athlete, field)]
    missing += ["weigh-in"] if athlete.id in needs.scale and not is_weighed(athlete, seen) else []
    missing += ["reach"] if needs.walls and reach is None else []
    missing += ["opener"] if athlete.id in unplanned else []
    state = State("safe", "Done") if not missing else State("kept", "Here") if here else State("none", "Not here yet")
    return DoorRow(
        id=athlete.id,
        name=athlete.name,
        club=club,
        entries=" · ".join(entries),
        here=here,
        here_words=f"by {seen.present_by}" if seen and seen.present_ms else "",
        waiver=waiver,
        waiver_words=f"by {seen.waiver_by}" if seen and seen.waiver_ms else "",
        missing=tuple(missing),
        state=state,
    )


def _matches(row: DoorRow, words: Sequence[str]) -> bool:
    text = found_by(row.name, row.club, row.entries)
    return all(word in text for word in words)


async def see(hall: Hall, athlete: str, what: str, yes: bool, by: str) -> Athlete:
    """Notes that an athlete is here or that the waiver was seen, or takes that back. A second volunteer's yes changes nothing.

    Read and written in one transaction: two volunteers at once lose nothing of each other. Raises BadForm, NotThere.
    """
    person = found(needed_roster(hall).athletes, athlete, "athlete")
    if what not in WHAT:
        raise refuse("", f"Choose one of: {', '.join(WHAT.values())}.")
    now = hall.time.wall_ms()

    def note(session: Session) -> None:
        before = checkin(session, athlete)
        if what == "present" and bool(before.present_ms) != yes:
            CHECKINS.put(session, replace(before, present_ms=now if yes else None, present_by=by if yes else ""))
        if what == "waiver" and bool(before.waiver_ms) != yes:
            CHECKINS.put(session, replace(before, waiver_ms=now if yes else None, waiver_by=by if yes else ""))

    await hall.database.awrite(note)
    look_again(hall)
    return person


def wall_lines(roster: Roster, athlete: str) -> tuple[tuple[str, str], ...]:
    """An athlete's wall lines: the event's name and the height in words."""
    reach = measured(roster.measures).get(athlete)
    if reach is None:
        return ()
    return tuple((event.name, line_text(markings, reach) or say("wall.not_said")) for event, markings in needs_of(roster).walls)


@dataclass(frozen=True, slots=True)
class HowMeasured:
    """How the reach is measured, and for which events; several where they ask for it differently."""

    events: str
    protocol: Protocol


def how_measured(roster: Roster) -> tuple[HowMeasured, ...]:
    """Every way in which the events ask for a wall line to be measured, each once."""
    asked = [(event.name, how) for event, markings in needs_of(roster).walls if (how := protocol_of(markings)) is not None]
    each = [how for number, (_, how) in enumerate(asked) if how not in [before for _, before in asked[:number]]]
    return tuple(HowMeasured(listed([name for name, its in asked if its == how]), how) for how in each)
