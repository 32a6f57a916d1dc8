"""The results as CSV by RFC 4180: one row for each entry, event and score. Rules only.

Every row says how final it is, for rows are sorted and copied away from whatever stands beside them.

The file begins with a byte order mark. RFC 4180 says nothing of encodings; without the mark Excel reads UTF-8 as the machine's
old code page and turns José into JosÃ©, while csv libraries skip it ("utf-8-sig").
"""

from collections.abc import Iterator, Mapping, Sequence

from app.hall.csv_text import csv_bytes, plain_text
from app.hall.result_words import part_text
from app.rules.records.roster import Roster
from app.rules.result.results import EventResults, Row, Table
from app.rules.result.signed_words import Stated
from app.rules.values.units import decimal_text

SAID = ("final", "state", "left_out")
MOST_NOTES = 20  # in one cell; how many more there are is said
COLUMNS = (
    *("event", "division", "place", "shared", "entry", "members", "clubs"),
    *("score_name", "score", "score_value", "unit", "work_left", "parts", "status", "variant", "penalty"),
    *SAID,
)


def results_csv(roster: Roster, found: Sequence[EventResults], said: Mapping[str, Stated]) -> bytes:
    """All results as a file to open in a spreadsheet; `said`: how final each event's are, by its id."""
    clubs = clubs_of(roster)
    lines = [
        [*_line(event, table, row, clubs), *said_cells(said[event.event.id])]
        for event in found
        for table in event.tables
        for row in table.rows
    ]
    return csv_bytes([COLUMNS, *lines])


def said_cells(said: Stated) -> tuple[str, ...]:
    """How final a row is: yes or no, in words, and by name what was left out of the sign-off or changed since."""
    told, more = said.notes[:MOST_NOTES], len(said.notes) - MOST_NOTES
    notes = "; ".join((*told, f"and {more} more") if more > 0 else told)
    return "yes" if said.final else "no", plain_text(said.text), plain_text(notes)


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
