"""Entries from a file: read, looked at, stored all together or not at all, and taken back as a whole."""

import json
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.backup_age import ago
from app.hall.changing import change_roster
from app.hall.forms import BadForm, Problem, Typed, refuse
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.people.entry_columns import Layout, cell_of, column_choices, is_private, typed_layout
from app.people.entry_file import MOST_BYTES, MOST_ROWS, SEPARATORS, Row, column_letter, guessed_separator, rows_of
from app.people.entry_plan import Change, Plan, plan_of
from app.people.entry_rows import read_rows
from app.rules.records.roster import Athlete, Entry
from app.store.devices import delete_setting, get_setting, put_setting
from app.store.entering import imported, put_imported
from app.store.entries import delete_entry, put_entry
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS
from app.store.refusals import InUse, NotThere

UNDO = "entries-import"  # the name under which the store keeps how the last import is taken back
SHOWN_ROWS = 12
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
class Look:
    """What the page shows of a list before anything is stored."""

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

    @property
    def ready(self) -> bool:
        """Whether it could be stored."""
        return not self.problems and not self.nothing


@dataclass(frozen=True, slots=True)
class LastImport:
    """The last import, that can be taken back."""

    when: str
    words: str


def looked(hall: Hall, typed: Typed, keys: dict[str, str]) -> Look:
    """A list as it is understood. Raises BadForm for a text that can't be taken apart at all."""
    rows, layout, separator = _taken_apart(typed)
    roster = needed_roster(hall)
    plan, odd = _planned(hall, typed, rows, layout, keys)
    wanted = max([event.format.members for event in roster.events] + [column.member for column in layout.columns] + [1])
    problems = tuple(plan.problems)
    return Look(
        columns=_columns(rows, layout),
        choices=tuple(Choice(value, words) for value, words in column_choices(min(12, max(wanted, 4)))),
        row_is=layout.row_is,
        headed=layout.headed,
        separator=separator,
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
    )


def _taken_apart(typed: Typed) -> tuple[list[Row], Layout, str]:
    text = typed.get("text", "")
    if not text.strip():
        raise refuse("file", "The list is empty. Choose a CSV file and send it again.")
    if len(text.encode()) > 3 * MOST_BYTES:
        raise refuse("text", f"The list is too long. At most {MOST_ROWS} rows can be read at once.")
    separator = typed.get("separator", "")
    separator = separator if separator in SEPARATORS else guessed_separator(text)
    rows = rows_of(text, separator)
    layout = typed_layout(typed, rows)
    if len(rows) <= layout.headed:
        raise refuse("text", "The list has headings, but no row under them.")
    return rows, layout, separator


def _planned(hall: Hall, typed: Typed, rows: list[Row], layout: Layout, keys: dict[str, str]) -> tuple[Plan, list[Problem]]:
    """The plan, with the problems of the rows first: a list with a problem is compared with nothing."""
    roster = needed_roster(hall)
    fallback = next((one.name for one in roster.divisions if one.id == typed.get("division", "")), "")
    reader = read_rows(rows, layout, roster.competition.unit, fallback)
    if reader.problems:
        return Plan(problems=reader.problems), reader.odd
    return plan_of(roster, keys, reader.listed, bool(typed.get("make_divisions"))), reader.odd


def _columns(rows: list[Row], layout: Layout) -> tuple[ColumnView, ...]:
    views = []
    for number, column in enumerate(layout.columns):
        heading = cell_of(rows[0], number) if layout.headed else ""
        cells = tuple(cell_of(row, number) for row in rows[int(layout.headed) : SHOWN_ROWS + 1][:3])
        views.append(ColumnView(number, column_letter(number), heading, column.value, cells, is_private(heading)))
    return tuple(views)


async def stored_keys(hall: Hall) -> dict[str, str]:
    """The ids under which entries were imported before, by entry."""
    return await hall.database.aread(imported)


async def store_list(hall: Hall, typed: Typed) -> None:
    """Stores a whole list in one step, and how to take it back. Raises BadForm, storing nothing, for any problem."""
    rows, layout, _ = _taken_apart(typed)
    keys = await stored_keys(hall)
    plan, odd = _planned(hall, typed, rows, layout, keys)
    if plan.problems:
        raise BadForm(plan.problems)
    if odd and not typed.get("odd_is_right"):
        raise BadForm([Problem("odd_is_right", "Some values are unusual. Say that they are right, or mend them."), *odd])
    if plan.empty:
        raise refuse("text", "Everything in this list is stored already. Nothing would change.")
    roster = needed_roster(hall)
    step = _way_back(hall, plan, roster.entries, roster.athletes, keys, typed.get("file_name", ""))

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
        put_setting(session, UNDO, json.dumps(step))

    await change_roster(hall, store)


def _way_back(
    hall: Hall, plan: Plan, entries: tuple[Entry, ...], athletes: tuple[Athlete, ...], keys: dict[str, str], name: str
) -> dict[str, Any]:
    """How an import is taken back: each record before and after it."""
    were = {one.id: one.model_dump(mode="json") for one in entries}
    were |= {one.id: one.model_dump(mode="json") for one in athletes}
    leaving: dict[str, Any] = {one.id: None for one in plan.leaving}
    after = {key: one.model_dump(mode="json") for key, one in plan.athletes.items()} | leaving
    added, changed = len(plan.of_kind("added")), len(plan.of_kind("changed"))
    return {
        "when": hall.time.wall_ms(),
        "words": f"{added} added, {changed} changed{f', from {name}' if name else ''}",
        "divisions": [one.id for one in plan.divisions],
        "clubs": [one.id for one in plan.clubs],
        "entries": {key: [were.get(key), one.model_dump(mode="json")] for key, one in plan.entries.items()},
        "athletes": {key: [were.get(key), one] for key, one in after.items()},
        "keys": {key: keys.get(key, "") for key in plan.keys},
    }


async def last_import(hall: Hall) -> LastImport | None:
    """The last import, if it can be taken back."""
    kept = await hall.database.aread(lambda session: get_setting(session, UNDO))
    if kept is None:
        return None
    step = json.loads(kept)
    return LastImport(ago(hall, step["when"]), step["words"])


async def take_back(hall: Hall) -> str:
    """Takes the last import back as a whole; what somebody changed since stays, and is named. Returns what was done, in words.

    Raises BadForm when there is none, InUse (with nothing taken back) when one of its entries stands on a start list.
    """
    kept = await hall.database.aread(lambda session: get_setting(session, UNDO))
    if kept is None:
        raise refuse("", "There is no import to take back.")
    step = json.loads(kept)
    roster = needed_roster(hall)
    entries = {one.id: one for one in roster.entries}
    athletes = {one.id: one for one in roster.athletes}
    stays: list[str] = []

    def undo(session: Session) -> None:
        for key, (before, after) in step["athletes"].items():
            if after is None and key not in athletes:
                ATHLETES.put(session, Athlete.model_validate(before))
        for key, (before, after) in step["entries"].items():
            there = entries.get(key)
            if there is None or there != _entry(after):
                stays.extend([there.name] if there is not None else [])
            elif before is None:
                delete_entry(session, key)
            else:
                put_entry(session, Entry.model_validate(before))
        session.flush()
        for key, (before, after) in step["athletes"].items():
            _athlete_back(session, athletes.get(key), before, after)
        for key, was in step["keys"].items():
            put_imported(session, key, was)
        _remove_unused(session, step)
        delete_setting(session, UNDO)

    await change_roster(hall, undo)
    return (
        f"The import is taken back. Changed since, and left as they are: {', '.join(stays)}."
        if stays
        else "The import is taken back."
    )


def _entry(plain: Any) -> Entry | None:
    try:
        return Entry.model_validate(plain)
    except ValidationError:
        return None


def _athlete_back(session: Session, there: Athlete | None, before: Any, after: Any) -> None:
    """One athlete as before, unless somebody changed them since; one who came with the import goes, if in no entry now."""
    if there is None or after is None or there != Athlete.model_validate(after):
        return
    if before is not None:
        ATHLETES.put(session, Athlete.model_validate(before))
        return
    try:
        ATHLETES.delete(session, there.id)
    except InUse:
        return


def _remove_unused(session: Session, step: dict[str, Any]) -> None:
    """Divisions and clubs that came with the import go, unless somebody uses them by now."""
    session.flush()
    for keys, delete in ((step["clubs"], CLUBS.delete), (step["divisions"], DIVISIONS.delete)):
        for key in keys:
            try:
                delete(session, key)
            except (InUse, NotThere):
                continue
