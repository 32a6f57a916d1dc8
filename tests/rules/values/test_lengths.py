"""Lengths: exact, read as people write them, and never in a unit that nobody meant."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.markings import HEIGHT, REACH
from app.rules.values.lengths import Length, both_lengths, eighths, parse_body_length, parse_length, tape_text
from app.rules.values.units import BadMeasure

FIVE_TEN = Length("70", "in")


@pytest.mark.parametrize(
    "typed",
    [
        "5'10",
        "5'10\"",
        "5’10”",
        "5 ft 10",
        "5 ft. 10 in.",
        "5 feet and 10 inches",
        "5′10″",
        "5'10''",
        "70",
        "70in",
        '70"',
        "70 inches",
    ],
)
def test_five_feet_ten_is_one_height_however_it_is_written(typed: str) -> None:
    assert parse_body_length(typed, HEIGHT) == FIVE_TEN


@pytest.mark.parametrize(
    "typed", ["178", "178 cm", "178cm", "1.78 m", "1,78", "1,78m", "1m78", "1 m 78", "1780 mm", "178 centimetres", "1780"]
)
def test_one_metre_seventy_eight_is_one_height_however_it_is_written(typed: str) -> None:
    assert parse_body_length(typed, HEIGHT) == Length("178", "cm")


@pytest.mark.parametrize(
    ("typed", "inches"), [("82 3/8 in", "82.375"), ("82½", "82.5"), ("6'10 1/4\"", "82.25"), ("82,5 in", "82.5")]
)
def test_a_tapes_fractions_are_exact(typed: str, inches: str) -> None:
    assert parse_body_length(typed, REACH) == Length(inches, "in")


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "0",
        "-178",
        "1,780",
        "5.9",
        "5,8",
        "6",
        "2",
        "5'12",
        "178 cm 2",
        "1/0",
        "82 1/0",
        "١٧٨",
        "1e2",
        "178" * 20,
        "5''10'",
    ],
)
def test_what_is_no_height_or_two_is_refused_with_a_sentence(typed: str) -> None:
    with pytest.raises(BadMeasure) as refused:
        parse_body_length(typed, HEIGHT)
    assert str(refused.value).endswith((".", '"')) and len(str(refused.value)) > 20


@pytest.mark.parametrize(
    ("typed", "mm"),
    [("3", "76.2"), ("10 cm", "100"), ("0", "0"), ("1/2", None), ("0.5", "12.7"), ("2 ft", "609.6"), ("1 m", "1000")],
)
def test_a_size_is_in_the_tapes_unit_unless_it_says_another(typed: str, mm: str | None) -> None:
    if mm is None:
        with pytest.raises(BadMeasure):
            parse_length(typed, "in")
    else:
        assert parse_length(typed, "in").mm == Fraction(mm)


@given(st.integers(HEIGHT.low * 10, HEIGHT.high * 10), st.sampled_from(["mm", "cm", "m", "in"]))
def test_a_length_without_its_unit_is_the_same_as_with_it(tenths: int, unit: str) -> None:
    """The law of spans: no number is a height in two units, so the unit may be left out."""
    per = {"mm": 10, "cm": 100, "m": 10_000, "in": 254}[unit]
    number = f"{Fraction(tenths, per).limit_denominator(1) if unit != 'm' else 0}"
    text = number if unit != "m" else f"{tenths // 10_000}.{tenths % 10_000:04d}"
    try:
        told = parse_body_length(f"{text} {unit}", HEIGHT)
    except BadMeasure:
        return  # rounded out of the span
    if unit == "m" and Fraction(text).denominator == 1:
        return  # a bare 2 is refused
    assert parse_body_length(text, HEIGHT) == told


@given(st.text(max_size=50))
def test_whatever_is_typed_is_a_length_or_a_sentence(text: str) -> None:
    try:
        assert HEIGHT.holds(parse_body_length(text, HEIGHT).mm)
    except BadMeasure as refused:
        sentence = str(refused)
        assert sentence.isprintable()


@given(st.integers(0, 30_000))
def test_eighths_are_never_more_than_a_sixteenth_off(tenths: int) -> None:
    mm = Fraction(tenths, 10)
    shown = sum((Fraction(part) for part in eighths(mm).split()), Fraction(0))
    assert abs(shown * Fraction(254, 10) - mm) <= Fraction(254, 160)


def test_lengths_are_told_in_both_units() -> None:
    assert tape_text(Length("72.75", "in").mm, "in") == "72 3/4 in (184.8 cm)"
    assert both_lengths(Length("178", "cm").mm, "cm") == "178 cm (70.1 in)"
    assert (eighths(Fraction(0)), eighths(Fraction("12.7"))) == ("0", "1/2")
