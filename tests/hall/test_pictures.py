"""Pictures of numbers: a place on a ruler leads back to its number, and a ruler's lines are round and few."""

import itertools
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.hall.pictures import MOST_TICKS, Scale, round_values, stepped

NUMBERS = st.fractions(-10_000, 10_000, max_denominator=1000)


@given(st.lists(NUMBERS, min_size=2, max_size=20))
def test_round_lines_span_all_numbers_and_are_few(numbers: list[Fraction]) -> None:
    lines = round_values(min(numbers), max(numbers))
    assert 2 <= len(lines) <= MOST_TICKS
    assert lines[0] <= min(numbers) and lines[-1] >= max(numbers)
    assert len({after - one for one, after in itertools.pairwise(lines)}) == 1


@given(st.integers(0, 100_000), st.integers(0, 100_000), st.sampled_from([(5, 10, 15, 30, 60), (1, 2, 5), (60,)]))
def test_lines_of_a_clock_span_all_of_it_and_stand_on_whole_steps(one: int, other: int, steps: tuple[int, ...]) -> None:
    low, high = sorted((one, other))
    lines = stepped(low, high, steps)
    assert 2 <= len(lines) <= MOST_TICKS + 1
    assert lines[0] <= low and lines[-1] >= high
    assert all(line % steps[0] == 0 for line in lines)


@given(NUMBERS, NUMBERS, NUMBERS)
def test_a_place_leads_back_to_its_number(one: Fraction, other: Fraction, value: Fraction) -> None:
    scale = Scale(min(one, other), max(one, other) + 1)
    inside = min(max(value, Fraction(scale.low)), Fraction(scale.high))
    across = float(scale.across(value).removesuffix("%")) / 100
    whole = float(scale.high - scale.low)
    assert abs(float(scale.low) + across * whole - float(inside)) <= whole * 0.00006
    assert abs(float(scale.high) - scale.up(value, 200) / 200 * whole - float(inside)) <= whole * 0.00003
