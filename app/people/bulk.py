"""Many entries at once, pasted as lines: `division; entry name; member A (club); member B (club)`. All or nothing."""

import re
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import BadForm, Problem, Reading
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.people.entering import Named, People
from app.rules.records.roster import Division, Entry, Roster
from app.rules.values.units import shown
from app.rules.workout.formats import MOST_MEMBERS
from app.store.entries import put_entry
from app.store.kinds import DIVISIONS

MOST_LINES = 2000
MEMBER = re.compile(r"(?P<name>[^()]*?)\s*(?:\((?P<club>[^()]*)\))?")
EXAMPLE = "Open pairs; The Long Lever; Ana Ruiz (North Hall); Bo Lind (North Hall)"


@dataclass(frozen=True, slots=True)
class BulkLine:
    """One pasted line as understood, and what is wrong with it. `new_division`: the division will be made."""

    number: int
    text: str
    division: str = ""
    new_division: bool = False
    entry: str = ""
    members: tuple[Named, ...] = ()
    problems: tuple[str, ...] = ()


def read_lines(text: str, roster: Roster, make_divisions: bool) -> list[BulkLine]:
    """Every line that is not empty, with its problems; names that two lines share are problems of the later one."""
    taken = {(_division_name(roster, entry), entry.name.casefold()) for entry in roster.entries}
    known = {division.name.casefold(): division.name for division in roster.divisions}
    lines = []
    for number, raw in enumerate(text.splitlines(), 1):
        if not raw.strip():
            continue
        line = _read_line(number, raw.strip(), known, make_divisions)
        key = (line.division.casefold(), line.entry.casefold())
        if line.entry and key in taken:
            line = replace(line, problems=(*line.problems, f"There is already an entry called {line.entry} in {line.division}."))
        taken.add(key)
        lines.append(line)
    return lines


def _division_name(roster: Roster, entry: Entry) -> str:
    return next(division.name for division in roster.divisions if division.id == entry.division).casefold()


def _read_line(number: int, text: str, known: dict[str, str], make_divisions: bool) -> BulkLine:
    parts = [part.strip() for part in (text.split("\t") if "\t" in text else text.split(";"))]
    while parts and not parts[-1]:
        parts.pop()
    if len(parts) < 3:
        return BulkLine(number, text, problems=(f"A line needs a division, an entry name and a member, such as “{EXAMPLE}”.",))
    read = Reading({"division": parts[0], "entry": parts[1]})
    division, entry = read.name("division", "The division"), read.name("entry", "The entry's name")
    new = division.casefold() not in known
    if new and division and not make_divisions:
        read.wrong(
            "division", f"There is no division {shown(division)}. The divisions are: {', '.join(known.values()) or 'none yet'}."
        )
    members = _members(read, parts[2:])
    problems = tuple(problem.sentence for problem in read.problems)
    return BulkLine(number, text, known.get(division.casefold(), division), new, entry, members, problems)


def _members(read: Reading, parts: list[str]) -> tuple[Named, ...]:
    members: list[Named] = []
    if len(parts) > MOST_MEMBERS:
        read.wrong("member", f"An entry has at most {MOST_MEMBERS} members; this one has {len(parts)}.")
    for place, part in enumerate(parts[:MOST_MEMBERS], 1):
        match = MEMBER.fullmatch(part)
        if match is None or not match["name"]:
            read.wrong("member", f"Member {place} is a name, then the club in brackets if there is one; not “{shown(part)}”.")
            continue
        one = Reading({"name": match["name"], "club": match["club"] or ""})
        named = Named(one.name("name", f"Member {place}'s name"), one.optional("club", f"Member {place}'s club"))
        read.problems += one.problems
        if any((m.name.casefold(), m.club.casefold()) == (named.name.casefold(), named.club.casefold()) for m in members):
            read.wrong("member", f"{named.name} is there twice.")
        members.append(named)
    return tuple(members)


async def store_lines(hall: Hall, text: str, make_divisions: bool) -> int:
    """Stores all pasted entries and returns how many. Raises BadForm, storing nothing, if any line has a problem."""
    roster = needed_roster(hall)
    lines = read_lines(text, roster, make_divisions)
    if not lines:
        raise BadForm([Problem("lines", f"Nothing was pasted. Type lines such as “{EXAMPLE}”.")])
    if len(lines) > MOST_LINES:
        raise BadForm([Problem("lines", f"These are {len(lines)} lines; at most {MOST_LINES} can be saved at once.")])
    problems = [Problem("lines", f"Line {line.number}: {sentence}") for line in lines for sentence in line.problems]
    if problems:
        raise BadForm(problems)
    divisions, new_divisions = _divisions(roster, lines)
    people = People.of(roster)
    entries = [
        Entry(
            id=new_id(),
            division=divisions[line.division.casefold()],
            name=line.entry,
            members=tuple(people.member(named) for named in line.members),
        )
        for line in lines
    ]

    def store(session: Session) -> None:
        for division in new_divisions:
            DIVISIONS.put(session, division)
        people.store(session)
        for entry in entries:
            put_entry(session, entry)

    await change_roster(hall, store)
    return len(entries)


def _divisions(roster: Roster, lines: list[BulkLine]) -> tuple[dict[str, str], list[Division]]:
    """Division ids by name, and the divisions that the lines bring into being."""
    ids = {division.name.casefold(): division.id for division in roster.divisions}
    new: list[Division] = []
    for line in lines:
        if line.division.casefold() not in ids:
            division = Division(id=new_id(), name=line.division)
            ids[line.division.casefold()] = division.id
            new.append(division)
    return ids, new
