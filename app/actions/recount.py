"""Recounting a competition file: anybody can check a published result with nothing but the file. No server, no store."""

import json
from collections.abc import Iterable, Sequence
from typing import Any

from app.actions.competition_file import read_file
from app.actions.result_words import part_text, place_text, unit_text
from app.rules.results import EventResults, Row, Table, results

HEADINGS = ("Place", "Entry", "Members", "Score", "Parts", "Note")


def recount(data: bytes) -> list[EventResults]:
    """The standings that the marks in a competition file give. Raises BadFile."""
    return results(read_file(data))


def score_with_unit(table: Table, row: Row) -> str:
    """The score with its unit, or nothing while there is none."""
    if row.score is None:
        return ""
    return f"{row.score.text} {unit_text(table.rule, row.score)}".strip()


def recount_table(found: Sequence[EventResults]) -> str:
    """The standings as a plain text table, one for each division and score."""
    blocks = [_block(event, table) for event in found for table in event.tables if table.rows]
    return "\n\n".join(blocks) + "\n" if blocks else "No entry stands in any heat, so there is nothing to rank.\n"


def recount_json(found: Sequence[EventResults]) -> str:
    """The standings as JSON text."""
    return json.dumps(recount_plain(found), ensure_ascii=False, indent=2) + "\n"


def recount_plain(found: Sequence[EventResults]) -> dict[str, Any]:
    """The standings as plain values: places as numbers, scores as shown and as exact fractions."""
    return {"events": [_event_plain(event) for event in found]}


def _event_plain(event: EventResults) -> dict[str, Any]:
    tables = [
        {
            "score": table.rule.id,
            "unit": table.rule.unit,
            "division": table.division,
            "division_name": table.division_name,
            "rows": [_row_plain(row) for row in table.rows],
        }
        for table in event.tables
    ]
    return {"event": event.event.id, "name": event.event.name, "standings": tables}


def _row_plain(row: Row) -> dict[str, Any]:
    made = row.score
    return {
        "place": row.place,
        "shared": row.shared,
        "entry": row.entry.id,
        "name": row.entry.name,
        "members": list(row.members),
        "score": None if made is None else made.text,
        "exact": None if made is None else str(made.value),
        "parts": [] if made is None else [{"name": part.name, "value": part_text(part, made.unit)} for part in made.parts],
        "status": row.status,
    }


def _block(event: EventResults, table: Table) -> str:
    title = f"{event.event.name} · {table.division_name}"
    if len(event.event.format.scores) > 1:
        title += f" · {table.rule.name}"
    lines = [HEADINGS, *(_cells(table, row) for row in table.rows)]
    used = [i for i in range(len(HEADINGS)) if any(line[i] for line in lines[1:])]
    widths = {i: max(len(line[i]) for line in lines) for i in used}
    return "\n".join([title, "-" * len(title), *(_aligned(line, used, widths) for line in lines)])


def _cells(table: Table, row: Row) -> tuple[str, ...]:
    parts = "" if row.score is None else ", ".join(f"{part.name} {part_text(part, row.score.unit)}" for part in row.score.parts)
    score = score_with_unit(table, row)
    return (place_text(row), row.entry.name, ", ".join(row.members), score, parts, row.status)


def _aligned(line: Sequence[str], used: Iterable[int], widths: dict[int, int]) -> str:
    cells = [line[i].rjust(widths[i]) if HEADINGS[i] in ("Place", "Score") else line[i].ljust(widths[i]) for i in used]
    return "  ".join(cells).rstrip()
