"""The overall standing as CSV by RFC 4180: one row for each entry, two columns for each score. Rules only."""

from collections.abc import Iterator, Sequence

from app.hall.csv_text import csv_bytes, plain_text
from app.results.results_csv import SAID, clubs_of, said_cells
from app.rules.records.roster import Roster
from app.rules.result.overall_explain import total_unit
from app.rules.result.overall_results import OverallColumn, OverallLine, OverallTable
from app.rules.result.signed_words import Stated
from app.rules.values.units import decimal_text

BEFORE = ("division", "place", "shared", "entry", "members", "clubs", "total", "unit")


def overall_csv(roster: Roster, tables: Sequence[OverallTable], said: Stated) -> bytes:
    """The overall standings of all divisions, and how final they are; a score that a division has not begun stays empty in its
    rows."""
    columns = _columns(tables)
    headings = [plain_text(f"{title}: {what}") for title in columns.values() for what in ("place", "counts")]
    clubs = clubs_of(roster)
    lines = [[*_line(table, row, list(columns), clubs), *said_cells(said)] for table in tables for row in table.rows]
    return csv_bytes([[*BEFORE, *headings, "tie", *SAID], *lines])


def _columns(tables: Sequence[OverallTable]) -> dict[tuple[str, str], str]:
    """Every score that counts in some division, with its title, in the order of the events."""
    return {_key(column): column.title for table in tables for column in table.columns}


def _key(column: OverallColumn) -> tuple[str, str]:
    return column.event, column.rule


def _line(
    table: OverallTable, row: OverallLine, columns: Sequence[tuple[str, str]], clubs: dict[str, tuple[str, ...]]
) -> Iterator[str | int]:
    yield plain_text(table.division_name)
    yield "" if row.place is None else row.place
    yield "yes" if row.shared else "no"
    yield plain_text(row.entry.name)
    yield plain_text("; ".join(row.members))
    yield plain_text("; ".join(clubs[row.entry.id]))
    yield "" if row.place is None else decimal_text(row.total, 6)
    yield total_unit(table)
    cells = dict(zip(map(_key, table.columns), row.cells, strict=True))
    for key in columns:
        cell = cells.get(key)
        yield "" if cell is None or cell.place is None else cell.place
        yield "" if cell is None else decimal_text(cell.points, 6)
    yield row.by_tie or ""
