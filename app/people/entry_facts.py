"""What a list says of a member beside the name: bodyweight, age, sex, height, reach, openers, how the name is said.

Odd values are asked about once.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from app.hall.forms import Problem, Reading
from app.people.organising import age, bodyweight
from app.rules.records.body_formulas import Sex
from app.rules.records.markings import HEIGHT, REACH, odd_height, odd_reach
from app.rules.records.roster import MOST_SAID_LIKE
from app.rules.values.lengths import Length, Span, parse_body_length
from app.rules.values.units import BadMeasure, Load, LoadUnit, both_units, shown

# Bodyweights seen in a public archive of international meets: 37 to 240 kg. What lies beyond asks once.
LIGHT_KG, HEAVY_KG = 37, 240

SEXES: dict[Sex, tuple[str, ...]] = {
    "women": ("women", "woman", "female", "f", "w", "girl", "girls", "lady", "ladies"),
    "men": ("men", "man", "male", "m", "boy", "boys"),
}

Value = TypeVar("Value")
Note = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class ListedOpener:
    """An opener as it stands in its cell, for a lift (entry_columns.Lift.key). `unit`: of a bare load, None for the event's."""

    lift: str
    text: str
    place: int
    unit: LoadUnit | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell that holds something, and where to say what is wrong or odd about it."""

    text: str
    wrong: Note
    odd: Note


def weight_in(cell: Cell, unit: LoadUnit) -> Load | None:
    """A bodyweight; a bare number is in `unit`."""
    read = Reading({"cell": cell.text})
    weight = bodyweight(read, "cell", unit)
    if _noted(cell, read.problems) or weight is None:
        return None
    if not LIGHT_KG <= weight.kg <= HEAVY_KG:
        cell.odd(f"{both_units(weight)} is an unusual bodyweight.")
    return weight


def age_in(cell: Cell) -> int | None:
    """An age in whole years."""
    read = Reading({"cell": cell.text})
    years = age(read, "cell")
    return None if _noted(cell, read.problems) else years


def sex_in(cell: Cell) -> Sex | None:
    """Whose classes and formulas an athlete counts in, as lists write it."""
    found = next((sex for sex, words in SEXES.items() if cell.text.casefold().rstrip(".") in words), None)
    if found is None:
        cell.wrong(f"Women or men is written women, f, w, men or m; not “{shown(cell.text)}”.")
    return found


def said_in(cell: Cell) -> str | None:
    """How a name is said aloud."""
    read = Reading({"cell": cell.text})
    said = read.optional("cell", "How the name is said", MOST_SAID_LIKE)
    return None if _noted(cell, read.problems) else said


def height_in(cell: Cell) -> Length | None:
    """A height, in any unit that it names or that its number can only be in."""
    height = _length(cell, HEIGHT)
    if height is not None and (odd := odd_height(height)):
        cell.odd(odd)
    return height


def reach_in(cell: Cell, height: Length | None) -> Length | None:
    """A reach to the wrists, held against the height where the list says it."""
    reach = _length(cell, REACH)
    if reach is not None and (odd := odd_reach(reach, height)):
        cell.odd(odd)
    return reach


def _length(cell: Cell, span: Span) -> Length | None:
    try:
        return parse_body_length(cell.text, span)
    except BadMeasure as wrong:
        cell.wrong(str(wrong))
        return None


def _noted(cell: Cell, problems: list[Problem]) -> bool:
    for problem in problems:
        cell.wrong(problem.sentence)
    return bool(problems)
