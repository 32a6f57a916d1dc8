"""Practice: a seed always gives its set, faults are where the truth says, and calls meet repetitions one to one."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.agree.practice import FULL, HOME, MOVES, Call, PracticeSet, agreement, practice_set

SETS = st.builds(practice_set, st.sampled_from(sorted(MOVES)), st.integers(0, 2**31), st.integers(2, 60))
CALLS = st.lists(st.builds(Call, st.integers(0, 200_000), st.booleans()), max_size=60)


def perfect(made: PracticeSet, late: int = 0) -> list[Call]:
    return [Call(rep.end + late, rep.good) for rep in made.reps]


@given(SETS)
def test_the_same_seed_gives_the_same_set_and_what_is_shown_is_what_is_true(made: PracticeSet) -> None:
    assert practice_set(made.move, made.seed, len(made.reps)) == made
    for before, rep in zip((None, *made.reps), made.reps, strict=False):
        assert rep.start == (before.end if before else 3000) and 2000 <= rep.end - rep.start < 2900
        assert rep.good == (rep.far == FULL and rep.home == HOME)
    faults = {rep.fault for rep in made.reps if rep.fault}
    assert faults == {MOVES[made.move].short, MOVES[made.move].not_home}


@given(SETS, st.integers(-900, 900))
def test_a_judge_who_calls_everything_right_within_the_tolerance_has_all_of_it(made: PracticeSet, late: int) -> None:
    found = agreement(made, perfect(made, late))
    assert (found.percent, found.extra, found.uncalled, found.missed_faults()) == (100, 0, 0, {})


@given(SETS, CALLS)
def test_no_call_belongs_to_two_repetitions_and_every_call_is_accounted_for(made: PracticeSet, calls: list[Call]) -> None:
    found = agreement(made, calls)
    used = [one.call for one in found.matched if one.call is not None]
    assert len(used) + found.extra == len(calls)
    assert [call.at for call in used] == sorted(call.at for call in used)
    assert all(abs(one.call.at - one.rep.end) <= 900 for one in found.matched if one.call is not None)
    assert 0 <= found.percent <= 100


def test_what_was_missed_is_named() -> None:
    """Twenty repetitions, six of them faulty: three short, three not home. All called good: 14 of 20 right."""
    made = practice_set("squat", 7)
    found = agreement(made, [Call(rep.end, True) for rep in made.reps])
    assert found.missed_faults() == {"Not deep enough": 3, "Not stood up": 3}
    assert (found.right, found.percent, found.too_strict) == (14, 70, 0)
    strict = agreement(made, [Call(rep.end, False) for rep in made.reps])
    assert (strict.right, strict.too_strict, strict.missed_faults()) == (6, 14, {})


def test_extra_calls_count_against_the_judge_and_late_ones_belong_to_nothing() -> None:
    made = practice_set("press", 3, 10)
    double = agreement(made, [*perfect(made), *(Call(rep.end + 100, True) for rep in made.reps[:2])])
    assert (double.extra, double.percent) == (2, Fraction(1000, 12))
    late = agreement(made, perfect(made, 901), 900)
    assert late.right < 10


def test_nobody_called_is_nothing_right() -> None:
    made = practice_set("pull_up", 1, 5)
    assert (agreement(made, []).percent, agreement(made, []).uncalled) == (0, 5)


def test_a_movement_that_there_is_not_is_refused() -> None:
    with pytest.raises(KeyError):
        practice_set("juggling", 1)
