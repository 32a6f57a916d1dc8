"""Two tablets on one lane: a handover is added up, two people counting one athlete are not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.tally import fold
from tests.builders.cast import FORMATS, Plain, Sheet, a_format, a_lift_task, parsed, take, tallied

PAIR = FORMATS["pair"]
QUIET_MS = PAIR.quiet_ms


def reps(device: str, *seconds: float) -> list[Plain]:
    """Repetitions in the first window, three minutes long."""
    return reps_at(device, [round(second * 1000) for second in seconds])


def reps_at(device: str, times: list[int]) -> list[Plain]:
    """The same at times in milliseconds."""
    sheet = Sheet(device=device)
    return [sheet.rep(at, 0) for at in times]


def count(*tablets: list[Plain]) -> int:
    return tallied(PAIR, [mark for marks in tablets for mark in marks]).windows[0].credited


def flagged(*tablets: list[Plain]) -> list[str]:
    """The tablets whose marks are flagged, one name for each mark."""
    marks = {mark["id"]: mark["device"] for marks in tablets for mark in marks}
    tally = tallied(PAIR, [mark for tablet in tablets for mark in tablet])
    return [marks[flag.mark] for flag in tally.flags if flag.why == "second-tablet"]


def test_a_dead_tablets_marks_and_its_successors_are_one_count_whenever_they_come() -> None:
    dead, successor = reps("tab-b", 1, 2, 3, 4), reps("tab-a", 7, 8, 9)
    assert count(dead, successor) == count(successor, dead) == 7
    assert flagged(dead, successor) == []


def test_a_lane_handed_over_and_back_is_one_count() -> None:
    assert count(reps("tab-a", 1, 2, 3, 40, 41), reps("tab-b", 10, 12, 14, 30)) == 9


def test_two_people_who_count_one_athlete_count_once_and_are_flagged() -> None:
    first, second = reps("tab-b", 1, 2, 3, 4, 5), reps("tab-a", 1.2, 2.1, 3.3, 3.9)
    assert count(first, second) == 5
    assert flagged(first, second) == ["tab-a"] * 4


def test_the_second_tablet_counts_on_when_the_first_has_died_in_the_middle() -> None:
    # The last of the doubled ones, at 4.2, lies within five seconds of the first tablet's last; a count from 10 s on does not.
    assert count(reps("tab-a", 1, 2, 3, 4), reps("tab-b", 2.2, 3.2, 4.2, 10, 11)) == 4 + 2


def test_slow_lifts_judged_on_two_tablets_are_one_try_each() -> None:
    format = a_format(a_lift_task(attempts=3), take("best"), unit="kg")
    first, second = Sheet(device="tab-a"), Sheet(device="tab-b")
    tries = [first.lift(10_000, "100 kg", True), first.lift(40_000, "105 kg", False)]
    again = [second.lift(10_900, "100 kg", True), second.lift(40_400, "105 kg", True)]
    window = tallied(format, tries + again).windows[0]
    assert [(lift.load.amount, lift.good) for lift in window.lifts] == [("100", True), ("105", False)]


def test_a_declaration_comes_from_the_lifters_phone_in_the_middle_of_the_judges_marks() -> None:
    format = a_format(a_lift_task(), take("best"), unit="kg")
    judge, phone = Sheet(device="tab-a"), Sheet(device="phone")
    marks = [judge.lift(10_000, "100 kg", True), phone.declare(11_000, "105 kg"), judge.lift(14_000, "105 kg", True)]
    assert "second-tablet" not in {flag.why for flag in tallied(format, marks).flags}


def test_striking_out_the_stray_mark_of_one_makes_it_a_handover_again() -> None:
    first = Sheet(device="tab-a")
    marks, second = [first.rep(at, 0) for at in (1_000, 2_000, 3_000)], reps("tab-b", 6, 7, 8, 9)
    touched = first.rep(8_500, 0)
    assert count(marks, second, [touched]) == 4, "the first tablet marked again: the second's are in doubt"
    assert count(marks, second, [touched, first.strike(9_500, touched)]) == 7


def test_a_stray_touch_on_a_third_screen_does_not_count() -> None:
    assert count(reps("tab-a", 1, 2, 3), reps("tab-b", 6, 7, 8, 9), reps("tab-c", 7.5)) == 7


times = st.lists(st.integers(0, 119_000), min_size=1, max_size=40, unique=True).map(sorted)


@given(times, st.integers(1, QUIET_MS), st.sets(st.integers(0, 39)))
def test_who_counts_beside_another_never_adds_to_the_count(at: list[int], slip: int, missed: set[int]) -> None:
    first = reps_at("tab-b", at)
    second = reps_at("tab-a", [ms + slip for n, ms in enumerate(at) if ms + slip < at[-1] and n not in missed])
    assert count(first, second) == len(first)
    assert len(flagged(first, second)) == len(second)


@given(times, st.integers(1, 39))
def test_every_handover_adds_up(at: list[int], cut: int) -> None:
    assert count(reps_at("tab-a", at[cut:]), reps_at("tab-b", at[:cut])) == len(at)


@pytest.mark.parametrize("quiet", [QUIET_MS, QUIET_MS + 1])
def test_five_seconds_of_quiet_on_both_sides_make_a_handover_and_back(quiet: int) -> None:
    marks = parsed(reps("tab-a", 1, 1 + 2 * quiet / 1000) + reps("tab-b", 1 + quiet / 1000))
    assert fold(PAIR, marks).windows[0].credited == (2 if quiet == QUIET_MS else 3)
