"""Rows of a list of entries read as entries: every value understood or refused with a sentence that names its cell."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from app.hall.forms import Problem, Reading
from app.people.entry_columns import Column, Layout, What, cell_of
from app.people.entry_facts import Cell, ListedOpener, Value, age_in, height_in, reach_in, said_in, sex_in, weight_in
from app.people.entry_file import Row, at_cell, column_letter
from app.rules.records.body_formulas import Sex
from app.rules.values.lengths import Length
from app.rules.values.units import Load, LoadUnit
from app.rules.workout.formats import MOST_MEMBERS

MOST_KEY = 60


@dataclass(frozen=True, slots=True)
class ListedMember:
    """A member as listed; None for what the list does not say, which stays as it is stored."""

    name: str
    club: str | None = None
    weight: Load | None = None
    age: int | None = None
    sex: Sex | None = None
    height: Length | None = None
    reach: Length | None = None
    said: str | None = None
    openers: tuple[ListedOpener, ...] = ()


@dataclass(frozen=True, slots=True)
class Listed:
    """An entry as listed, and the rows it stands in. `number`: its start number, by which it is known again without an id.
    `team`: whom its points count for, None where no column says it."""

    rows: tuple[int, ...]
    division: str
    name: str
    members: tuple[ListedMember, ...]
    key: str = ""
    number: str = ""
    team: str | None = None

    @property
    def numbered(self) -> str:
        """Its name with its start number before it, once."""
        return f"{self.number} {self.plain_name}" if self.number else self.name

    @property
    def plain_name(self) -> str:
        """Its name without its start number."""
        return self.name.removeprefix(f"{self.number} ") if self.number else self.name

    @property
    def known_by(self) -> str:
        """By what it is known again in the next list."""
        return self.key or self.number


@dataclass(slots=True)
class Reader:
    """What reading the rows came to: entries, problems by cell, and odd values that are asked about once. `bad`: the rows with a
    problem."""

    layout: Layout
    headings: tuple[str, ...]
    unit: LoadUnit
    fallback: str = ""
    listed: list[Listed] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    odd: list[Problem] = field(default_factory=list)
    bad: set[int] = field(default_factory=set)

    def wrong(self, row: int, place: int | None, sentence: str) -> None:
        """Notes a problem at a cell, or at a row as a whole."""
        self.bad.add(row)
        if place is None:
            self.problems.append(Problem("text", f"Row {row}: {sentence}"))
        else:
            self.problems.append(at_cell(row, place, self._heading(place), sentence))

    def _heading(self, place: int) -> str:
        return self.headings[place] if place < len(self.headings) else ""

    def name(self, row: Row, place: int | None, what: str, needed: bool = True) -> str:
        """A cell that holds a name."""
        read = Reading({"cell": cell_of(row, place)})
        text = read.name("cell", what) if needed else read.optional("cell", what)
        for problem in read.problems:
            self.wrong(row.number, place, problem.sentence)
        return text

    def member(self, row: Row, number: int) -> ListedMember | None:
        """The member of that number (0: the row's only one) as listed; None where the cells are empty."""
        place, parts = self._name_places(number)
        if not parts:
            return None
        name = " ".join(text for text in (self.name(row, part, "The athlete's name", False) for part in parts) if text)
        club_place = self._shared("club", number)
        club = cell_of(row, club_place)
        if not name:
            own = [n for n, one in enumerate(self.layout.columns) if one.member == number and (number or one.what in FACTS)]
            if any(cell_of(row, n) for n in own if n not in parts):
                self.wrong(row.number, place, "The athlete's name is missing, but other columns describe the athlete.")
            return None
        if len(parts) > 1 and not all(cell_of(row, part) for part in parts):
            self.wrong(row.number, place, f"{name} has only a first or a last name.")
        said = self.name(row, club_place, "The club", False) if club else None
        height = self._fact(row, "height", number, height_in)
        return ListedMember(
            name,
            said,
            weight=self._fact(row, "weight", number, lambda cell: weight_in(cell, self._weight_unit(number))),
            age=self._fact(row, "age", number, age_in),
            sex=self._fact(row, "sex", number, sex_in),
            height=height,
            reach=self._fact(row, "reach", number, lambda cell: reach_in(cell, height)),
            said=self._fact(row, "said", number, said_in),
            openers=tuple(self._openers(row, number)),
        )

    def _fact(self, row: Row, what: What, number: int, read: Callable[[Cell], Value | None]) -> Value | None:
        """What a member's own column says; None for an empty cell."""
        place = self.layout.place(what, number)
        text = cell_of(row, place)
        return None if place is None or not text else read(self.cell(row.number, place, text))

    def cell(self, row: int, place: int, text: str) -> Cell:
        """A cell with the places where its problems and odd values are noted."""
        return Cell(
            text,
            lambda sentence: self.wrong(row, place, sentence),
            lambda sentence: self.odd.append(at_cell(row, place, self._heading(place), sentence)),
        )

    def _weight_unit(self, number: int) -> LoadUnit:
        place = self.layout.place("weight", number)
        return (self.layout.columns[place].unit if place is not None else None) or self.unit

    def _openers(self, row: Row, number: int) -> Iterator[ListedOpener]:
        for place, column in self.layout.openers(number):
            if text := cell_of(row, place):
                yield ListedOpener(column.lift, text, place, column.unit)

    def _name_places(self, number: int) -> tuple[int | None, list[int]]:
        whole = self.layout.place("athlete", number)
        if whole is not None:
            return whole, [whole]
        parts = [place for place in (self.layout.place("first", number), self.layout.place("last", number)) if place is not None]
        return (parts[0] if parts else None), parts

    def _shared(self, what: What, number: int) -> int | None:
        """A member's own column, else, for clubs, the one that speaks for all members of the row."""
        own = self.layout.place(what, number)
        return self.layout.place(what) if own is None and what == "club" else own


def read_rows(rows: Sequence[Row], layout: Layout, unit: LoadUnit, fallback: str = "", numbers_first: bool = False) -> Reader:
    """Reads all rows. `unit` is that of bare bodyweights, `fallback` the division of a list that names none; `numbers_first`:
    start numbers stand before the names of entries, and so wherever an entry is named."""
    headings = tuple(cell_of(rows[0], n) for n in range(len(layout.columns))) if rows and layout.headed else ()
    reader = Reader(layout, headings, unit, fallback)
    _check_columns(reader)
    if reader.problems:
        return reader
    for row in rows[1:] if layout.headed else rows:
        extra = [n for n in range(len(layout.columns), len(row.cells)) if row.cells[n].strip()]
        if extra:
            reader.wrong(row.number, extra[0], f"This cell is beyond the last column, {column_letter(len(layout.columns) - 1)}.")
        listed = _entry(reader, row)
        if listed is not None:
            reader.listed.append(listed)
    if layout.row_is == "athlete":
        reader.listed = _joined(reader)
    _check_twice(reader)
    if numbers_first:
        reader.listed = [replace(one, name=one.numbered) for one in reader.listed]
    return reader


def _check_columns(reader: Reader) -> None:
    layout = reader.layout
    values = [column.value for column in layout.columns if column.what]
    for value in sorted({value for value in values if values.count(value) > 1}):
        places = ", ".join(column_letter(n) for n, column in enumerate(layout.columns) if column.value == value)
        reader.problems.append(Problem("columns", f"Columns {places} are the same thing. Leave out all but one."))
    if layout.place("division") is None and not reader.fallback:
        reader.problems.append(
            Problem("columns", "No column holds the division. Choose one, or choose a division for the whole list.")
        )
    if not any(column.what in ("athlete", "first", "last") for column in layout.columns):
        reader.problems.append(Problem("columns", "No column holds athletes' names. Choose the one that does."))


def _entry(reader: Reader, row: Row) -> Listed | None:
    """One row as an entry of its own; rows of one team are joined afterwards."""
    before = len(reader.problems)
    layout = reader.layout
    place = layout.place("division")
    division = reader.fallback if place is None else reader.name(row, place, "The division")
    numbers = sorted({column.member for column in layout.columns if column.what in ("athlete", "first", "last")})
    members = tuple(member for member in (reader.member(row, number) for number in numbers) if member is not None)
    if not members and len(reader.problems) == before:
        reader.wrong(row.number, reader._name_places(numbers[0])[0], "The athlete's name is missing.")
    entry_place = layout.place("entry")
    name = reader.name(row, entry_place, "The entry's name") if entry_place is not None else " & ".join(m.name for m in members)
    key, number = _named_by(reader, row, "key", "The id"), _named_by(reader, row, "number", "The start number")
    if len(reader.problems) > before:
        return None
    team_place = layout.place("team")
    team = None if team_place is None else reader.name(row, team_place, "The team for points", False)
    return Listed((row.number,), division, name, members, key, number, team)


def _named_by(reader: Reader, row: Row, what: What, called: str) -> str:
    place = reader.layout.place(what)
    read = Reading({"cell": cell_of(row, place)})
    key = read.optional("cell", called, MOST_KEY)
    for problem in read.problems:
        reader.wrong(row.number, place, problem.sentence)
    return key


def _joined(reader: Reader) -> list[Listed]:
    """Rows of one division and entry put together, in the order of their first rows."""
    entries: dict[tuple[str, str], Listed] = {}
    for one in reader.listed:
        at = (one.division.casefold(), one.name.casefold())
        there = entries.get(at)
        if there is not None and there.key != one.key:
            words = (
                f"its id differs from that of row {there.rows[0]}, of the same entry. An id belongs to an entry, not an athlete."
            )
            reader.wrong(one.rows[0], reader.layout.place("key"), words)
        if there is not None and there.number != one.number:
            words = f"its start number differs from that of row {there.rows[0]}, of the same entry. It is the entry's."
            reader.wrong(one.rows[0], reader.layout.place("number"), words)
        entries[at] = one if there is None else replace(there, rows=there.rows + one.rows, members=there.members + one.members)
    return list(entries.values())


def _check_twice(reader: Reader) -> None:
    names: dict[tuple[str, str], int] = {}
    keys: dict[str, int] = {}
    numbers: dict[str, int] = {}
    place = reader.layout.place("entry")
    for one in reader.listed:
        row = one.rows[0]
        at = (one.division.casefold(), one.name.casefold())
        if at in names:
            reader.wrong(row, place, f"{one.name} is in {one.division} twice, here and in row {names[at]}.")
        if one.key and one.key in keys:
            reader.wrong(row, reader.layout.place("key"), f"The id {one.key} is there twice, here and in row {keys[one.key]}.")
        if one.number and one.number in numbers:
            words = f"The start number {one.number} is there twice, here and in row {numbers[one.number]}."
            reader.wrong(row, reader.layout.place("number"), words)
        numbers.setdefault(one.number, row)
        names.setdefault(at, row)
        keys.setdefault(one.key, row)
        if len(one.members) > MOST_MEMBERS:
            reader.wrong(one.rows[-1], None, f"{one.name} has {len(one.members)} members; at most {MOST_MEMBERS} are possible.")
        seen: set[tuple[str, str]] = set()
        for member in one.members:
            who = (member.name.casefold(), (member.club or "").casefold())
            if who in seen:
                reader.wrong(one.rows[-1], None, f"{member.name} is in {one.name} twice.")
            seen.add(who)


FACTS = ("weight", "age", "sex", "height", "reach", "said", "opener")

__all__ = ["Column", "Listed", "ListedMember", "Reader", "read_rows"]
