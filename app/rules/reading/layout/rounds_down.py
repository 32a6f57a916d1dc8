"""Tables with a row for each round, and a column for each thing that is done: `Round | Clean and jerk | Load`.

A column of loads is of the thing to its left. The rows must be numbered from 1, and every cell be a number; a table that is not
so is read by its headings, or as lines.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from app.rules.reading.layout.tables import Cell
from app.rules.reading.scan.pieces import Tok

FIRST = {"round", "rounds", "rd", "set", "#"}
LOADS = {"load", "kg", "lb"}
AMOUNTS = ("BARE", "COUNT", "REPS", "LENG", "CALS")
Words = Callable[[int, int], list[Tok]]


@dataclass(slots=True)
class Down:
    """The table: of each column behind the first the thing that it counts, or how its loads are told; how many rows were read."""

    columns: list[Tok | str]
    rows: int = 0


def down(text: str, cells: list[Cell], columns: Mapping[str, str], words: Words) -> Down | None:
    """The table under a row of headings that names what is done in each round."""
    said = [text[cell.start : cell.end].casefold().strip(" :.*") for cell in cells]
    while said and not said[-1]:
        said.pop()
    if not said or said[0] not in FIRST:
        return None
    found: list[Tok | str] = []
    for cell, one in zip(cells[1:], said[1:], strict=False):
        toks = words(cell.start, cell.end) if one else []
        if [tok.kind for tok in toks] == ["MOVE"]:
            found.append(toks[0])
        elif columns.get(one) in LOADS and found and isinstance(found[-1], Tok):
            found.append(columns[one])
        else:
            return None
    return Down(found) if found else None


def add_round(table: Down, cells: list[Cell], words: Words) -> list[Tok] | None:
    """What is done in the next round; None where the row is none."""
    told = [words(cell.start, cell.end) if cell.end > cell.start else [] for cell in cells[: len(table.columns) + 1]]
    numbered = len(told) == len(table.columns) + 1 and [tok.values for tok in told[0]] == [(str(table.rows + 1),)]
    if (
        not numbered
        or any(len(toks) != 1 or len(toks[0].values) != 1 for toks in told[1:])
        or any(cell.end > cell.start for cell in cells[len(table.columns) + 1 :])
    ):
        return None
    made: list[Tok] = []
    for column, (tok,) in zip(table.columns, told[1:], strict=True):
        if isinstance(column, Tok):
            if tok.kind not in AMOUNTS:
                return None
            made += [tok.to(tok, "COMMA", values=(), key="")] if made else []
            amount = replace(tok, kind="COUNT") if tok.kind in ("BARE", "REPS") else tok
            made += [amount, replace(column, start=tok.end, end=tok.end, text="", name=" ".join(column.text.split()))]
        elif tok.kind == "LOAD" or (tok.kind == "BARE" and column in ("kg", "lb")):
            made.append(tok if tok.kind == "LOAD" else replace(tok, kind="LOAD", unit=column.upper()))
        else:
            return None
    table.rows += 1
    return made
