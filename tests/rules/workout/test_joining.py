"""Several counters joined into one count."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.workout.joining import Joined, JoinRule, join_counts

HOWS: list[Any] = ["lane", "closest_two", "drop_high_low", "mean", "median"]


@pytest.mark.parametrize(
    ("how", "counts", "count", "used"),
    [
        ("lane", [40, 43, 44], 40, (0,)),
        ("closest_two", [40, 43, 44], Fraction(87, 2), (1, 2)),
        ("closest_two", [40, 42, 44], 43, (1, 2)),  # both pairs are equally close: the higher one
        ("closest_two", [42, 42, 50], 42, (0, 1)),
        ("drop_high_low", [40, 47, 44], 44, (2,)),
        ("mean", [40, 43, 44], Fraction(127, 3), (0, 1, 2)),
        ("median", [40, 47, 44], 44, (2,)),
        ("median", [40, 47], Fraction(87, 2), (0, 1)),
        ("closest_two", [40, 43], Fraction(83, 2), (0, 1)),
        ("drop_high_low", [40, 43], Fraction(83, 2), (0, 1)),
        ("closest_two", [40], 40, (0,)),
    ],
)
def test_a_rule_takes_the_counts_it_names(how: Any, counts: list[int], count: Fraction, used: tuple[int, ...]) -> None:
    assert join_counts(JoinRule(how=how), counts) == Joined(Fraction(count), used, False)


def test_counts_farther_apart_than_allowed_are_to_be_taken_again() -> None:
    rule = JoinRule(how="closest_two", recount_beyond=2)
    assert [join_counts(rule, counts).recount for counts in ([40, 42, 90], [40, 43, 90], [40, 43])] == [False, True, True]
    assert join_counts(JoinRule(how="lane", recount_beyond=0), [40, 90]).recount is False, "only counts that are joined"


def test_no_count_is_no_count() -> None:
    assert join_counts(JoinRule(how="mean", recount_beyond=0), []) == Joined(Fraction(0), (), False)


@given(st.sampled_from(HOWS), st.lists(st.integers(0, 300), min_size=1, max_size=3))
def test_a_joined_count_lies_between_the_lowest_and_the_highest(how: Any, counts: list[int]) -> None:
    joined = join_counts(JoinRule(how=how), counts)
    assert min(counts) <= joined.count <= max(counts)
    assert joined.count == Fraction(sum(counts[i] for i in joined.used), len(joined.used))


@given(st.sampled_from([how for how in HOWS if how != "lane"]), st.permutations([7, 11, 12]), st.permutations([0, 1, 2]))
def test_it_does_not_matter_which_counter_stands_where(how: Any, counts: list[int], order: list[int]) -> None:
    mixed = [counts[i] for i in order]
    assert join_counts(JoinRule(how=how), counts).count == join_counts(JoinRule(how=how), mixed).count


@given(st.sampled_from(HOWS), st.integers(0, 300), st.integers(1, 3))
def test_counters_who_agree_are_believed(how: Any, count: int, counters: int) -> None:
    joined = join_counts(JoinRule(how=how, recount_beyond=0), [count] * counters)
    assert (joined.count, joined.recount) == (count, False)
