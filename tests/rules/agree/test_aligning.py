"""Two judges' marks paired in time: exact against every way there is, order kept, nothing paired beyond the tolerance."""

from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.agree.aligning import Pair, Seen, align, cost

TOLERANCE = 1_000


def seen(*times: int, who: str = "a", verdicts: str = "") -> list[Seen]:
    """Marks at these times; `verdicts` says g (good) or r (refused) for each, all good without it."""
    words = {"g": "good", "r": "refused"}
    return [
        Seen(f"{who}{i}", at, words[verdict])
        for i, (at, verdict) in enumerate(zip(times, verdicts or "g" * len(times), strict=True))
    ]


def side(who: str, most: int) -> st.SearchStrategy[list[Seen]]:
    marks = st.lists(st.tuples(st.integers(0, 4_000), st.sampled_from("gr")), max_size=most)
    return marks.map(lambda made: seen(*[at for at, _ in sorted(made)], who=who, verdicts="".join(v for _, v in sorted(made))))


def every_way(first: Sequence[Seen], second: Sequence[Seen], tolerance: int) -> Iterator[list[Pair]]:
    """All ways to pair two sides that keep the order and the tolerance."""
    if not first or not second:
        yield [Pair(one, None) for one in first] + [Pair(None, one) for one in second]
        return
    yield from ([Pair(first[0], None), *rest] for rest in every_way(first[1:], second, tolerance))
    yield from ([Pair(None, second[0]), *rest] for rest in every_way(first, second[1:], tolerance))
    if abs(first[0].at - second[0].at) <= tolerance:
        yield from ([Pair(first[0], second[0]), *rest] for rest in every_way(first[1:], second[1:], tolerance))


@given(side("a", 5), side("b", 5), st.sampled_from([1, 150, 600, 1_000, 5_000]))
def test_no_way_of_pairing_costs_less(first: list[Seen], second: list[Seen], tolerance: int) -> None:
    least = min(cost(way, tolerance) for way in every_way(first, second, tolerance))
    assert cost(align(first, second, tolerance), tolerance) == least


@given(side("a", 30), side("b", 30), st.sampled_from([1, 150, 1_000, 10_000]))
def test_every_mark_is_there_once_in_its_order_and_no_pair_is_too_far_apart(
    first: list[Seen], second: list[Seen], within: int
) -> None:
    pairs = align(first, second, within)
    assert [pair.first for pair in pairs if pair.first] == first
    assert [pair.second for pair in pairs if pair.second] == second
    assert all(abs(p.first.at - p.second.at) <= within for p in pairs if p.first and p.second)


@given(side("a", 30), side("b", 30))
def test_it_costs_the_same_whoever_comes_first(first: list[Seen], second: list[Seen]) -> None:
    assert cost(align(first, second, TOLERANCE), TOLERANCE) == cost(align(second, first, TOLERANCE), TOLERANCE)


@given(side("a", 30))
def test_a_sheet_agrees_with_itself(first: list[Seen]) -> None:
    pairs = align(first, first, TOLERANCE)
    assert [(pair.first, pair.second) for pair in pairs] == [(one, one) for one in first]


def test_a_judge_who_missed_the_first_does_not_shift_the_others() -> None:
    pairs = align(seen(2_000, 3_000, 4_000, 5_000), seen(1_000, 2_000, 3_000, 4_000, who="b"), TOLERANCE)
    assert [(p.first and p.first.at, p.second and p.second.at) for p in pairs] == [
        (None, 1_000),
        (2_000, 2_000),
        (3_000, 3_000),
        (4_000, 4_000),
        (5_000, None),
    ]


def test_one_repetition_judged_two_ways_is_one_disagreement() -> None:
    (pair,) = align(seen(1_000, verdicts="g"), seen(1_200, who="b", verdicts="r"), TOLERANCE)
    assert pair.first and pair.second and not pair.agreed


def test_marks_farther_apart_than_the_tolerance_are_two_things() -> None:
    assert len(align(seen(1_000), seen(2_001, who="b"), TOLERANCE)) == 2
    assert len(align(seen(1_000), seen(2_000, who="b"), TOLERANCE)) == 1


def test_a_tolerance_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least a millisecond"):
        align(seen(1), seen(1), 0)
