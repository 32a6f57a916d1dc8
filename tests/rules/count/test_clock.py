"""The heat clock: which window a moment falls in, how long until its bell, and the offset between two clocks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.clock import Moment, Offset, gone_to, moment_at
from app.rules.workout.formats import CountTask, Format
from tests.builders.cast import FORMATS, a_format
from tests.vectors.reference import SleepyOffset, moment_plain

PAIR = FORMATS["pair"]
windows = st.builds(
    lambda start, seconds, task: {"start": start, "seconds": seconds, "task": task},
    st.integers(0, 8),
    st.integers(1, 6),
    st.sampled_from([None, "work"]),
)


@st.composite
def formats(draw: st.DrawFn) -> Format:
    """Any few windows: with gaps, overlapping, out of order."""
    plain = a_format(CountTask(movement="swing")).model_dump(mode="json")
    work = {"start": draw(st.integers(0, 8)), "seconds": 2, "task": "work"}
    return Format.model_validate({**plain, "windows": draw(st.permutations([work, *draw(st.lists(windows, max_size=4))]))})


@pytest.mark.parametrize(
    ("ms", "moment"),
    [
        (-3_000, Moment("before", (), None, 3_000, 0)),
        (-1, Moment("before", (), None, 1, 0)),
        (0, Moment("window", (0,), 0, 180_000, 1)),
        (179_999, Moment("window", (0,), 0, 1, 1)),
        (180_000, Moment("window", (1,), 1, 60_000, 2)),
        (659_999, Moment("window", (4,), 4, 1, 5)),
        (660_000, Moment("window", (5,), 5, 180_000, 6)),
        (1_319_999, Moment("window", (9,), 9, 1, None)),
        (1_320_000, Moment("over", (), None, 0, None)),
    ],
)
def test_a_window_of_the_pair_holds_its_first_millisecond_and_not_its_bell(ms: int, moment: Moment) -> None:
    assert moment_at(PAIR, ms) == moment


def _windows(*spans: tuple[int, int, str | None]) -> Format:
    plain = a_format(CountTask(movement="swing")).model_dump(mode="json")
    return Format.model_validate({**plain, "windows": [{"start": s, "seconds": n, "task": task} for s, n, task in spans]})


def test_between_two_windows_the_clock_runs_down_to_the_next() -> None:
    gap = _windows((5, 10, "work"), (20, 10, "work"))
    assert moment_at(gap, 0) == Moment("gap", (), None, 5_000, 0)
    assert moment_at(gap, 15_000) == Moment("gap", (), None, 5_000, 1)


def test_before_go_the_clock_runs_down_to_go_and_the_first_to_open_is_next() -> None:
    assert moment_at(_windows((20, 10, "work"), (5, 10, "work")), -700) == Moment("before", (), None, 700, 1)


def test_of_windows_open_together_the_first_that_is_work_is_shown() -> None:
    both = _windows((0, 60, None), (10, 20, "work"), (10, 40, "work"))
    assert moment_at(both, 12_000) == Moment("window", (0, 1, 2), 1, 18_000, None)
    assert moment_at(both, 5_000) == Moment("window", (0,), 0, 55_000, 1)


def test_a_moment_as_json_is_what_the_tablets_twin_gives() -> None:
    plain = {"phase": "window", "windows": [0], "main": 0, "left_ms": 179_000, "next": 1}
    assert moment_plain(moment_at(PAIR, 1_000)) == plain


@given(formats(), st.integers(-3_000, 16_000))
def test_what_is_left_counts_down_to_the_bell_and_not_past_it(format: Format, ms: int) -> None:
    moment = moment_at(format, ms)
    if moment.phase == "over":
        assert ms >= format.length_ms and moment.left_ms == 0
        return
    assert moment.left_ms > 0
    then = moment_at(format, ms + moment.left_ms)
    match moment.phase:
        case "window":
            assert moment.main in moment.windows and moment.main not in then.windows
            assert format.windows[moment.main or 0].end_ms == ms + moment.left_ms
        case "before":
            assert ms + moment.left_ms == 0 and then.phase != "before"
        case "gap":
            assert moment.next in then.windows


@given(formats(), st.integers(-3_000, 16_000))
def test_a_window_is_open_from_its_start_to_before_its_end(format: Format, ms: int) -> None:
    moment = moment_at(format, ms)
    begun = [i for i, w in enumerate(format.windows) if w.start * 1000 <= ms]
    rung = [i for i, w in enumerate(format.windows) if (w.start + w.seconds) * 1000 <= ms]
    assert set(moment.windows) == set(begun) - set(rung)
    assert moment.next is None or moment.next not in begun


def test_the_clock_of_a_heat_that_was_ended_early_has_gone_as_far_as_its_last_mark() -> None:
    assert gone_to(False, 90_000, [12_000, 61_000]) == 90_000
    assert gone_to(True, 90_000, [12_000, 61_000]) == 61_000
    assert gone_to(True, 90_000, [99_000]) == 90_000, "a mark from ahead of the clock moves nothing"
    assert gone_to(True, 90_000, []) == 0


def test_two_exchanges_narrow_the_offset_to_what_both_allow() -> None:
    offset = Offset(drift_ppm=0)
    assert offset.estimate(0) is None
    offset.add(0, 1040, 1041, 65)  # the offset lies in [976, 1040]
    assert offset.estimate(100) == (1008, 32)
    offset.add(200, 1208, 1209, 225)  # in [984, 1008], which is inside
    assert offset.estimate(300) == (996, 12)
    offset.add(400, 1404, 1405, 450)  # in [955, 1004]: only its upper end says more
    assert offset.estimate(500) == (994, 10)


def test_an_estimate_grows_less_sure_with_age() -> None:
    offset = Offset(drift_ppm=100)
    offset.add(0, 1005, 1005, 10)
    # 100 ppm over 100 s are 10 ms on each side; the upper end ages from the sending, the lower from the answer, 10 ms later.
    assert offset.estimate(10) == pytest.approx((1000.0005, 5.0005))
    assert offset.estimate(100_010) == pytest.approx((1000.0005, 15.0005))


def test_a_clock_that_was_stepped_is_learnt_anew() -> None:
    offset = Offset(drift_ppm=0)
    offset.add(0, 1005, 1005, 10)
    offset.add(100, 7105, 7105, 110)
    assert offset.estimate(200) == (7000, 5)


@given(st.floats(-1e6, 1e6), st.lists(st.tuples(st.floats(0, 80), st.floats(0, 80), st.floats(0, 3)), min_size=1, max_size=90))
def test_the_true_offset_lies_within_the_bound_whatever_the_delays(
    truth: float, delays: list[tuple[float, float, float]]
) -> None:
    offset, now = Offset(), 0.0
    for there, back, work in delays:
        sent, now = now, now + there + work + back
        offset.add(sent, sent + there + truth, sent + there + work + truth, now)
        now += 200
    middle, bound = offset.estimate(now) or (0, -1)
    assert abs(truth - middle) <= bound + 1e-6


@pytest.mark.parametrize(("believed", "offset"), [(True, 60_996.0), (False, 996.0)])
def test_a_clock_that_may_have_stood_still_says_so_until_it_is_asked_again(believed: bool, offset: float) -> None:
    clock = SleepyOffset(drift_ppm=0)
    clock.add(0, 1040, 1041, 65)
    clock.add(200, 1208, 1209, 225)
    clock.slept(60_000, believed)
    assert clock.estimate(300) == (offset, 60_012), "the truth is in 984 to 61008, whichever of the two it was"
    clock.add(400, 61_404, 61_405, 450)
    assert clock.estimate(500) == (60_979.5, 24.5), "it had slept"
    clock.slept(5_000, believed)
    clock.add(600, 61_604, 61_605, 650)
    assert clock.estimate(700) == (60_979.5, 24.5), "the second time it had not"


def test_a_sleep_too_short_to_contradict_the_past_is_still_inside_the_bound() -> None:
    clock = SleepyOffset(drift_ppm=0)
    clock.add(0, 1002, 1002, 4)  # the offset is 1000, give or take 2
    clock.slept(30, believed=False)
    truth = 1025.0  # it was 25 ms of sleep
    clock.add(100, 1165, 1165, 180)  # delays of 40: the offset is in 985 to 1065, which the old one could be, too
    middle, bound = clock.estimate(200) or (0, -1)
    assert abs(middle - truth) <= bound
