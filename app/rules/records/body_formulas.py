"""Formulas by which a lifted load becomes points of the lifter's sex and bodyweight, and factors by age.

A rule that uses one holds its numbers, so a result can be recounted whatever becomes of the library. What a formula needs and
nobody said gives no points.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from app.rules.records.point_formulas import EXACT, PointFormula, exact_decimal, point_formulas
from app.rules.values.shapes import Base, ExactNumber, Key, Line, Name
from app.rules.values.table_rows import read_row, unlike
from app.rules.values.tables import made_of
from app.rules.values.units import Rounding, decimal_text, round_to
from app.rules.values.words import UNTOLD, Told, decimal, known, say

TABLE = "body_formulas.json"
MOST_CONSTANTS = 8
MOST_DECIMALS = 4

Sex = Literal["", "women", "men"]
# As published: some have fifteen decimals, and one more or less is another formula.
Constant = Annotated[str, Field(pattern=r"^-?[0-9]{1,9}(\.[0-9]{1,24})?$")]
# How points come about: whether another bodyweight counts than the lifter's own, and whether the age does.
RECKONED = {
    (False, False): "{kg} kg of bodyweight, {sex}, times {factor}",
    (True, False): "{kg} kg of bodyweight, counted as {counted} kg, {sex}, times {factor}",
    (False, True): "{kg} kg of bodyweight, {sex}, times {factor}, age {age} times {aged}",
    (True, True): "{kg} kg of bodyweight, counted as {counted} kg, {sex}, times {factor}, age {age} times {aged}",
}
# The number of constants of each way: a and b; a, b and c; a power of the bodyweight each.
CONSTANTS = {"log-square": (2, 2), "decay": (3, 3), "polynomial": (1, MOST_CONSTANTS)}


@dataclass(frozen=True, slots=True)
class Body:
    """What a formula may ask of whoever lifted: sex, bodyweight in kg, age in years; None or empty is not known. `members`: how
    many the entry has."""

    sex: Sex = ""
    kg: Fraction | None = None
    age: int | None = None
    members: int = 1


class OfSex(Base):
    """The constants for one sex, and the bodyweights in kg that they are for: a lighter or heavier lifter counts as `least` or
    `most`."""

    constants: tuple[Constant, ...] = Field(min_length=1, max_length=MOST_CONSTANTS)
    least: ExactNumber | None = None
    most: ExactNumber | None = None

    def counted(self, kg: Fraction) -> Fraction:
        """The bodyweight that counts, in kg."""
        raised = kg if self.least is None else max(kg, self.least)
        return raised if self.most is None else min(raised, self.most)


class BodyFormula(Base):
    """Points are the load in kg times a factor of the bodyweight w in kg, to so many decimals (a half goes up).

    log-square: 10 ^ (a × log10(w / b)²), and 1 from w = b on. decay: `times` / (a − b × e ^ (−c × w)). polynomial: `times` / (a
    + b w + c w² + …). `from_kg`: nobody lighter gets points.
    """

    name: Name
    way: Literal["log-square", "decay", "polynomial"]
    women: OfSex
    men: OfSex
    times: ExactNumber = Fraction(1)
    from_kg: ExactNumber | None = None
    decimals: int = Field(default=2, ge=0, le=MOST_DECIMALS)
    source: Line

    @model_validator(mode="after")
    def _enough(self) -> Self:
        fewest, most = CONSTANTS[self.way]
        if any(not fewest <= len(one.constants) <= most for one in (self.women, self.men)):
            raise ValueError(f"{self.name} has another number of constants than its way needs.")
        return self

    @property
    def unit(self) -> str:
        """The unit of what becomes points."""
        return "kg"

    def lacking(self, body: Body, ages: "AgeFactors | None" = None) -> Told:
        """What keeps an entry from its points, as the end of a sentence; nothing if nothing does."""
        if body.members != 1:
            return Told("the formula is for one lifter")
        if not body.sex:
            return Told("not said whether the women's or the men's formula counts")
        if body.kg is None:
            return Told("not weighed")
        if self.from_kg is not None and body.kg < self.from_kg:
            return Told("the formula begins at {kg} kg of bodyweight", {"kg": decimal_text(self.from_kg)})
        if ages is not None and body.age is None:
            return Told("age not known")
        if ages is not None and ages.factor(body.age or 0) is None:
            return Told("the age factors say nothing of age {age}", {"age": str(body.age)})
        return Told("" if self.factor(body) is not None else "the formula gives nothing at this bodyweight")

    def factor(self, body: Body) -> Fraction | None:
        """By what a load is multiplied, exact to fifty digits and more; None where the formula gives no number above 0."""
        if not body.sex or body.kg is None:
            return None
        own = self._of(body)
        constants = [Decimal(text) for text in own.constants]
        try:
            made = self._factor(constants, exact_decimal(own.counted(body.kg)))
        except ArithmeticError:  # numbers of a file that nobody published
            return None
        return Fraction(made) if made.is_finite() and made > 0 else None

    def _factor(self, constants: list[Decimal], weight: Decimal) -> Decimal:
        if self.way == "log-square":
            a, b = constants
            if weight >= b:
                return Decimal(1)
            log = EXACT.log10(EXACT.divide(weight, b))
            return EXACT.power(Decimal(10), EXACT.multiply(a, EXACT.multiply(log, log)))
        if self.way == "decay":
            a, b, c = constants
            below = EXACT.subtract(a, EXACT.multiply(b, EXACT.exp(EXACT.multiply(-c, weight))))
        else:
            below = Decimal(0)
            for constant in reversed(constants):
                below = EXACT.add(EXACT.multiply(below, weight), constant)
        return EXACT.divide(exact_decimal(self.times), below)

    def points(self, load: Fraction, body: Body, ages: "AgeFactors | None" = None) -> Fraction | None:
        """The points of a load in kg; None where something is lacking."""
        factor = None if self.lacking(body, ages) else self.factor(body)
        if factor is None:
            return None
        aged = load * factor * (Fraction(1) if ages is None else ages.factor(body.age or 0) or 0)
        return round_to(aged, Fraction(1, 10**self.decimals), Rounding.NEAREST)

    def reckoned(self, body: Body, ages: "AgeFactors | None" = None) -> Told:
        """How an entry's points come about: `83.5 kg of bodyweight, men, times 1.177`; nothing where they don't."""
        factor = self.factor(body)
        if factor is None or body.kg is None:
            return UNTOLD
        counted, aged = self._of(body).counted(body.kg), ages.factor(body.age or 0) if ages else None
        holes = {"kg": decimal_text(body.kg), "sex": body.sex, "factor": decimal_text(factor, 6)}
        holes |= {} if counted == body.kg else {"counted": decimal_text(counted)}
        holes |= {} if aged is None else {"age": str(body.age), "aged": decimal_text(aged, 4)}
        return Told(RECKONED["counted" in holes, "aged" in holes], holes)

    def _of(self, body: Body) -> OfSex:
        return self.women if body.sex == "women" else self.men

    def words(self) -> str:
        """As a person reckons it, once for each sex, in the language that is spoken."""
        return "; ".join(self._of_sex(sex, own) for sex, own in (("women", self.women), ("men", self.men)))

    def _of_sex(self, sex: str, own: OfSex) -> str:
        factor = decimal(self._factor_words(own))
        return ", ".join([say("{sex}: the load in kg × {factor}", sex=known(sex), factor=factor), *self._bounds(own)])

    def _factor_words(self, own: OfSex) -> str:
        if self.way == "log-square":
            a, b = own.constants
            return say("10 ^ ({a} × log10(w / {b})²), 1 from {b} kg on", a=a, b=b)
        if self.way == "decay":
            a, b, c = own.constants
            return f"{decimal_text(self.times)} / ({a} − {b} × e ^ (−{c} × w))"
        powers = ("", " w", *(f" w^{n}" for n in range(2, MOST_CONSTANTS)))
        told = "".join(f" {_signed(text)}{power}" for text, power in zip(own.constants, powers, strict=False))
        return f"{decimal_text(self.times)} / ({told.strip().removeprefix('+ ')})"

    def _bounds(self, own: OfSex) -> Iterator[str]:
        if own.least is not None and own.most is not None:
            least, most = decimal(decimal_text(own.least)), decimal(decimal_text(own.most))
            yield say("w from {least} to {most}, beyond it the nearest", least=least, most=most)


def _signed(text: str) -> str:
    return f"− {text[1:]}" if text.startswith("-") else f"+ {text}"


class AgeFactors(Base):
    """By what the points of a bodyweight formula are taken times, by age in whole years; no age between two that are there may
    lack."""

    name: Name
    factors: dict[int, Constant] = Field(min_length=1, max_length=120)
    source: Line

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if sorted(self.factors) != list(range(min(self.factors), max(self.factors) + 1)):
            raise ValueError(f"{self.name} lacks an age between two that are there.")
        return self

    def factor(self, age: int) -> Fraction | None:
        """The factor of an age, None where the table says nothing of it."""
        text = self.factors.get(age)
        return None if text is None else Fraction(text)


Formula = PointFormula | BodyFormula


class BodyRow(BodyFormula):
    """A formula as the table has it, under its key."""

    key: Key

    @property
    def formula(self) -> BodyFormula:
        """The formula itself."""
        return BodyFormula.model_validate(self.model_dump(exclude={"key"}))


class AgeRow(AgeFactors):
    """Age factors as the table has them, under their key."""

    key: Key

    @property
    def own(self) -> AgeFactors:
        """The factors themselves."""
        return AgeFactors.model_validate(self.model_dump(exclude={"key"}))


def formulas_known() -> dict[str, Formula]:
    """All formulas that were handed in, by key, those of combined events first. Raises NotHandedIn, BadTable."""
    return {key: row.formula for key, row in point_formulas().items()} | made_of("body_formulas", _made)[0]


def age_factors_known() -> dict[str, AgeFactors]:
    """The age factors that were handed in, by key. Raises NotHandedIn, BadTable."""
    return made_of("body_formulas", _made)[1]


def _made(plain: Any) -> tuple[dict[str, Formula], dict[str, AgeFactors]]:
    rows = [read_row(TABLE, BodyRow, row) for row in plain["formulas"]]
    ages = [read_row(TABLE, AgeRow, row) for row in plain["ages"]]
    unlike(TABLE, [*(row.key for row in rows), *(row.key for row in ages)])
    return {row.key: row.formula for row in rows}, {row.key: row.own for row in ages}
