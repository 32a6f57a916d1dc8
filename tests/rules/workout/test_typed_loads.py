"""Loads as people type them: refused, asked about once, or taken, with what was probably meant."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.values.units import BadMeasure, Load
from app.rules.workout.typed_loads import Around, doubt_about, typed_load
from tests.vectors.typed_loads import KILOGRAMS, POUNDS


def test_kilograms_typed_in_a_pound_event_are_asked_about_in_both_units() -> None:
    # CHECKS: a load 0.42 to 0.5 of the last one, or 2.0 to 2.4 times it, may be in the other unit.
    load, doubt = typed_load("102", POUNDS, "lb", Around(last=Load("225", "lb")))
    assert load == Load("102", "lb") and doubt is not None
    assert doubt.sentence == "The last load was 225 lb (102.1 kg). Is this one 102 lb (46.3 kg), or 102 kg (224.9 lb)?"
    assert doubt.offers == (Load("102", "kg"),)


def test_a_load_far_off_the_plan_is_asked_about_where_nothing_was_lifted_yet() -> None:
    around = Around(planned=Load("100", "kg"))
    assert doubt_about(Load("102.5", "kg"), KILOGRAMS, around) is None
    doubt = doubt_about(Load("250", "kg"), KILOGRAMS, around)
    assert doubt is not None and doubt.sentence == "The planned load was 100 kg (220.5 lb). Is 250 kg (551.2 lb) right?"


def test_a_load_off_the_step_comes_with_the_nearest_below_and_above() -> None:
    doubt = doubt_about(Load("101", "kg"), KILOGRAMS)
    assert doubt is not None and doubt.offers == (Load("100", "kg"), Load("102.5", "kg"))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("1O5", "“1O5” is not a load. It has a letter where a digit belongs: type 105."),
        ("-5", "“-5” is not a load. A load has no sign: type 5."),
        ("1e3", "“1e3” is not a load. Type all its digits, without the e."),
        ("2,000", "“2,000” could mean two loads. Write it without the comma, such as 2000."),
        ("15", "The bar alone weighs 20 kg (44.1 lb). 15 kg (33.1 lb) can't be on it."),
        ("601", "601 kg (1325 lb) is more than anybody lifts: at most 600 kg (1322.8 lb) goes. Type it again."),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(typed: str, sentence: str) -> None:
    with pytest.raises(BadMeasure) as wrong:
        typed_load(typed, KILOGRAMS, "kg")
    assert str(wrong.value) == sentence


def test_a_decimal_comma_is_a_point() -> None:
    assert typed_load("105,5", POUNDS, "lb")[0] == Load("105.5", "lb")


halves = st.integers(40, 1200).map(lambda n: Load(str(Fraction(n, 2).numerator / Fraction(n, 2).denominator), "kg"))


@given(halves, halves)
@example(Load("40", "kg"), Load("20", "kg"))
def test_every_offer_would_be_taken_without_a_question_or_weighs_what_was_typed_in_the_other_unit(load: Load, last: Load) -> None:
    doubt = doubt_about(load, KILOGRAMS, Around(last=last)) if load >= KILOGRAMS.bar else None
    for offer in doubt.offers if doubt else ():
        assert offer.amount == load.amount or offer.kg % KILOGRAMS.step.kg == 0 or offer == last
        assert offer >= KILOGRAMS.bar


@given(halves)
def test_the_same_load_again_is_never_far(load: Load) -> None:
    doubt = doubt_about(load, KILOGRAMS, Around(last=load)) if load >= KILOGRAMS.bar else None
    assert doubt is None or doubt.sentence.startswith("Loads go in steps")
