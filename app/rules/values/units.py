"""Exact loads and lengths.

A load is kept as it was declared: a decimal amount and its unit. Units meet through exact fractions
(1 lb = 0.45359237 kg and 1 in = 25.4 mm, exactly: NIST SP 811, appendix B), never through floats.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache, total_ordering
from typing import Literal

from app.rules.values.words import say

LoadUnit = Literal["kg", "lb"]

KG_IN: dict[str, Fraction] = {"kg": Fraction(1), "lb": Fraction(45359237, 100_000_000)}
MM_IN = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "km": Fraction(1_000_000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "yd": Fraction(9144, 10),
    "mi": Fraction(1_609_344),
}

# Nothing in a hall weighs more; a larger figure is a slip of the finger, and a million digits an attack.
MOST_LOAD_KG = Fraction(2000)
MOST_DECIMALS = 4
MOST_TYPED = 40

AMOUNT = re.compile(r"[0-9]{1,7}(\.[0-9]{1,4})?")


class Rounding(StrEnum):
    """How a converted or weighted value becomes the published one. Halves go away from zero, in every language."""

    NONE = "none"
    DOWN = "down"
    NEAREST = "nearest"


class BadMeasure(ValueError):
    """Raised when a typed load, length or number can't be understood; its text is the sentence to show."""


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """A load as declared: `amount` is a plain decimal string without exponent or sign, `unit` is kg or lb.

    Two loads are equal when they weigh the same, whatever unit they were declared in.
    """

    amount: str
    unit: LoadUnit

    def __post_init__(self) -> None:
        if self.unit not in KG_IN:
            raise BadMeasure(say("load.unit", said=shown(str(self.unit))))
        if not AMOUNT.fullmatch(self.amount):
            raise BadMeasure(say("load.plain", most=MOST_DECIMALS, said=shown(self.amount)))
        if self.kg > MOST_LOAD_KG:
            raise BadMeasure(say("load.most", load=f"{self.amount} {self.unit}", most=MOST_LOAD_KG))

    @property
    def kg(self) -> Fraction:
        """The load in kilograms, exact."""
        return Fraction(self.amount) * KG_IN[self.unit]

    def in_unit(self, unit: LoadUnit) -> Fraction:
        """The load in `unit`, exact."""
        return self.kg / KG_IN[unit]

    def text(self) -> str:
        """The load as people write it: `225 lb`."""
        return f"{plain_decimal(self.amount)} {self.unit}"

    def __eq__(self, other: object) -> bool:
        return self.kg == other.kg if isinstance(other, Load) else NotImplemented

    def __lt__(self, other: object) -> bool:
        return self.kg < other.kg if isinstance(other, Load) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.kg)


@lru_cache(maxsize=4096)
def plain_decimal(amount: str) -> str:
    """`225.50` becomes `225.5` and `0225` becomes `225`: one way to write one number."""
    whole, _, part = amount.partition(".")
    part = part.rstrip("0")
    whole = whole.lstrip("0") or "0"
    return f"{whole}.{part}" if part else whole


def round_to(value: Fraction, step: Fraction, how: Rounding) -> Fraction:
    """`value` brought to a multiple of `step`: unchanged, down towards minus infinity, or to the nearest (halves away from
    zero)."""
    if how is Rounding.NONE:
        return value
    steps = value / step
    if steps.denominator == 1:
        return value
    if how is Rounding.DOWN:
        return Fraction(steps.numerator // steps.denominator) * step
    doubled = abs(steps) * 2 + 1
    nearest = Fraction((doubled.numerator // doubled.denominator) // 2)
    return (nearest if steps >= 0 else -nearest) * step


def decimal_text(value: Fraction, most_decimals: int = 4) -> str:
    """A number as people read it: exact when it ends within `most_decimals`, else rounded there (halves away from zero)."""
    if value.denominator == 1:
        return str(value.numerator)
    shown = round_to(value, Fraction(1, 10**most_decimals), Rounding.NEAREST)
    sign = "-" if shown < 0 else ""
    scaled = abs(shown) * 10**most_decimals
    digits = str(int(scaled)).rjust(most_decimals + 1, "0")
    whole, part = digits[: len(digits) - most_decimals], digits[len(digits) - most_decimals :].rstrip("0")
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def both_units(load: Load) -> str:
    """The load in its own unit and, rounded to a tenth, in the other: `225 lb (102.1 kg)`."""
    return f"{load.text()} ({other_unit(load)})"


def other_unit(load: Load) -> str:
    """The load in the other unit, rounded to a tenth: `102.1 kg` for 225 lb."""
    other: LoadUnit = "lb" if load.unit == "kg" else "kg"
    return f"{decimal_text(load.in_unit(other), 1)} {other}"


TYPED = re.compile(r"(?P<number>[0-9.,'’\u00a0 ]+?)\s*(?P<unit>kgs?|kilos?|kilograms?|lbs?|pounds?|#)?\.?", re.IGNORECASE)


def parse_load(text: str, unit: LoadUnit) -> Load:
    """A load as somebody typed it, in `unit` unless the text names one.

    A comma is a decimal mark when one or two digits (or four) follow it; `1,250` could be either and is refused.
    Raises BadMeasure with the sentence to show.
    """
    typed = text.strip()
    if not typed:
        raise BadMeasure(say("load.empty", unit=unit))
    # Nobody types a longer load, and a long run of blanks would take the pattern long to refuse.
    found = TYPED.fullmatch(typed) if len(typed) <= MOST_TYPED else None
    if found is None:
        raise _not_a_load(typed)
    named = (found["unit"] or "").lower()
    if named:
        unit = "kg" if named.startswith("k") else "lb"
    return Load(_typed_number(found["number"].strip(), typed), unit)


# What fingers and eyes take for a digit, and the two other slips that are worth a word of their own.
WITH_LETTERS = re.compile(r"(?P<number>[0-9OoIl.,]*[0-9][0-9OoIl.,]*?)[ \u00a0]*(?P<unit>kgs?|lbs?)?")
LOOKS_LIKE = str.maketrans("OoIl", "0011")
WITH_SIGN = re.compile(r"[-+\u2212\u2013] ?(?P<rest>[0-9]{1,7}([.,][0-9]{1,2})?)")
WITH_EXPONENT = re.compile(r"[0-9]+(\.[0-9]+)?[eE][-+]?[0-9]+")


def _not_a_load(typed: str) -> BadMeasure:
    """The sentence for a text that is no load, with what was probably meant."""
    said = shown(typed)
    lettered = WITH_LETTERS.fullmatch(typed) if len(typed) <= MOST_TYPED else None
    if lettered is not None and re.search("[OoIl]", lettered["number"]):
        return BadMeasure(say("load.letter", said=said, meant=lettered["number"].translate(LOOKS_LIKE)))
    signed = WITH_SIGN.fullmatch(typed)
    if signed is not None:
        return BadMeasure(say("load.sign", said=said, meant=signed["rest"]))
    if WITH_EXPONENT.fullmatch(typed):
        return BadMeasure(say("load.exponent", said=said))
    return BadMeasure(say("load.digits", said=said))


def _typed_number(number: str, typed: str) -> str:
    if re.fullmatch(r"\d+,\d{3}", number):
        raise BadMeasure(say("load.comma", said=shown(typed), meant=number.replace(",", "")))
    number = re.sub(r"^(\d+),(\d+)$", r"\1.\2", number)
    if number.startswith(".") and number[1:].isdigit():
        number = "0" + number
    try:
        value = Decimal(number)
    except InvalidOperation:
        raise _not_a_load(typed) from None
    if value == 0:
        raise BadMeasure(say("load.zero"))
    return plain_decimal(number)


def shown(typed: str, most: int = MOST_TYPED) -> str:
    """What somebody typed, short and printable, to repeat it inside a sentence."""
    clean = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in typed)
    return clean if len(clean) <= most else clean[: most - 1] + "…"


def parse_loads(text: str, unit: LoadUnit) -> tuple[Load, ...]:
    """Loads with commas and blanks, semicolons or line ends between: `60, 65, 70 kg`. A unit that the last alone names goes for
    all. Raises BadMeasure."""
    texts = [one.strip() for one in re.split(r"[;\n]|,\s", text) if one.strip()]
    if texts[1:] and texts[-1][-1:].isalpha() and not any(one[-1].isalpha() for one in texts[:-1]):
        unit = parse_load(texts[-1], unit).unit
    return tuple(parse_load(one, unit) for one in texts)


def total_load(loads: Sequence[Load]) -> Load:
    """Several loads together, in kilograms, to a tenth of a gram."""
    return Load(decimal_text(sum((load.kg for load in loads), Fraction(0)), MOST_DECIMALS), "kg")
