"""Marks to tally: what is counted, what is struck, what is only flagged; and the law that order and repetition change nothing."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.flags import FLAGS
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.workout.formats import CountTask, Format, ListTask, Window, WorkItem
from tests.builders.cast import FORMATS, Sheet, a_format, flags_of, parsed, tallied
from tests.builders.chance import sheets_of_any, shuffled

PAIR, LIST, LADDER = FORMATS["pair"], FORMATS["list"], FORMATS["ladder"]


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()


def test_an_empty_sheet_is_told_from_a_zero(sheet: Sheet) -> None:
    assert not tallied(PAIR, []).any_marks
    assert not tallied(PAIR, [sheet.mark("note", 0, text="Late to the lane")]).any_marks
    assert tallied(PAIR, [sheet.mark("norep", 1_000)]).any_marks


def test_repetitions_and_no_reps_stand_in_the_window_of_their_time(sheet: Sheet) -> None:
    marks = [sheet.rep(1_000), sheet.rep(119_999), sheet.mark("norep", 2_000, fault="lockout"), sheet.rep(240_000)]
    tally = tallied(PAIR, marks)
    assert [(w.count, w.norep, w.credited) for w in tally.windows[:3]] == [(2, 1, 2), (0, 0, 0), (1, 0, 1)]
    assert tally.flags == ()


def test_a_strike_out_takes_a_repetition_back_and_can_not_be_taken_back(sheet: Sheet) -> None:
    rep, other = sheet.rep(1_000), sheet.rep(2_000)
    strike = sheet.strike(3_000, rep)
    tally = tallied(PAIR, [rep, other, strike, sheet.strike(4_000, strike)])
    assert tally.windows[0].count == 1
    assert tally.struck == (rep["id"],)
    assert flags_of(tally) == [("4", "strikes-nothing")]


def test_two_judges_may_strike_one_mark_once(sheet: Sheet) -> None:
    rep = sheet.rep(1_000)
    marks = [rep, sheet.rep(2_000), sheet.strike(3_000, rep), Sheet(device="tab-b").strike(3_100, rep)]
    assert tallied(PAIR, marks).windows[0].count == 1


@pytest.mark.parametrize(
    ("at", "count", "why"),
    [
        (-1_001, 0, "outside"),
        (-1_000, 1, "early"),
        (-1, 1, "early"),
        (0, 1, None),
        (179_999, 1, None),
        (180_000, 1, "late"),
        (180_999, 1, "late"),
        (181_000, 0, "outside"),
    ],
)
def test_within_a_second_of_its_window_a_mark_counts_and_is_flagged(sheet: Sheet, at: int, count: int, why: str | None) -> None:
    tally = tallied(PAIR.model_copy(update={"early_ms": None}), [sheet.rep(at, 0)])
    assert tally.windows[0].count == count
    assert [flag.why for flag in tally.flags] == ([] if why is None else [why])


def test_a_mark_that_names_no_window_counts_late_and_early_only_if_the_event_says_so(sheet: Sheet) -> None:
    tally = tallied(PAIR, [sheet.rep(239_500), sheet.rep(180_500)])
    assert (tally.windows[0].count, tally.windows[2].count) == (1, 0)
    assert flags_of(tally) == [("2", "late"), ("1", "outside")]
    said = tallied(PAIR.model_copy(update={"early_ms": 500}), [sheet.rep(239_500), sheet.rep(239_499)])
    assert said.windows[2].count == 1 and [why for _, why in flags_of(said)] == ["outside", "early"]


def test_a_mark_for_a_rest_or_of_another_kind_of_work_is_kept_and_does_not_count(sheet: Sheet) -> None:
    tally = tallied(PAIR, [sheet.rep(130_000, 1), sheet.rep(1_000, 10), sheet.mark("finish", 1_000, 0)])
    assert sum(window.count for window in tally.windows) == 0
    assert sorted(flags_of(tally)) == [("1", "no-window"), ("2", "no-window"), ("3", "wrong-kind")]


def test_a_mark_for_a_member_who_rests_is_flagged_and_does_not_count(sheet: Sheet) -> None:
    tally = tallied(PAIR, [sheet.mark("rep", at, 0, member=at // 1_000) for at in (1_000, 2_000, 3_000)])
    assert tally.windows[0].count == 1
    assert flags_of(tally) == [("2", "other-member"), ("3", "other-member")]


def test_who_may_share_the_work_is_not_flagged_but_a_stranger_is(sheet: Sheet) -> None:
    shared = a_format(CountTask(movement="swing"), members=2, who="any")
    tally = tallied(shared, [sheet.mark("rep", 1_000 * n, member=n) for n in (1, 2, 3)])
    assert [member for _, _, member in tally.windows[0].reps] == [1, 2]
    assert flags_of(tally) == [("3", "other-member")]


def test_a_mark_that_names_a_member_and_no_window_counts_in_that_members_own(sheet: Sheet) -> None:
    both = Window(start=0, seconds=60, task="work", who=(1,)), Window(start=0, seconds=60, task="work", who=(2,))
    side_by_side = a_format(CountTask(movement="swing"), members=2).model_copy(update={"windows": both})
    tally = tallied(side_by_side, [sheet.mark("rep", at, member=n) for n, at in ((1, 1_000), (2, 2_000), (2, 3_000))])
    assert [window.count for window in tally.windows] == [1, 2] and tally.flags == ()


def test_faster_than_the_movement_is_believed_to_allow_counts_and_is_flagged(sheet: Sheet) -> None:
    # Swings at 300 ms or more are believed; 299 ms is not.
    tally = tallied(a_format(CountTask(movement="swing")), [sheet.rep(at) for at in (1_000, 1_300, 1_599)])
    assert tally.windows[0].credited == 3
    assert flags_of(tally) == [("3", "fast")]


def test_a_ladder_grows_and_a_missed_rung_ends_it(sheet: Sheet) -> None:
    # Rungs of 3, 4 and 5: four done (one too many), three done (missed), five done in vain.
    times = [1_000 * i for i in range(4)] + [61_000 + 1_000 * i for i in range(3)] + [121_000 + 1_000 * i for i in range(5)]
    tally = tallied(LADDER, [sheet.rep(at) for at in times])
    assert [(w.target, w.count, w.credited) for w in tally.windows] == [(3, 4, 3), (4, 3, 3), (5, 5, 0)]
    assert {flag.why for flag in tally.flags} == {"after-out"} and len(tally.flags) == 5


def test_a_rung_reached_by_a_late_report_opens_the_next(sheet: Sheet) -> None:
    second = [sheet.rep(60_000 + 1_000 * i) for i in range(4)]
    assert tallied(LADDER, second).windows[1].credited == 0
    assert tallied(LADDER, second + [sheet.rep(1_000 * i) for i in range(3)]).windows[1].credited == 4


def test_a_work_list_is_done_in_order_and_each_tap_is_worth_its_line(sheet: Sheet) -> None:
    # 3 swings, 1 squat worth 5, 9 swings: 17 in all. After four taps 8 are done.
    window = tallied(LIST, [sheet.rep(1_000 * i) for i in range(1, 5)]).windows[0]
    assert [worth for _, worth, _ in window.reps] == [1, 1, 1, 5]
    assert (window.credited, window.left, window.finish_ms) == (8, 9, None)


def test_a_finished_list_has_a_time_and_further_taps_do_not_count(sheet: Sheet) -> None:
    taps = [sheet.rep(1_000 * i) for i in range(1, 14)]
    tally = tallied(LIST, [*taps, sheet.mark("finish", 14_250), sheet.rep(15_000)])
    assert (tally.windows[0].credited, tally.windows[0].left, tally.windows[0].finish_ms) == (17, 0, 14_250)
    assert [flag.why for flag in tally.flags] == ["beyond-list"]


@pytest.mark.parametrize(
    ("taps", "finish_at", "finish_ms", "why"),
    [
        (12, 14_000, None, "finish-short"),
        (13, None, 13_000, "finish-missing"),
        (13, 12_500, 13_000, "finish-before-work"),
        (13, 60_400, 60_000, "late"),
    ],
)
def test_a_doubtful_finish_is_flagged(sheet: Sheet, taps: int, finish_at: int | None, finish_ms: int | None, why: str) -> None:
    marks = [sheet.rep(1_000 * i) for i in range(1, taps + 1)]
    tally = tallied(LIST, marks + ([sheet.mark("finish", finish_at, 0)] if finish_at else []))
    assert tally.windows[0].finish_ms == finish_ms
    assert [flag.why for flag in tally.flags] == [why]


def test_a_finish_counts_from_the_start_of_its_own_window(sheet: Sheet) -> None:
    format = a_format(ListTask(items=(WorkItem(movement="swing", reps=1),)), windows=2)
    assert tallied(format, [sheet.rep(70_000), sheet.mark("finish", 75_500)]).windows[1].finish_ms == 15_500


def test_rounds_start_again_until_the_bell(sheet: Sheet) -> None:
    # A round is 3 swings and a squat worth 5, in four taps: ten taps are two rounds and two swings.
    window = tallied(FORMATS["rounds"], [sheet.rep(1_000 * i) for i in range(10)]).windows[0]
    assert (window.credited, window.left) == (18, None)


@pytest.mark.parametrize(("keep", "number"), [("last", "13"), ("best", "29/2"), ("least", "12"), ("sum", "79/2")])
def test_several_measures_become_the_one_that_the_event_keeps(sheet: Sheet, keep: str, number: str) -> None:
    plain = FORMATS["measure"].model_dump(mode="json")
    plain["tasks"]["work"] |= {"keep": keep, "step": "0.5"}
    values = ["12", "14.7", "9000", "13"]
    tally = tallied(Format.model_validate(plain), [sheet.mark("measure", 1_000 * i, value=v) for i, v in enumerate(values)])
    assert str(tally.windows[0].measure) == number
    assert flags_of(tally) == [("2", "off-step"), ("3", "out-of-bounds")]


def test_the_last_signature_of_each_stands_and_a_stop_is_told(sheet: Sheet) -> None:
    stop = sheet.mark("stop", 5_000, why="Rope broke")
    names = [("judge", "Io"), ("athlete", "Wren"), ("judge", "Io Lund")]
    tally = tallied(PAIR, [stop, *(sheet.mark("sign", 9_000 + i, who=who, name=name) for i, (who, name) in enumerate(names))])
    assert tally.stops == (stop["id"],)
    assert tally.signed == (("athlete", "Wren"), ("judge", "Io Lund"))


@given(sheets_of_any(), st.data())
def test_order_and_repetition_of_marks_change_nothing(drawn: tuple[Format, list[Mark]], data: st.DataObject) -> None:
    format, marks = drawn
    assert fold(format, data.draw(shuffled(marks))) == fold(format, marks)


@given(sheets_of_any(), st.data())
def test_two_ledgers_that_share_marks_make_one_in_either_order(drawn: tuple[Format, list[Mark]], data: st.DataObject) -> None:
    format, marks = drawn
    held = [data.draw(st.sampled_from(["here", "there", "both"])) for _ in marks]
    here = [mark for mark, where in zip(marks, held, strict=True) if where != "there"]
    there = [mark for mark, where in zip(marks, held, strict=True) if where != "here"]
    assert fold(format, here + there) == fold(format, there + here) == fold(format, marks)


@given(sheets_of_any(), st.data())
def test_a_struck_mark_leaves_the_windows_as_if_it_had_never_been_made(
    drawn: tuple[Format, list[Mark]], data: st.DataObject
) -> None:
    format, marks = drawn
    if not (able := [mark for mark in marks if mark.kind != "strike"]):
        return
    target = data.draw(st.sampled_from(able))
    strike = parsed([Sheet(device="tab-z").strike(0, {"id": target.id})])
    with_strike, without = fold(format, marks + strike), fold(format, [mark for mark in marks if mark is not target])
    # A declaration that is taken back moves no time: since when its bar has been free stays as it was (lift_floor.py).
    of = {} if target.kind != "declare" else {"free_ms": None}
    assert [replace(one, **of) for one in with_strike.windows] == [replace(one, **of) for one in without.windows]
    assert (with_strike.stops, with_strike.signed) == (without.stops, without.signed)
    assert target.id in with_strike.struck


@given(st.permutations(range(3)))
def test_of_marks_that_claim_one_id_the_same_is_taken_in_any_order(order: list[int]) -> None:
    rep = Sheet().rep(1_000)
    claims = parsed([rep, {**rep, "kind": "norep"}, {**rep, "at": 130_000}])
    assert fold(PAIR, [claims[i] for i in order]) == fold(PAIR, claims)


@given(sheets_of_any())
def test_every_flag_is_about_a_mark_of_the_sheet_and_has_its_words(drawn: tuple[Format, list[Mark]]) -> None:
    format, marks = drawn
    tally = fold(format, marks)
    assert {flag.why for flag in tally.flags} <= set(FLAGS)
    assert {flag.mark for flag in tally.flags} <= {mark.id for mark in marks} - set(tally.struck)
