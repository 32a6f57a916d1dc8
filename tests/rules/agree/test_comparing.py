"""Two sheets of one lane compared: what agrees, what is disputed, and what must not be taken for a dispute."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.agree.comparing import Compared, Dispute, Read, compare, read_sheet, verdict_pairs
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import with_bar
from app.rules.count.tally import fold
from app.rules.records.holding import Hold
from app.rules.records.marks import Mark
from tests.builders.cast import FORMATS, Sheet, parsed
from tests.builders.chance import sheets

COUNT, LIFT, LIST, MEASURE = FORMATS["ladder"], FORMATS["lift"], FORMATS["list"], FORMATS["measure"]


def read(name: str, marks: list[dict[str, Any]], clock: SheetClock | None = None) -> Read:
    return read_sheet(FORMATS[name], parsed(marks), clock or SheetClock())


def compared(name: str, first: list[dict[str, Any]], second: list[dict[str, Any]]) -> Compared:
    return compare(FORMATS[name], read(name, first), read(name, second))


def what(found: Compared) -> list[tuple[str, int, str, str]]:
    return [(one.what, one.at, one.first, one.second) for one in found.disputes]


def test_a_repetition_that_only_one_saw_and_one_judged_two_ways_are_the_disputes() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    found = compared(
        "ladder",
        [one.rep(1_000), one.rep(2_000), one.rep(4_000), one.rep(5_000)],
        [other.rep(1_200), other.rep(2_150), other.rep(3_100), other.mark("norep", 4_200), other.rep(5_050)],
    )
    assert what(found) == [("only-second", 3_100, "", "good"), ("verdict", 4_000, "good", "refused")]
    assert (found.agreed, found.seen, found.lag_ms) == (3, 5, 175)
    assert found.share is not None and float(found.share) == 0.6


def test_two_that_differ_in_every_way_but_the_count_show_no_difference_in_the_count() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    found = compared("ladder", [one.rep(1_000), one.rep(2_000)], [other.rep(20_000), other.rep(30_000)])
    assert found.difference == 0 and found.agreed == 0 and len(found.disputes) == 4


def test_what_was_taken_back_is_not_compared() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    slip = one.rep(3_000)
    assert compared("ladder", [one.rep(1_000), slip, one.strike(3_500, slip)], [other.rep(1_000)]).disputes == ()


def test_repetitions_of_different_windows_are_never_one() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    first = [one.rep(500, 0), one.rep(59_900, 0), one.rep(61_000, 1)]
    found = compared("ladder", first, [other.rep(500, 0), other.rep(60_100, 1), other.rep(61_000, 1)])
    assert [dispute.window for dispute in found.disputes] == [0, 1]


def test_a_sheet_whose_clock_knew_of_no_hold_is_compared_at_its_true_times() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    clock = SheetClock((Hold(at_ms=10_000, for_ms=5_000),))
    first = read("ladder", [one.mark("rep", 20_000, 0, held=5_000)], clock)
    offline = read("ladder", [other.rep(25_000, 0)], clock)
    assert compare(COUNT, first, offline).disputes == ()


def test_a_lift_is_disputed_by_its_verdict_and_by_its_load() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    first = [one.declare(1_000, "100 kg"), one.lift(20_000, "100 kg", True), one.lift(60_000, "110 kg", True)]
    second = [other.lift(24_000, "100 kg", False, fault="depth"), other.lift(61_000, "112 kg", True)]
    found = compared("lift", first, second)
    assert what(found) == [("verdict", 20_000, "good", "refused"), ("load", 60_000, "110 kg", "112 kg")]
    assert found.kappa == 0 and verdict_pairs(found) == [("good", "refused"), ("good", "good")]


def test_a_shadow_judge_judges_the_bar_that_the_lane_declared() -> None:
    lane, shadow = Sheet(), Sheet(device="tab-b")
    bar = lane.declare(1_000, "100 kg")
    slip = lane.declare(1_500, "900 kg")
    of_lane = parsed([bar, slip, lane.strike(1_600, slip), lane.lift(20_000, "100 kg", False)])
    marks = with_bar("shadow", parsed([shadow.lift(20_500, "100 kg", True, declared=bar["id"])]), of_lane)
    (lift,) = next(window.lifts for window in fold(LIFT, marks).windows if window.lifts)
    assert lift.good and lift.declared == bar["id"]
    assert not [flag for flag in fold(LIFT, marks).flags if flag.why == "no-declaration"]


def test_whoever_judges_beside_the_lane_borrows_its_bar_and_the_lane_borrows_nothing() -> None:
    lane = parsed([Sheet().declare(1_000, "100 kg"), Sheet().rep(2_000)])
    assert with_bar("second", [], lane) == lane[:1] and with_bar("lane", lane, lane) == lane


def test_a_finish_and_a_measure_are_compared_as_numbers() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    done = [one.rep(1_000 + i * 500) for i in range(13)]
    again = [other.rep(1_000 + i * 500) for i in range(13)]
    finish = compared("list", [*done, one.mark("finish", 9_000)], [*again, other.mark("finish", 9_400)])
    assert [(d.what, d.first, d.second) for d in finish.disputes] == [("finish", "9000", "9400")]
    measure = compared("measure", [one.mark("measure", 50_000, value="12")], [other.mark("measure", 51_000, value="13")])
    assert [(d.what, d.first, d.second) for d in measure.disputes] == [("measure", "12", "13")]


def test_a_window_in_which_one_judge_marked_nothing_is_told_and_not_compared() -> None:
    one, other = Sheet(), Sheet(device="tab-b")
    found = compared("ladder", [one.rep(1_000, 0), one.rep(61_000, 1)], [other.rep(1_100, 0), other.rep(2_000, 0)])
    assert [window.only for window in found.windows] == ["", "first", ""]
    assert (found.seen, found.agreed, found.difference, len(found.disputes)) == (2, 1, 1, 1)


def test_a_judge_who_only_refused_was_judging_all_the_same() -> None:
    found = compared("ladder", [Sheet().rep(1_000, 0)], [Sheet(device="tab-b").mark("norep", 1_100, 0)])
    assert what(found) == [("verdict", 1_000, "good", "refused")]


def test_a_sheet_without_a_mark_leaves_nothing_to_tell() -> None:
    found = compared("ladder", [Sheet().rep(1_000)], [])
    assert (found.kappa, found.lag_ms, found.share, found.disputes) == (None, None, None, ())
    empty = compared("ladder", [], [])
    assert (empty.seen, empty.share, empty.disputes) == (0, None, ())


@given(
    st.sampled_from(sorted(FORMATS)).flatmap(lambda name: st.tuples(st.just(name), sheets(FORMATS[name]), sheets(FORMATS[name])))
)
def test_any_two_sheets_can_be_compared_and_one_agrees_with_itself(drawn: tuple[str, list[Any], list[Any]]) -> None:
    name, first, second = drawn
    own: list[Mark] = parsed(first)
    same = compare(FORMATS[name], read_sheet(FORMATS[name], own), read_sheet(FORMATS[name], own))
    assert same.disputes == () and same.agreed == same.seen
    found = compared(name, first, second)
    turned = compared(name, second, first)
    assert found.seen >= max(found.agreed, 0) and found.difference == -turned.difference
    assert all(isinstance(dispute, Dispute) and dispute.first != dispute.second for dispute in found.disputes)


@given(sheets(COUNT), sheets(COUNT))
def test_the_count_that_is_compared_is_the_count_that_counts(first: list[Any], second: list[Any]) -> None:
    found = compared("ladder", first, second)
    for window, a, b in zip(found.windows, fold(COUNT, parsed(first)).windows, fold(COUNT, parsed(second)).windows, strict=True):
        assert (window.first, window.second) == (a.credited, b.credited)
