"""Points by bodyweight: more load is more points, and what nobody said is told and never guessed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.records.body_formulas import AgeFactors, Body, BodyFormula, OfSex, age_factors_known, formulas_known
from app.rules.values.words import spoken
from app.wording import catalogue

FORMULAS = {key: one for key, one in formulas_known().items() if isinstance(one, BodyFormula)}
AGES = age_factors_known()["foster-mcculloch"]
KNOWN = Body("men", Fraction(80), 45)


@given(
    st.sampled_from(sorted(FORMULAS)),
    st.sampled_from(["women", "men"]),
    st.integers(350, 2400),
    st.integers(0, 5000),
    st.integers(1, 4000),
)
def test_whoever_lifts_more_has_more_points(key: str, sex: str, tenths: int, load: int, more: int) -> None:
    body = Body(sex, Fraction(tenths, 10))  # type: ignore[arg-type]
    less = FORMULAS[key].points(Fraction(load, 10), body)
    after = FORMULAS[key].points(Fraction(load + more, 10), body)
    assert less is not None and after is not None and less < after


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (Body("", Fraction(80), 45), "women's or the men's"),
        (Body("men", None, 45), "not weighed"),
        (Body("men", Fraction(80), None), "age not known"),
        (Body("men", Fraction(80), 9), "nothing of age 9"),
        (Body("men", Fraction(34), 45), "begins at 35 kg"),
        (Body(members=2), "for one lifter"),
    ],
)
def test_what_lacks_is_said_and_gives_no_points(body: Body, sentence: str) -> None:
    formula = FORMULAS["gl-classic"]
    assert sentence in formula.lacking(body, AGES).text
    assert formula.points(Fraction(300), body, AGES) is None
    assert not formula.lacking(KNOWN, AGES) and formula.points(Fraction(300), KNOWN, AGES) is not None


def test_beyond_its_bounds_a_bodyweight_counts_as_the_nearest() -> None:
    wilks = FORMULAS["wilks"]
    assert wilks.points(Fraction(300), Body("men", Fraction(230))) == wilks.points(Fraction(300), Body("men", Fraction("201.9")))
    assert wilks.reckoned(Body("men", Fraction(230))).text.startswith("230 kg of bodyweight, counted as 201.9 kg, men, times ")
    aged = wilks.reckoned(Body("men", Fraction("82.5"), 45), AGES)
    assert aged.text.endswith("age 45 times 1.055")
    with spoken(catalogue("de")):
        assert aged.text.startswith("82,5 kg Körpergewicht, Männer, mal 0,") and "Frauen: die Last in kg" in wilks.words()


def own(way: str, *constants: str) -> BodyFormula:
    """A formula that nobody published, as a file may bring one."""
    of_sex = OfSex(constants=constants)
    return BodyFormula(name="Ours", way=way, women=of_sex, men=of_sex, times=Fraction(100), source="Invented")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "formula",
    [
        own("decay", "0", "0", "0"),
        own("decay", "1", "1", "-999999999"),
        own("polynomial", "-1"),
        own("log-square", "999999999", "999999999"),
    ],
)
def test_numbers_that_give_nothing_are_told_and_break_nothing(formula: BodyFormula) -> None:
    assert formula.lacking(KNOWN).text == "the formula gives nothing at this bodyweight"
    assert formula.points(Fraction(100), KNOWN) is None


def test_a_formula_without_its_constants_and_ages_with_a_gap_are_refused() -> None:
    with pytest.raises(ValidationError, match="another number of constants"):
        own("decay", "1", "2")
    with pytest.raises(ValidationError, match="lacks an age"):
        AgeFactors(name="Ours", factors={40: "1", 42: "1.1"}, source="Invented")
