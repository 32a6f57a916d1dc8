"""The standing of teams as CSV by RFC 4180: one row for each entry that a team has, its own standing beside it. Rules only."""

from collections.abc import Iterator, Sequence

from app.hall.csv_text import csv_bytes, plain_text
from app.results.results_csv import SAID, said_cells
from app.rules.result.signed_words import Stated
from app.rules.result.teams import TeamTable
from app.rules.values.units import decimal_text

BEFORE = ("division", "place", "shared", "team", "total", "entry", "entry division", "entry place", "points", "counts")


def teams_csv(tables: Sequence[TeamTable], said: Stated) -> bytes:
    """The standings of teams, and how final they are."""
    return csv_bytes([[*BEFORE, *SAID], *([*line, *said_cells(said)] for table in tables for line in _lines(table))])


def _lines(table: TeamTable) -> Iterator[list[str | int]]:
    for row in table.rows:
        team: list[str | int] = [plain_text(table.division_name), row.place, "yes" if row.shared else "no", plain_text(row.team)]
        for cell in row.cells:
            entry: list[str | int] = [plain_text(cell.entry.name), plain_text(cell.division_name), cell.place]
            yield [*team, decimal_text(row.total, 6), *entry, decimal_text(cell.points, 6), "yes" if cell.counts else "no"]
