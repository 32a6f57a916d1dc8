"""Exact lengths as people write them: 5'10", 5 ft 10, 70 in, 178, 1.78 m, 1,78, 1m78, 82 3/8 in.

A length is kept as it was measured: a decimal amount and its unit. Units meet through 1 in = 25.4 mm exactly.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import total_ordering
from typing import Annotated, Literal, get_args

from pydantic import BeforeValidator, PlainSerializer, WithJsonSchema

from app.rules.values.units import MM_IN, MOST_TYPED, BadMeasure, Rounding, decimal_text, plain_decimal, round_to, shown

LengthUnit = Literal["mm", "cm", "m", "in", "ft"]
UNITS: tuple[LengthUnit, ...] = get_args(LengthUnit)
AMOUNT = re.compile(r"[0-9]{1,6}(\.[0-9]{1,4})?")
MOST_MM = Fraction(1_000_000)

# One unit, by each way of writing it. Two single quotes are what many keyboards make of the sign for inches.
FEET = r"(?:'|’|′|ft\.?|feet|foot)"
INCHES = r"(?:\"|”|″|''|’’|′′|inches|inch|ins?\.?)"
NUMBER = r"[0-9]{1,6}(?:[.,][0-9]+)?(?:\s+[0-9]{1,2}/[0-9]{1,2}|\s*[½¼¾])?"
FEET_INCHES = re.compile(rf"([0-9]{{1,2}})\s*{FEET}\s*(?:and\s+)?({NUMBER})\s*{INCHES}?", re.I)
BARE_FEET_INCHES = re.compile(r"([3-8])\s+(0?[0-9]|1[01])")
METRES_CM = re.compile(r"([12])\s*m\s*([0-9]{2})(?:\s*cm)?", re.I)
PLAIN = re.compile(rf"({NUMBER})\s*(?:(mm)|(cm|centi(?:met(?:er|re)s?)?)|(m|met(?:er|re)s?)\.?|({INCHES})|({FEET}))?\.?", re.I)
SIGNS = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
EXAMPLES = "178 cm, 1.78 m, 70 in or 5'10\""


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Length:
    """A length as measured: `amount` is a plain decimal string, `unit` one of UNITS. Equal when as long, whatever the units."""

    amount: str
    unit: LengthUnit

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise BadMeasure(f"A length is in {', '.join(UNITS)}; not in “{shown(str(self.unit))}”.")
        if not AMOUNT.fullmatch(self.amount):
            raise BadMeasure(f"A length is a plain number with at most 4 decimals, such as 70.5; not “{shown(self.amount)}”.")
        if self.mm > MOST_MM:
            raise BadMeasure(f"{self.amount} {self.unit} is longer than any hall.")

    @property
    def mm(self) -> Fraction:
        """The length in millimetres, exact."""
        return Fraction(self.amount) * MM_IN[self.unit]

    def in_unit(self, unit: LengthUnit) -> Fraction:
        """The length in `unit`, exact."""
        return self.mm / MM_IN[unit]

    def text(self) -> str:
        """The length as it was measured: `70.5 in`."""
        return f"{plain_decimal(self.amount)} {self.unit}"

    def __eq__(self, other: object) -> bool:
        return self.mm == other.mm if isinstance(other, Length) else NotImplemented

    def __lt__(self, other: object) -> bool:
        return self.mm < other.mm if isinstance(other, Length) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.mm)


@dataclass(frozen=True, slots=True)
class Span:
    """What a kind of length can be: `what` names it, from `low` to `high` millimetres.

    The longest is less than 2.54 times the shortest, so a number without its unit can be in one unit only.
    """

    what: str
    low: int
    high: int

    def holds(self, mm: Fraction) -> bool:
        """Whether a length lies within."""
        return self.low <= mm <= self.high


def both_lengths(mm: Fraction, unit: LengthUnit) -> str:
    """A length in `unit` and, in brackets, in the other of inches and centimetres, each to a tenth: `79 in (200.7 cm)`."""
    other: LengthUnit = "cm" if unit == "in" else "in"
    return f"{decimal_text(mm / MM_IN[unit], 1)} {unit} ({decimal_text(mm / MM_IN[other], 1)} {other})"


def tape_text(mm: Fraction, unit: LengthUnit) -> str:
    """A length as it is read off a tape, and in brackets in the other unit: inches to the nearest eighth, centimetres to a
    tenth: `72 3/4 in (184.8 cm)`."""
    if unit != "in":
        return both_lengths(mm, unit)
    return f"{eighths(mm)} in ({decimal_text(mm / MM_IN['cm'], 1)} cm)"


def eighths(mm: Fraction) -> str:
    """A length in inches to the nearest eighth, halves away from zero: `72 3/4`."""
    whole, part = divmod(int(round_to(mm / MM_IN["in"] * 8, Fraction(1), Rounding.NEAREST)), 8)
    rest = f"{Fraction(part, 8)}" if part else ""
    return f"{whole} {rest}" if whole and rest else rest or str(whole)


def parse_length(text: str, unit: LengthUnit) -> Length:
    """A length as somebody typed it, in `unit` unless the text names one. Zero is a length. Raises BadMeasure."""
    typed = text.strip()
    return _with_feet(typed) or _plain(typed, unit)


def parse_body_length(text: str, span: Span) -> Length:
    """A length of a body as somebody typed it; without a unit, in the only one that gives a length within `span`.

    A number such as 5.9 or 5,8 is refused: it is 5 ft 9 to some and 5.9 ft to others. Raises BadMeasure.
    """
    typed = text.strip()
    bare = BARE_FEET_INCHES.fullmatch(typed)
    length = _feet_inches(bare[1], bare[2], typed) if bare else _with_feet(typed) or _plain(typed, None, span)
    if not span.holds(length.mm):
        low, high = (decimal_text(Fraction(end, 10)) for end in (span.low, span.high))
        raise BadMeasure(f"“{shown(typed)}” can't be {span.what}: {low} to {high} cm. Write it such as {EXAMPLES}.")
    return length


def _with_feet(typed: str) -> Length | None:
    """Feet and inches, or metres and centimetres, in one text; None for anything else."""
    if len(typed) > MOST_TYPED:
        raise BadMeasure(f"“{shown(typed)}” is too long for a length.")
    if found := METRES_CM.fullmatch(typed):
        return Length(f"{found[1]}{found[2]}", "cm")
    found = FEET_INCHES.fullmatch(typed)
    return _feet_inches(found[1], found[2], typed) if found else None


def _feet_inches(feet: str, inches: str, typed: str) -> Length:
    rest = _number(inches, typed)
    if rest >= 12:
        raise BadMeasure(f"“{shown(typed)}” has {decimal_text(rest)} inches after the feet; 0 to 11 are possible.")
    return Length(_amount(Fraction(feet) * 12 + rest, typed), "in")


def _plain(typed: str, unit: LengthUnit | None, span: Span | None = None) -> Length:
    found = PLAIN.fullmatch(typed)
    if found is None:
        raise BadMeasure(f"“{shown(typed)}” is not a length. Write it such as {EXAMPLES}.")
    number = _number(found[1], typed)
    named: LengthUnit | None = next((one for one, part in zip(UNITS, found.groups()[1:], strict=True) if part), None)
    meant = named or unit or _only_unit(number, typed, span)
    return Length(_amount(number, typed), meant)


def _only_unit(number: Fraction, typed: str, span: Span | None) -> LengthUnit:
    assert span is not None
    if Fraction(3) < number < Fraction(9):
        raise BadMeasure(f"“{shown(typed)}” could be feet and inches or feet alone. Write it such as 5'10\" or 178 cm.")
    fits: list[LengthUnit] = [unit for unit in ("mm", "cm", "m", "in") if span.holds(number * MM_IN[unit])]
    fits = [unit for unit in fits if unit != "m" or number.denominator > 1]  # a bare 2 is a slip sooner than two metres
    if len(fits) != 1:
        low, high = (decimal_text(Fraction(end, 10)) for end in (span.low, span.high))
        raise BadMeasure(
            f"“{shown(typed)}” can't be {span.what}: {low} to {high} cm. Write it with its unit, such as {EXAMPLES}."
        )
    return fits[0]


def _number(text: str, typed: str) -> Fraction:
    """A number with a point or a comma, and a fraction of a tape after it if there is one."""
    main, *rest = re.split(r"\s+(?=[0-9]+/)|\s*(?=[½¼¾])", text, maxsplit=1)
    if re.fullmatch(r"[0-9]+,[0-9]{3}", main):
        raise BadMeasure(f"“{shown(typed)}” could mean two lengths. Write it without the comma.")
    part = rest[0] if rest else "0"
    if part.endswith(("/0", "/00")):
        raise BadMeasure(f"“{shown(typed)}” is not a length. Write it such as {EXAMPLES}.")
    return Fraction(main.replace(",", ".")) + (SIGNS.get(part) or Fraction(part))


def _amount(number: Fraction, typed: str) -> str:
    """The number as a plain decimal. Raises BadMeasure for more than four decimals: no tape shows them."""
    text = decimal_text(number)
    if Fraction(text) != number:
        raise BadMeasure(f"“{shown(typed)}” has more than 4 decimals. Write fewer.")
    return text


def _length(value: object) -> object:
    if isinstance(value, Length):
        return value
    if not isinstance(value, dict) or set(value) != {"amount", "unit"} or not all(isinstance(v, str) for v in value.values()):
        raise ValueError('A length is written {"amount": "70.5", "unit": "in"}.')
    try:
        return Length(value["amount"], value["unit"])
    except BadMeasure as wrong:
        raise ValueError(str(wrong)) from None


def length_plain(length: Length) -> dict[str, str]:
    """A length as JSON: `{"amount": "70.5", "unit": "in"}`."""
    return {"amount": length.amount, "unit": length.unit}


LENGTH_SCHEMA = {
    "type": "object",
    "properties": {"amount": {"type": "string", "pattern": f"^{AMOUNT.pattern}$"}, "unit": {"enum": list(UNITS)}},
    "required": ["amount", "unit"],
    "additionalProperties": False,
}

ExactLength = Annotated[Length, BeforeValidator(_length), PlainSerializer(length_plain), WithJsonSchema(LENGTH_SCHEMA)]
