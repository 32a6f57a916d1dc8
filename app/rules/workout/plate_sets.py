"""Sets of plates to begin from, made of the table app/library/plates.json, which names the standards they follow."""

from dataclasses import dataclass
from typing import Any

from pydantic import Field

from app.rules.values.shapes import Base, ExactNumber, Key, Line, Name
from app.rules.values.table_rows import read_row, unlike
from app.rules.values.tables import made_of
from app.rules.values.units import LoadUnit
from app.rules.workout.plates import Colour, Millimetres, PlateSet

TABLE = "plates.json"


class PlateRow(Base):
    """A kind of plate as the table has it: the weight of one piece in the set's unit, pieces, millimetres across and thick."""

    weight: str
    count: int
    across_mm: Millimetres
    thick_mm: ExactNumber
    colour: Colour | None = None


class SetRow(Base):
    """A set as the table has it, every weight in its unit; `collars` is that of both, `sleeves_mm` of each bar. `sources`: where
    its numbers come from."""

    key: Key
    name: Name
    sources: tuple[Line, ...] = Field(min_length=1)
    unit: LoadUnit
    bars: tuple[str, ...]
    collars: str | None = None
    sleeves_mm: tuple[Millimetres, ...] = ()
    standard: str = ""
    plates: tuple[PlateRow, ...]


class PlateTable(Base):
    """The table: a row for each set."""

    about: tuple[str, ...]
    sets: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class SetToBegin:
    """A set as it is offered: its key, and what one that begins from it holds."""

    key: str
    plates: PlateSet


def offered() -> tuple[SetToBegin, ...]:
    """The sets that were handed in. Raises NotHandedIn, BadTable."""
    return made_of("plates", read_sets)


def read_sets(plain: Any) -> tuple[SetToBegin, ...]:
    """The sets that a table describes. Raises BadTable with a sentence that names the row."""
    table = read_row(TABLE, PlateTable, plain)
    rows = [read_row(TABLE, SetRow, row) for row in table.sets]
    unlike(TABLE, (row.key for row in rows))
    return tuple(SetToBegin(row.key, _plates(row)) for row in rows)


def set_to_begin(key: str, id: str, name: str = "") -> PlateSet | None:
    """A set to begin from, under an id and, if it shall have another than its own, a name; None for an unknown key."""
    found = next((one.plates for one in offered() if one.key == key), None)
    return found and found.model_copy(update={"id": id, "name": name or found.name})


def _plates(row: SetRow) -> PlateSet:
    def load(amount: str) -> dict[str, str]:
        return {"amount": amount, "unit": row.unit}

    plain = row.model_dump(include={"name", "standard", "sleeves_mm"}) | {
        "id": row.key,
        "bars": [load(amount) for amount in row.bars],
        "collars": load(row.collars) if row.collars else None,
        "plates": [one.model_dump() | {"weight": load(one.weight)} for one in row.plates],
    }
    return read_row(TABLE, PlateSet, plain)
