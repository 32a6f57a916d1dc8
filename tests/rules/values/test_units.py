"""Exact loads and numbers: what is typed, kept, compared, rounded and shown."""

import re
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.values.units import BadMeasure, Load, Rounding, both_units, decimal_text, parse_load, round_to
from tests.builders.cast import load
from tests.builders.chance import loads

NEAREST, DOWN, NONE = Rounding.NEAREST, Rounding.DOWN, Rounding.NONE
numbers = st.fractions(min_value=-2000, max_value=2000, max_denominator=4000)
steps = st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(5, 2), Fraction(1, 1000), Fraction(7, 3)])


def test_one_weight_written_in_two_ways_is_one_load() -> None:
    assert load("225.50 lb") == load("0225.5 lb")
    assert len({load("225.50 lb"), load("0225.5 lb")}) == 1
    assert load("225.50 lb").text() == "225.5 lb"


def test_loads_in_two_units_compare_by_what_they_weigh() -> None:
    # 100 kg = 220.4622... lb
    assert load("220 lb") < load("100 kg") < load("221 lb")
    assert max(load("102.5 kg"), load("225 lb")) == load("102.5 kg")
    assert load("0 kg") == load("0 lb")


def test_a_load_is_not_equal_to_anything_but_a_load() -> None:
    assert load("100 kg") != "100 kg"
    assert load("100 kg") != 100
    with pytest.raises(TypeError):
        assert load("100 kg") < 100


@given(loads, loads, loads)
def test_equality_order_and_hash_of_loads_agree(a: Load, b: Load, c: Load) -> None:
    assert [a < b, a == b, a > b].count(True) == 1
    assert (a == b) == (a.kg == b.kg) == (a <= b <= a)
    assert a != b or hash(a) == hash(b)
    assert all(x <= y for x, y in pairwise(sorted([a, b, c])))


@pytest.mark.parametrize("amount", ["", "-1", "1e3", "1.23456", "12345678", "nan", "1.", ".5", " 1", "1\n", "١٠٠", "1_0"])
def test_an_amount_is_a_plain_decimal_in_common_digits(amount: str) -> None:
    with pytest.raises(BadMeasure, match=r"plain number such as 102\.5"):
        Load(amount, "kg")


def test_no_bar_carries_more_than_two_tonnes() -> None:
    assert Load("2000", "kg").kg == 2000
    with pytest.raises(BadMeasure, match="more than any bar carries"):
        Load("2000.0001", "kg")
    with pytest.raises(BadMeasure, match="more than any bar carries"):
        Load("4410", "lb")  # 2000.3 kg


def test_a_sentence_about_a_load_repeats_little_of_what_was_sent() -> None:
    with pytest.raises(BadMeasure) as wrong:
        Load("9" * 100_000, "kg")
    assert len(str(wrong.value)) < 160


@pytest.mark.parametrize(
    ("typed", "unit", "load_text"),
    [
        ("105", "kg", "105 kg"),
        ("105", "lb", "105 lb"),
        (" 102,5 ", "lb", "102.5 lb"),
        ("102,25kg", "lb", "102.25 kg"),
        ("225 LBS.", "kg", "225 lb"),
        ("225#", "kg", "225 lb"),
        ("60 Kilos", "lb", "60 kg"),
        ("1 pound", "kg", "1 lb"),
        (".5", "kg", "0.5 kg"),
        ("100.", "kg", "100 kg"),
        ("007.50", "kg", "7.5 kg"),
        ("100\u00a0kg", "lb", "100 kg"),
    ],
)
def test_a_typed_load_is_read_in_the_unit_it_names_else_the_events(typed: str, unit: str, load_text: str) -> None:
    assert parse_load(typed, "kg" if unit == "kg" else "lb").text() == load_text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Type a load"),
        ("   ", "Type a load"),
        ("0", "more than zero"),
        ("0.00 kg", "more than zero"),
        ("1,250", "could mean two loads. Write it without the comma, such as 1250"),
        ("1,000.5", "is not a load"),
        ("1 000", "is not a load"),
        ("1.2.3", "is not a load"),
        ("-100", "is not a load"),
        ("100 stone", "is not a load"),
        ("100 kg lb", "is not a load"),
        ("1e2", "is not a load"),
        ("２２５", "is not a load"),
        ("9" * 41, "is not a load"),
        ("100.12345", "at most 4 decimals"),
        ("9999 kg", "more than any bar carries"),
    ],
)
def test_what_can_not_be_read_as_one_load_gets_a_sentence(typed: str, sentence: str) -> None:
    with pytest.raises(BadMeasure, match=re.escape(sentence)):
        parse_load(typed, "kg")


def test_a_long_run_of_blanks_is_refused_at_once() -> None:
    with pytest.raises(BadMeasure, match="is not a load"):
        parse_load("1" + " " * 200_000 + "x", "kg")


likely = st.text(alphabet="0123456789.,'# \u00a0kgilosbpundKGLBS\u212a", max_size=14)
near_loads = st.builds(
    "{}{}{}{}".format,
    st.integers(0, 9999),
    st.sampled_from(["", ".", ",", ".5", ",5", ",25", ",250", "\u00a0"]),
    st.sampled_from(["", " ", "  "]),
    st.sampled_from(["", "kg", "Kgs.", "kilo", "lb", "lbs", "#", "pound", "stone", "k", "g"]),
)


def _load_or_sentence(text: str, unit: str) -> Load | str:
    try:
        return parse_load(text, "kg" if unit == "kg" else "lb")
    except BadMeasure as wrong:
        return str(wrong)


@given(st.text(max_size=50) | likely | near_loads, st.sampled_from(["kg", "lb"]))
def test_any_text_is_a_load_in_its_own_unit_or_a_sentence(text: str, unit: str) -> None:
    found = _load_or_sentence(text, unit)
    if isinstance(found, str):
        assert found.endswith(".")
        return
    letters = re.sub(r"[^a-z#]", "", text.lower())
    assert found.unit == {"": unit, "k": "kg", "l": "lb", "p": "lb", "#": "lb"}[letters[:1]]
    digits = re.sub(r"[^0-9.,]", "", text).rstrip(".").replace(",", ".")
    assert Decimal(found.amount) == Decimal(digits) > 0


@pytest.mark.parametrize(
    ("value", "step", "how", "rounded"),
    [
        ("5/2", "1", NEAREST, "3"),
        ("-5/2", "1", NEAREST, "-3"),
        ("7/2", "1", NEAREST, "4"),
        ("49/20", "1/10", NEAREST, "5/2"),
        ("-5/2", "1", DOWN, "-3"),
        ("299/2", "5/2", DOWN, "295/2"),
        ("151", "5/2", NEAREST, "150"),
        ("605/4", "5/2", NEAREST, "305/2"),
        ("1/3", "1", NONE, "1/3"),
    ],
)
def test_halves_go_away_from_zero_and_down_is_towards_minus_infinity(value: str, step: str, how: Rounding, rounded: str) -> None:
    assert round_to(Fraction(value), Fraction(step), how) == Fraction(rounded)


@given(numbers, steps)
def test_rounding_lands_on_the_nearest_step_alike_on_both_sides_of_zero(value: Fraction, step: Fraction) -> None:
    near, down = round_to(value, step, NEAREST), round_to(value, step, DOWN)
    assert (near / step).denominator == (down / step).denominator == 1
    assert abs(near - value) <= step / 2 and down <= value < down + step
    assert round_to(-value, step, NEAREST) == -near
    assert round_to(near, step, NEAREST) == near


@given(numbers, st.integers(0, 6))
def test_a_shown_number_is_within_half_of_its_last_decimal(value: Fraction, decimals: int) -> None:
    text = decimal_text(value, decimals)
    assert re.fullmatch(r"-?\d+(\.\d*[1-9])?", text) and text != "-0"
    assert abs(Fraction(text) - value) <= Fraction(1, 2 * 10**decimals)


def test_a_load_is_shown_in_both_units_the_other_to_a_tenth() -> None:
    assert both_units(load("225 lb")) == "225 lb (102.1 kg)"  # 102.058
    assert both_units(load("100 kg")) == "100 kg (220.5 lb)"  # 220.462
    assert both_units(load("45 lb")) == "45 lb (20.4 kg)"  # 20.412
