"""How far judges agree, where the answer is known by hand or by law. The published examples are in tests/outside/."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.agree.agreement import bland_altman, cohens_kappa, intraclass, krippendorffs_alpha, percent_agreement

words = st.lists(st.tuples(st.sampled_from("gr"), st.sampled_from("gr")), min_size=1, max_size=20)
tables = st.integers(2, 4).flatmap(
    lambda k: st.lists(st.lists(st.integers(0, 30), min_size=k, max_size=k), min_size=2, max_size=8)
)


def test_nothing_to_compare_is_no_number() -> None:
    assert percent_agreement([]) is None
    assert cohens_kappa([]) is None
    assert krippendorffs_alpha([[3], [4], []], "interval") is None
    assert intraclass([[3, 4]]) is None
    assert bland_altman([]) is None


def test_kappa_can_not_be_told_where_both_only_ever_say_one_word() -> None:
    assert cohens_kappa([("good", "good")] * 9) is None


def test_kappa_is_nothing_where_they_agree_no_more_than_by_chance() -> None:
    assert cohens_kappa([("g", "g"), ("g", "r"), ("r", "g"), ("r", "r")]) == 0


@given(words)
def test_kappa_is_one_exactly_where_they_always_agree(pairs: list[tuple[str, str]]) -> None:
    kappa = cohens_kappa(pairs)
    assert (kappa == 1) == (kappa is not None and all(a == b for a, b in pairs))


@given(words)
def test_kappa_does_not_ask_who_was_first(pairs: list[tuple[str, str]]) -> None:
    assert cohens_kappa(pairs) == cohens_kappa([(b, a) for a, b in pairs])


@given(tables)
def test_intraclass_correlations_do_not_mind_another_zero_or_the_order_of_the_judges(table: list[list[int]]) -> None:
    assert intraclass(table) == intraclass([[value + 7 for value in row] for row in table])
    assert intraclass(table) == intraclass([list(reversed(row)) for row in table])


@given(st.lists(st.integers(0, 30), min_size=2, max_size=8).filter(lambda counts: len(set(counts)) > 1))
def test_judges_who_count_alike_correlate_fully_and_a_constant_difference_is_forgiven_by_the_third_form(
    counts: list[int],
) -> None:
    alike = intraclass([[count, count] for count in counts])
    shifted = intraclass([[count, count + 5] for count in counts])
    assert alike is not None and shifted is not None and shifted.one is not None and shifted.two is not None
    assert (alike.one, alike.two, alike.three, alike.one_k, alike.two_k, alike.three_k) == (1, 1, 1, 1, 1, 1)
    assert shifted.three == 1 and shifted.two < 1 and shifted.one < 1


def test_rows_of_different_lengths_are_refused() -> None:
    with pytest.raises(ValueError, match="from every judge"):
        intraclass([[1, 2], [1]])


def test_things_that_are_all_alike_leave_nothing_to_correlate() -> None:
    found = intraclass([[4, 4], [4, 4]])
    assert found is not None and found.one is None and found.three_k is None


def test_limits_of_one_thing_are_only_its_difference() -> None:
    limits = bland_altman([(40, 37)])
    assert limits is not None and limits.bias == 3 and limits.sd is None
    assert limits.points == ((Fraction(77, 2), Fraction(3)),)


@given(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), min_size=2, max_size=20))
def test_the_limits_lie_evenly_around_the_bias_and_turn_with_the_judges(pairs: list[tuple[int, int]]) -> None:
    one, other = bland_altman(pairs), bland_altman([(b, a) for a, b in pairs])
    assert one is not None and other is not None and one.low is not None and one.high is not None
    assert one.high - float(one.bias) == pytest.approx(float(one.bias) - one.low)
    assert other.bias == -one.bias and other.sd == pytest.approx(one.sd)
