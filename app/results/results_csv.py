"""The results as CSV by RFC 4180: one row for each entry, event and score. Rules only.

The file begins with a byte order mark. RFC 4180 says nothing of encodings; without the mark Excel reads UTF-8 as the machine's
old code page and turns José into JosÃ©, while csv libraries skip it ("utf-8-sig").
"""

from collections.abc import Iterator, Sequence

from app.hall.csv_text import csv_bytes, plain_text
from app.hall.result_words import part_text
from app.rules.records.roster import Roster
from app.rules.result.results import EventResults, Row, Table
from app.rules.values.units import decimal_text

COLUMNS = (
    *("event", "division", "place", "shared", "entry", "members", "clubs"),
    *("score_name", "score", "score_value", "unit", "work_left", "parts", "status", "variant", "penalty"),
)


def results_csv(roster: Roster, found: Sequence[EventResults]) -> bytes:
    """All results as a file to open in a spreadsheet."""
    clubs = clubs_of(roster)
    lines = [_line(event, table, row, clubs) for event in found for table in event.tables for row in table.rows]
    return csv_bytes([COLUMNS, *lines])


def _line(event: EventResults, table: Table, row: Row, clubs: dict[str, tuple[str, ...]]) -> Iterator[str | int]:
    made = row.score
    yield plain_text(event.event.name)
    yield plain_text(table.division_name)
    yield "" if row.place is None else row.place
    yield "yes" if row.shared else "no"
    yield plain_text(row.entry.name)
    yield plain_text("; ".join(row.members))
    yield plain_text("; ".join(clubs[row.entry.id]))
    yield plain_text(table.rule.name)
    yield "" if made is None else made.text
    yield "" if made is None else decimal_text(made.value, 6)
    yield table.unit
    yield "" if made is None or made.left is None else made.left
    yield "" if made is None else plain_text("; ".join(f"{part.name} {part_text(part)}" for part in made.parts))
    yield plain_text(row.status)
    yield plain_text(row.variant.name) if row.variant is not None else ""
    yield decimal_text(row.penalty, 6) if row.penalty else ""


def clubs_of(roster: Roster) -> dict[str, tuple[str, ...]]:
    """The clubs of each entry's members, each once, in their order."""
    names = {club.id: club.name for club in roster.clubs}
    of_athlete = {athlete.id: names.get(athlete.club or "", "") for athlete in roster.athletes}
    return {
        entry.id: tuple(dict.fromkeys(of_athlete[member] for member in entry.members if of_athlete[member]))
        for entry in roster.entries
    }
