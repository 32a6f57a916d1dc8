"""What the pages of people show: divisions, entries, clubs and athletes as lists, and their forms as stored."""

from dataclasses import dataclass
from itertools import pairwise

from app.hall.forms import Typed, row_numbers
from app.hall.hall import Hall
from app.hall.lane_rows import LETTERS, member_names
from app.hall.lists import Group, Line, lines_in_order
from app.hall.organising import found, needed_roster
from app.people.entering import named_members
from app.rules.records.roster import Competition, Entry
from app.rules.values.alphabet import in_order
from app.rules.values.words import say
from app.rules.workout.formats import MOST_MEMBERS
from app.rules.workout.safety import FACTS


@dataclass(frozen=True, slots=True)
class MemberField:
    """A member's row in the entry form."""

    number: int
    letter: str


def competition_form(competition: Competition) -> Typed:
    """The competition's form filled with what is stored."""
    named = {"name": competition.name, "place": competition.place, "day": competition.day, "unit": competition.unit}
    named |= {"protest_minutes": str(competition.protest_minutes), "appeal_minutes": str(competition.appeal_minutes)}
    named["protest_from"] = competition.protest_from
    return named | {field: getattr(competition.safety, field) for field, _, _ in FACTS}


def division_lines(hall: Hall) -> tuple[Line, ...]:
    """The divisions in their order, each with the number of its entries."""
    roster = needed_roster(hall)
    counts = {division.id: sum(1 for entry in roster.entries if entry.division == division.id) for division in roster.divisions}
    return lines_in_order([(one.id, one.name, say("list.entries", n=counts[one.id])) for one in roster.divisions])


def entry_groups(hall: Hall) -> tuple[Group, ...]:
    """The entries by division, in their order."""
    roster = needed_roster(hall)
    groups = []
    for division in roster.divisions:
        entries = [entry for entry in roster.entries if entry.division == division.id]
        groups.append(Group(division.name, lines_in_order([(one.id, one.name, member_names(roster, one)) for one in entries])))
    return tuple(groups)


def entry_after(hall: Hall, key: str) -> str:
    """The entry that follows one where they are listed, by division and in their order; empty after the last."""
    roster = needed_roster(hall)
    keys = [entry.id for division in roster.divisions for entry in roster.entries if entry.division == division.id]
    return next((after for before, after in pairwise(keys) if before == key), "")


def entry_typed(hall: Hall, key: str) -> Typed:
    """An entry's form as stored. Raises NotThere."""
    roster = needed_roster(hall)
    entry = found(roster.entries, key, "entry")
    typed = {"name": entry.name, "division": entry.division, "team": entry.team}
    for number, named in enumerate(named_members(roster, entry)):
        typed |= {f"member-{number}-name": named.name, f"member-{number}-club": named.club}
        typed[f"member-{number}-said"] = named.said_like or ""
        typed |= {f"member-{number}-sex": named.sex or "", f"member-{number}-age": str(named.age or "")}
    return typed


def member_fields(hall: Hall, typed: Typed) -> tuple[MemberField, ...]:
    """The rows for members: as many as the events want, and as many as the form has."""
    wanted = max((event.format.members for event in needed_roster(hall).events), default=2)
    rows = max(row_numbers(typed, "member"), default=-1) + 1
    return tuple(MemberField(number, LETTERS[number]) for number in range(min(MOST_MEMBERS, max(wanted, rows))))


def division_tick(hall: Hall) -> dict[str, str]:
    """The tick that makes divisions as a list names them, set for a hall that has none yet."""
    return {} if needed_roster(hall).divisions else {"make_divisions": "on"}


def people_lines(hall: Hall) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The clubs with the number of their athletes, and the athletes with the entries they are in."""
    roster = needed_roster(hall)
    clubs = tuple(
        Line(
            club.id,
            club.name,
            say("list.athletes", n=sum(1 for one in roster.athletes if one.club == club.id)),
            colour=club.colour,
        )
        for club in in_order(roster.clubs)
    )
    entries: dict[str, list[Entry]] = {}
    for entry in roster.entries:
        for member in entry.members:
            entries.setdefault(member, []).append(entry)
    divisions = {one.id: one.name for one in roster.divisions}

    def stands(athlete: str) -> str:
        its = entries.get(athlete, [])
        return ", ".join(one.name if len(its) == 1 else f"{one.name} ({divisions[one.division]})" for one in its)

    athletes = tuple(
        Line(
            one.id,
            one.name,
            stands(one.id) or "in no entry",
            club=one.club or "",
            weight=one.bodyweight.text() if one.bodyweight else "",
        )
        for one in in_order(roster.athletes)
    )
    return clubs, athletes
