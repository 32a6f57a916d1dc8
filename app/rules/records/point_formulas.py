"""Formulas by which a result becomes points, as those of combined events do. A rule that uses one holds its numbers, so a result
can be recounted whatever becomes of the library."""

from decimal import Context, Decimal
from fractions import Fraction
from typing import Any, Literal

from app.rules.values.shapes import Base, ExactNumber, Key, Line, Name
from app.rules.values.table_rows import read_row, unlike
from app.rules.values.tables import made_of
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say

TABLE = "point_formulas.json"
EXACT = Context(prec=60)  # far beyond what any result is read to, so the whole part is the same everywhere


class PointFormula(Base):
    """The whole part of `a` times how far a result in `unit` lies beyond `b`, to the power `c`; nothing on the other side."""

    name: Name
    a: ExactNumber
    b: ExactNumber
    c: ExactNumber
    unit: Literal["s", "m", "cm", "kg", "reps"]
    better: Literal["more", "less"]
    source: Line

    def points(self, result: Fraction) -> Fraction:
        """The points of a result in the formula's unit."""
        beyond = result - self.b if self.better == "more" else self.b - result
        if beyond <= 0:
            return Fraction(0)
        made = EXACT.multiply(exact_decimal(self.a), EXACT.power(exact_decimal(beyond), exact_decimal(self.c)))
        return Fraction(int(made))

    def words(self) -> str:
        """As a person reckons it, in the language that is spoken: `25.4347 × (18 − s) ^ 1.81, whole points`."""
        a, b, c = (decimal_text(one, 7) for one in (self.a, self.b, self.c))
        beyond = f"{self.unit} − {b}" if self.better == "more" else f"{b} − {self.unit}"
        return say("{formula}, whole points", formula=decimal(f"{a} × ({beyond}) ^ {c}"))


class FormulaRow(PointFormula):
    """A formula as the table has it, under its key."""

    key: Key

    @property
    def formula(self) -> PointFormula:
        """The formula itself."""
        return PointFormula.model_validate(self.model_dump(exclude={"key"}))


def point_formulas() -> dict[str, FormulaRow]:
    """The formulas that were handed in, by key. Raises NotHandedIn, BadTable."""
    return made_of("point_formulas", _made)


def _made(plain: Any) -> dict[str, FormulaRow]:
    rows = [read_row(TABLE, FormulaRow, row) for row in plain["formulas"]]
    unlike(TABLE, [row.key for row in rows])
    return {row.key: row for row in rows}


def exact_decimal(value: Fraction) -> Decimal:
    """A fraction as a decimal of sixty digits."""
    return EXACT.divide(Decimal(value.numerator), Decimal(value.denominator))
