"""A table with a column for each round: its rows are told round by round."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from app.rules.reading.layout.tables import Cell
from app.rules.reading.scan.pieces import Tok

ROUND = re.compile(r"(?:rounds?|rds?|r|sets?|#)?\.?\s*(\d{1,2})\.?", re.IGNORECASE)
CORNER = re.compile(r"|(?:rounds?|rds?|sets?|movements?|exercises?|what|things?)\W*", re.IGNORECASE)
UNITS = {"CAL": "CALS", "M": "LENG"}
LEAST_ROUNDS = 2
BESIDE = {"LOAD", "SIZE", "VERSIONS", "LPAR", "RPAR", "PAIRNUM"}


@dataclass(slots=True)
class Across:
    """Such a table while it is read: how many rounds, and of each row its things with the number of each round."""

    rounds: int
    rows: list[list[list[Tok]]] = field(default_factory=list)

    def sentences(self) -> list[list[Tok]]:
        """What is done, a round at a time."""
        return [one[place] for place in range(self.rounds) for one in self.rows]


def across(text: str, cells: list[Cell]) -> Across | None:
    """The table under a row of headings that number the rounds from 1."""
    said = [text[cell.start : cell.end].strip() for cell in cells]
    while said and not said[-1]:
        said.pop()
    numbers = [ROUND.fullmatch(one) for one in said[1:]]
    if len(numbers) < LEAST_ROUNDS or not CORNER.fullmatch(said[0]) or any(one is None for one in numbers):
        return None
    counted = [int(one[1]) for one in numbers if one]
    return Across(len(counted)) if counted == list(range(1, len(counted) + 1)) else None


def add_row(table: Across, cells: list[Cell], words: Callable[[int, int], list[Tok]]) -> bool:
    """Whether a row is a thing and a number for each round; a load may stand behind them."""
    read = [words(cell.start, cell.end) if cell.end > cell.start else [] for cell in cells]
    while read and not read[-1]:
        read.pop()
    if len(read) <= table.rounds or not read[0]:
        return False
    thing, numbers, behind = read[0], read[1 : table.rounds + 1], [tok for cell in read[table.rounds + 1 :] for tok in cell]
    behind = [*[tok for cell in numbers for tok in cell[1:]], *behind]
    amounts = [cell[0] for cell in numbers if cell and cell[0].kind in ("BARE", "COUNT") and len(cell[0].values) == 1]
    named = [tok for tok in thing if tok.kind in ("MOVE", "UNKNOWN") and tok.key]
    if len(amounts) != table.rounds or len(named) != 1 or any(tok.values and tok.kind not in BESIDE for tok in thing):
        return False
    if any(tok.kind not in BESIDE for tok in behind):
        return False
    unit = next((UNITS[tok.kind] for tok in thing if tok.kind in UNITS), "COUNT")
    left = [tok for tok in [*thing, *behind] if tok.kind not in UNITS and tok.kind not in ("LPAR", "RPAR")]
    table.rows.append([[replace(one, kind=unit, unit=_unit(unit)), *left] for one in amounts])
    return True


def _unit(kind: str) -> str:
    return {"CALS": "CAL", "LENG": "M"}.get(kind, "")
