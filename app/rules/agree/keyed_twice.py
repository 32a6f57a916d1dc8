"""Paper keyed in twice: what two people typed from one sheet, compared field by field by what it means."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from app.rules.values.units import BadMeasure, LoadUnit, parse_load

FieldKind = Literal["whole", "finish", "load", "value", "choice", "name"]


@dataclass(frozen=True, slots=True)
class Keyed:
    """A field of a sheet that is keyed in: its name, what it is, how to read it; `unit` where a load names none."""

    name: str
    kind: FieldKind
    unit: LoadUnit = "kg"


def meaning(field: Keyed, text: str) -> str:
    """What was typed, so that two ways to write the same are equal: `07` and `7`, `1:5.0`… are not guessed at, `100` is `100 kg`.

    What can't be read means itself.
    """
    plain = " ".join(text.split())
    try:
        match field.kind:
            case "whole":
                return str(int(plain)) if plain else "0"  # an empty box and a nought say the same of a count
            case "value":
                return str(Fraction(plain.replace(",", "."))) if plain else ""
            case "load":
                return str(parse_load(plain, field.unit).kg) if plain else ""
            case "finish":
                return _seconds(plain)
            case _:
                return plain.casefold()
    except (ValueError, BadMeasure, ZeroDivisionError):  # “1/0” is a fraction that is none
        return plain.casefold()


def differing(fields: Sequence[Keyed], first: Mapping[str, str], second: Mapping[str, str]) -> tuple[str, ...]:
    """The names of the fields in which two keyings say different things."""
    return tuple(
        field.name for field in fields if meaning(field, first.get(field.name, "")) != meaning(field, second.get(field.name, ""))
    )


def _seconds(text: str) -> str:
    if not text:
        return ""
    minutes, _, seconds = text.replace(",", ".").partition(":")
    return str(int(minutes) * 60 + Fraction(seconds))
