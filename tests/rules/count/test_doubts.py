"""What makes a lane worth a look: too quick for a hand, too quiet, too far from what was expected."""

from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.doubts import Bounds, far_from_own, far_off, silences, too_fast
from app.rules.records.marks import Mark
from app.rules.workout.formats import CountTask
from tests.builders.cast import FORMATS, Sheet, a_format, a_lift_task, parsed

SWINGS = a_format(CountTask(movement="swing"))


def values(*numbers: int) -> dict[str, Fraction]:
    return {f"ent_{n}": Fraction(number) for n, number in enumerate(numbers, start=1)}


def test_one_far_from_the_middle_is_found_and_few_say_nothing() -> None:
    assert set(far_off(values(50, 52, 53, 55, 56, 140))) == {"ent_6"}
    assert far_off(values(50, 52, 53, 55, 56, 60)) == {}
    assert far_off(values(50, 52, 140)) == {}, "of three nothing can be said"
    assert far_off(values(50, 50, 50, 50, 50, 140)) == {}, "no spread, no measure"


def test_the_score_is_the_distance_in_units_of_the_spread() -> None:
    assert far_off(values(1, 2, 3, 4, 5, 10), Bounds(far=Fraction(4))) == {}
    assert far_off(values(1, 2, 3, 4, 5, 10), Bounds(far=Fraction(2))) == {"ent_6": Fraction(6745, 10_000) * Fraction(13, 3)}


@given(st.lists(st.integers(0, 300), min_size=6, max_size=20), st.integers(1, 9), st.integers(-50, 50))
def test_another_unit_or_zero_changes_nothing(numbers: list[int], times: int, more: int) -> None:
    assert set(far_off(values(*numbers))) == set(far_off(values(*(times * n + more for n in numbers))))


def test_a_place_far_from_the_same_entrys_other_places() -> None:
    assert far_from_own(20, [2, 3, 2, 4])
    assert not far_from_own(6, [2, 3, 2, 4])
    assert not far_from_own(20, [2, 3, 2]), "of three nothing can be said"


def list_marks(*times: int) -> list[Mark]:
    sheet = Sheet()
    return parsed([sheet.rep(at, 0) for at in times])


def test_a_list_is_too_fast_within_one_movement_only() -> None:
    # 3 swings (none faster than 0.3 s), 1 squat, 9 swings
    marks = list_marks(1_000, 1_200, 1_600, 1_650, 1_700, 1_800)
    assert too_fast(FORMATS["list"], 0, marks) == [marks[1].id, marks[5].id]
    assert too_fast(SWINGS, 0, marks) == [], "a counted window is flagged by its tally"


def test_a_lane_is_silent_when_others_count_on() -> None:
    busy = list(range(500, 60_000, 2_000))
    quiet = [at for at in busy if not 10_000 < at < 45_000]
    found = silences(SWINGS, {"a": busy, "b": quiet, "c": busy}, 60_000)
    assert [(one.lane, one.window, one.from_ms, one.to_ms, one.others) for one in found] == [("b", 0, 8_500, 46_500, 2)]
    assert silences(SWINGS, {"a": quiet, "b": quiet, "c": quiet}, 60_000) == [], "all paused"
    assert silences(SWINGS, {"a": [at for at in busy if at < 12_000], "b": quiet}, 60_000) == [], "both stopped"
    assert silences(SWINGS, {"a": busy, "b": quiet}, 30_000) == [], "it has not lasted long enough yet"
    assert silences(SWINGS, {"a": busy, "b": quiet}, 60_000, Bounds(silent_ms=50_000)) == []


def test_a_lifter_may_be_silent() -> None:
    lifts = a_format(a_lift_task(), unit="kg")
    assert silences(lifts, {"a": list(range(0, 60_000, 1_000)), "b": [500]}, 60_000) == []


moments = st.lists(st.integers(0, 70_000), max_size=12)


@given(st.dictionaries(st.sampled_from("abcd"), moments, max_size=4), st.integers(0, 70_000), st.integers(1_000, 40_000))
def test_a_silence_is_found_wherever_its_definition_finds_one(times: dict[str, list[int]], until: int, silent: int) -> None:
    def counts_on(lane: str, start: int) -> bool:
        middle = start + silent // 2
        return any(start < at <= middle for at in times[lane]) and any(middle < at <= start + silent for at in times[lane])

    window = SWINGS.windows[0]
    end = min(window.end_ms, until)
    expected = []
    for lane, marks in times.items() if window.start_ms < until else ():
        inside = sorted(at for at in marks if window.start_ms <= at < end)
        for start, stop in pairwise([window.start_ms, *inside, end]):
            others = [other for other in times if other != lane and counts_on(other, start)]
            if stop - start >= silent and others and 2 * len(others) >= len(times) - 1:
                expected.append((lane, start, stop, len(others)))
    found = silences(SWINGS, times, until, Bounds(silent_ms=silent))
    assert [(one.lane, one.from_ms, one.to_ms, one.others) for one in found] == expected
