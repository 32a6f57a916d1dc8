"""Entries from a file: read, looked at, stored all together or not at all, and taken back as a whole."""

import json
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256

from sqlmodel import Session

from app.hall.changing import change_roster
from app.hall.entered_words import asked_of_all
from app.hall.forms import BadForm, Problem, Typed, refuse
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.people.entry_back import UNDO, way_back
from app.people.entry_columns import (
    Layout,
    Meant,
    cell_of,
    column_choices,
    guessed_layout,
    is_private,
    plain_heading,
    typed_layout,
)
from app.people.entry_file import MOST_BYTES, MOST_ROWS, SEPARATORS, Row, column_letter, guessed_separator, rows_of, tidy
from app.people.entry_openers import lifts_of
from app.people.entry_plan import Change, Known, Plan, plan_of
from app.people.entry_rows import read_rows
from app.rules.records.roster import Roster
from app.store.devices import get_setting, put_setting
from app.store.entering import CHECKINS, MEASURES, checkin, checkins, imported, put_imported
from app.store.entries import put_entry
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS, OPENERS

COLUMNS = "entries-columns"  # the name under which the store keeps what headings were said to mean
MOST_REMEMBERED = 300  # headings; the oldest go
SHOWN_ROWS = 12
MOST_ROW_WORDS = 120
SHOWN_PROBLEMS = 200


@dataclass(frozen=True, slots=True)
class ColumnView:
    """A column on the page: its letter and heading, what it is taken for, its first cells, and why it is left out."""

    number: int
    letter: str
    heading: str
    value: str
    cells: tuple[str, ...]
    private: bool


@dataclass(frozen=True, slots=True)
class RowView:
    """A row that has something to mend, or that is left out; `stamp` names what it says."""

    number: int
    stamp: str
    words: str
    out: bool


@dataclass(frozen=True, slots=True)
class Look:
    """What the page shows of a list before anything is saved. marked: rows to mend or left out; numbered: it has start numbers;
    asked: what will be asked of the entries of events once it is stored. one_person: who is taken for one athlete, though one
    of the rows names no club."""

    columns: tuple[ColumnView, ...]
    choices: tuple[Choice, ...]
    row_is: str
    headed: bool
    separator: str
    rows: int
    problems: tuple[Problem, ...]
    more_problems: int
    odd: tuple[Problem, ...]
    added: tuple[Change, ...]
    changed: tuple[Change, ...]
    same: int
    missing: tuple[str, ...]
    leaving: tuple[str, ...]
    new_divisions: tuple[str, ...]
    nothing: bool
    marked: tuple[RowView, ...]
    numbered: bool
    asked: tuple[str, ...]
    one_person: tuple[str, ...]

    @property
    def ready(self) -> bool:
        """Whether it could be stored."""
        return not self.problems and not self.nothing


@dataclass(frozen=True, slots=True)
class Taken:
    """A list taken apart: its rows, how they are read, and the numbers of those that somebody leaves out."""

    rows: list[Row]
    layout: Layout
    separator: str
    out: frozenset[int]


def looked(hall: Hall, typed: Typed, known: Known) -> Look:
    """A list as it is understood. Raises BadForm for a text that can't be taken apart at all."""
    roster = needed_roster(hall)
    meant = _meant(roster, known)
    taken = _taken_apart(typed, meant)
    rows, layout = taken.rows, taken.layout
    plan, odd = _planned(roster, typed, taken, known)
    wanted = max([event.format.members for event in roster.events] + [column.member for column in layout.columns] + [1])
    problems = tuple(plan.problems)
    return Look(
        columns=_columns(rows, layout),
        choices=tuple(Choice(value, words) for value, words in column_choices(min(12, max(wanted, 4)), meant.lifts)),
        row_is=layout.row_is,
        headed=layout.headed,
        separator=taken.separator,
        rows=len(rows) - layout.headed,
        problems=problems[:SHOWN_PROBLEMS],
        more_problems=max(0, len(problems) - SHOWN_PROBLEMS),
        odd=tuple(odd),
        added=tuple(plan.of_kind("added")),
        changed=tuple(plan.of_kind("changed")),
        same=len(plan.of_kind("same")),
        missing=tuple(entry.name for entry in plan.missing),
        leaving=tuple(athlete.name for athlete in plan.leaving),
        new_divisions=tuple(division.name for division in plan.divisions),
        nothing=plan.empty,
        marked=tuple(_row_views(taken, plan.bad))[:SHOWN_PROBLEMS],
        numbered=layout.place("number") is not None,
        asked=_asked(roster, plan) if not plan.problems else (),
        one_person=tuple(plan.one_person.values()),
    )


def _taken_apart(typed: Typed, meant: Meant) -> Taken:
    text = typed.get("text", "")
    if not text.strip():
        raise refuse("file", "The list is empty. Choose a CSV file and send it again.")
    if len(text.encode()) > 3 * MOST_BYTES:
        raise refuse("text", f"The list is too long. At most {MOST_ROWS} rows can be read at once.")
    separator = typed.get("separator", "")
    separator = separator if separator in SEPARATORS else guessed_separator(text)
    rows = rows_of(text, separator)
    layout = typed_layout(typed, rows, meant)
    if len(rows) <= layout.headed:
        raise refuse("text", "The list has headings, but no row under them.")
    out = frozenset(row.number for row in rows[int(layout.headed) :] if typed.get(f"out-{row.number}") == _stamp(row))
    return Taken(rows, layout, separator, out)


def _stamp(row: Row) -> str:
    """Names what a row says, so that a row is left out as it was when somebody said so, and no other in its place."""
    return sha256(json.dumps(row.cells).encode()).hexdigest()[:16]


def _planned(roster: Roster, typed: Typed, taken: Taken, known: Known) -> tuple[Plan, list[Problem]]:
    """The plan, with the problems of the rows first: a list with a problem is compared with nothing."""
    fallback = next((one.name for one in roster.divisions if one.id == typed.get("division", "")), "")
    rows = [row for row in taken.rows if row.number not in taken.out]
    reader = read_rows(rows, taken.layout, roster.competition.unit, fallback, bool(typed.get("numbers_first")))
    if reader.problems:
        return Plan(problems=reader.problems, bad=reader.bad), reader.odd
    plan = plan_of(roster, known, reader, bool(typed.get("make_divisions")))
    return plan, reader.odd


def _row_views(taken: Taken, bad: Collection[int]) -> Iterator[RowView]:
    """The rows that have something to mend, or are left out."""
    for row in taken.rows:
        if row.number in taken.out or row.number in bad:
            words = ", ".join(cell for cell in map(tidy, row.cells) if cell)
            yield RowView(row.number, _stamp(row), words[:MOST_ROW_WORDS], row.number in taken.out)


def _asked(roster: Roster, plan: Plan) -> tuple[str, ...]:
    """What would be asked of the entries of events after the import, and is not asked yet."""
    entries = {one.id: one for one in roster.entries} | plan.entries
    after = {"divisions": (*roster.divisions, *plan.divisions), "entries": tuple(entries.values())}
    before = {one.sentence for one in asked_of_all(roster)}
    return tuple(one.sentence for one in asked_of_all(roster.model_copy(update=after)) if one.sentence not in before)


def _columns(rows: list[Row], layout: Layout) -> tuple[ColumnView, ...]:
    views = []
    for number, column in enumerate(layout.columns):
        heading = cell_of(rows[0], number) if layout.headed else ""
        cells = tuple(cell_of(row, number) for row in rows[int(layout.headed) : SHOWN_ROWS + 1][:3])
        views.append(ColumnView(number, column_letter(number), heading, column.value, cells, is_private(heading)))
    return tuple(views)


async def known_before(hall: Hall) -> Known:
    """What is known beside the roster from earlier lists and from the door."""

    def read(session: Session) -> Known:
        heights = {key: seen.height for key, seen in checkins(session).items() if seen.height is not None}
        return Known(imported(session), heights, json.loads(get_setting(session, COLUMNS) or "{}"))

    return await hall.database.aread(read)


async def store_list(hall: Hall, typed: Typed) -> None:
    """Stores a whole list in one step, and how to take it back. Raises BadForm, storing nothing, for any problem."""
    known = await known_before(hall)
    roster = needed_roster(hall)
    taken = _taken_apart(typed, _meant(roster, known))
    plan, odd = _planned(roster, typed, taken, known)
    if plan.problems:
        raise BadForm(plan.problems)
    if odd and not typed.get("odd_is_right"):
        raise BadForm([Problem("odd_is_right", "Some values are unusual. Confirm that they are correct, or fix them."), *odd])
    if plan.empty:
        raise refuse("text", "Everything in this list is saved already. Nothing would change.")
    step = way_back(hall, plan, roster, known, typed.get("file_name", ""))
    columns = _remembered(taken, _meant(roster, known))

    def store(session: Session) -> None:
        for division in plan.divisions:
            DIVISIONS.put(session, division)
        for club in plan.clubs:
            CLUBS.put(session, club)
        for athlete in plan.athletes.values():
            ATHLETES.put(session, athlete)
        for entry in plan.entries.values():
            put_entry(session, entry)
        for entry_id, key in plan.keys.items():
            put_imported(session, entry_id, key)
        for athlete in plan.leaving:
            ATHLETES.delete(session, athlete.id)
        for key, height in plan.heights.items():
            CHECKINS.put(session, replace(checkin(session, key), height=height))
        for measure in plan.measures.values():
            MEASURES.put(session, measure)
        for opener in plan.openers.values():
            OPENERS.put(session, opener)
        put_setting(session, UNDO, json.dumps(step))
        put_setting(session, COLUMNS, json.dumps(columns))

    await change_roster(hall, store)


def _meant(roster: Roster, known: Known) -> Meant:
    return Meant(lifts_of(roster), known.columns)


def _remembered(taken: Taken, meant: Meant) -> dict[str, str]:
    """What headings were said to mean, where that is not what they usually mean."""
    columns = dict(meant.remembered)
    usual = guessed_layout(taken.rows, Meant(meant.lifts)).columns
    for number, column in enumerate(taken.layout.columns if taken.layout.headed else ()):
        heading = plain_heading(cell_of(taken.rows[0], number))
        columns.pop(heading, None)
        if heading and (number >= len(usual) or usual[number].value != column.value):
            columns[heading] = column.value
    return dict(list(columns.items())[-MOST_REMEMBERED:])
