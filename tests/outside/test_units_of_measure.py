"""Loads and lengths against values that nobody here made."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
import scipy.constants

from app.rules.values.units import KG_IN, MM_IN, Load, Rounding, decimal_text, round_to
from app.rules.workout.score_units import convert
from tests.outside.pint_units import units_in


def _of_one(unit: str, other: str) -> Decimal:
    return Decimal(units_in(Decimal).Quantity(Decimal(1), unit).to(other).magnitude)


@pytest.mark.parametrize(
    ("amount", "kg"),
    # NIST Special Publication 811, appendix B.8: 1 lb = 4.535 923 7 E-01 kg, exactly. The products by pint with Decimal.
    [("1", "0.45359237"), ("45", "20.41165665"), ("225", "102.05828325"), ("315", "142.88159655")],
)
def test_pounds_in_kilograms_are_those_of_nist_sp_811(amount: str, kg: str) -> None:
    assert Load(amount, "lb").kg == Fraction(kg)
    assert units_in(Decimal).Quantity(Decimal(amount), "pound").to("kilogram").magnitude == Decimal(kg)


@pytest.mark.parametrize(("inches", "cm"), [("1", "2.54"), ("3", "7.62"), ("24", "60.96"), ("36", "91.44")])
def test_inches_in_centimetres_are_those_of_nist_sp_811(inches: str, cm: str) -> None:
    # NIST Special Publication 811, appendix B.8: 1 in = 2.54 E+01 mm, exactly.
    assert convert(Fraction(inches), "in", "cm") == Fraction(cm)


@pytest.mark.parametrize("unit", sorted(MM_IN))
def test_each_length_unit_is_the_one_of_pint(unit: str) -> None:
    # pint's default registry: international foot, yard and mile.
    assert _of_one(unit, "millimeter") == Decimal(MM_IN[unit].numerator) / MM_IN[unit].denominator


@pytest.mark.parametrize("unit", sorted(KG_IN))
def test_each_load_unit_is_the_one_of_pint(unit: str) -> None:
    assert _of_one(unit, "kilogram") == Decimal(KG_IN[unit].numerator) / KG_IN[unit].denominator


def test_a_pound_as_a_float_is_not_a_pound() -> None:
    # scipy.constants.lb is 0.45359236999999997 as it prints; 1000 of them fall short of what 1000 lb weigh.
    assert repr(scipy.constants.lb) == "0.45359236999999997"
    assert Fraction(scipy.constants.lb) != Load("1", "lb").kg
    assert Load("1000", "lb").kg == Fraction("453.59237")


@pytest.mark.parametrize(
    ("half", "python", "javascript", "ours"),
    # Python rounds halves to even, JavaScript's Math.round (ECMA-262, 21.3.2.28) towards plus infinity. A published score may
    # not depend on the language that made it, so the rule is stated: away from zero.
    [("2.5", 2, 3, "3"), ("3.5", 4, 4, "4"), ("-2.5", -2, -2, "-3"), ("-3.5", -4, -3, "-4")],
)
def test_halves_are_rounded_by_our_rule_and_not_by_a_languages(half: str, python: int, javascript: int, ours: str) -> None:
    assert round(float(half)) == python
    assert math.floor(float(half) + 0.5) == javascript
    assert decimal_text(round_to(Fraction(half), Fraction(1), Rounding.NEAREST)) == ours
