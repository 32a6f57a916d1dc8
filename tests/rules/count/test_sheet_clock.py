"""What a sheet's marks are timed by: holds that its tablet knew of or not, and a start by hand that the head judge moved."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.sheet_clock import PLAIN, SheetClock, SheetClocks, retimed, standing_shift
from app.rules.count.tally import Tally, fold
from app.rules.records.document import Run
from app.rules.records.holding import Hold
from app.rules.records.rulings import Ruling
from app.rules.result.results import results
from app.rules.workout.formats import CountTask, Format
from tests.builders.cast import Plain, Sheet, a_competition, a_format, a_lift_task, flags_of, load, parsed

HELD = SheetClock((Hold(at_ms=30_000, for_ms=10_000),))  # held at 0:30 for ten seconds
COUNT = a_format(CountTask(movement="squat"), windows=2)


def timed(marks: list[Plain], clock: SheetClock, format: Format = COUNT) -> Tally:
    return fold(format, parsed(marks), clock)


def times(marks: list[Plain], clock: SheetClock) -> list[int]:
    placed, _ = retimed({mark.id: mark for mark in parsed(marks)}, clock)
    return [mark.at for mark in placed.values()]


def test_a_tablet_that_knew_nothing_of_a_hold_is_set_right_by_the_run() -> None:
    sheet = Sheet()
    assert times([sheet.rep(at) for at in (29_000, 30_000, 35_000, 40_000, 45_000)], HELD) == [
        29_000,
        30_000,
        30_000,
        30_000,
        35_000,
    ]


def test_a_tablet_that_knew_of_the_hold_is_left_as_it_was() -> None:
    sheet = Sheet()
    marks = [sheet.rep(29_000), sheet.rep(30_000), sheet.mark("rep", 30_001, held=10_000), sheet.mark("rep", 35_000, held=10_000)]
    assert times(marks, HELD) == [29_000, 30_000, 30_001, 35_000]


def test_a_tablet_that_went_on_too_early_by_hand_is_set_right_too() -> None:
    # It knew of the hold and was let go on after 4 s: what it marked 5 s later was 1 s before the others went on.
    assert times([Sheet().mark("rep", 35_000, held=4_000)], HELD) == [30_000]


def test_marks_made_while_the_clock_stood_do_not_count_but_for_the_judges_reaction() -> None:
    sheet = Sheet()
    marks = [sheet.rep(at, 0) for at in (29_999, 30_000, 30_999, 31_000, 39_999, 40_000)]
    tally = timed(marks, HELD)
    assert tally.windows[0].count == 4
    assert flags_of(tally) == [("3", "held-late"), ("4", "held"), ("5", "held")]


def test_work_after_the_hold_is_placed_in_the_window_that_was_really_open() -> None:
    # A tablet that was offline saw the second window begin ten seconds early; its judge counted on in the first.
    sheet = Sheet()
    tally = timed([sheet.rep(65_000, 0), sheet.rep(69_999), sheet.rep(70_000)], HELD)
    assert [window.count for window in tally.windows] == [2, 1]
    assert flags_of(tally) == []


def test_a_lift_begun_before_the_hold_may_be_decided_in_it_where_lifts_count_when_begun() -> None:
    sheet = Sheet()
    marks = [sheet.declare(20_000, "100 kg", 0), sheet.lift(36_000, "100 kg", True, win=0), sheet.mark("racked", 38_000, 0)]
    for counts_when, best, why in (("begun", load("100 kg"), "held-late"), ("finished", None, "held")):
        lifting = a_format(a_lift_task(counts_when=counts_when), unit="kg")
        tally = timed(marks, HELD, lifting)
        assert (tally.windows[0].best.load if tally.windows[0].best else None) == best
        assert ("2", why) in flags_of(tally)


def test_only_marks_by_a_clock_started_by_hand_are_shifted() -> None:
    sheet = Sheet()
    marks = [sheet.mark("rep", 1_000, hand=True), sheet.rep(2_000)]
    assert times(marks, SheetClock(shift_ms=1_400)) == [2_400, 2_000]
    assert times(marks, SheetClock(shift_ms=-1_400)) == [-400, 2_000]


def test_a_shift_brings_work_into_its_window_or_out_of_it() -> None:
    late = [Sheet().mark("rep", 59_000, 0, hand=True)]
    assert timed(late, PLAIN).windows[0].count == 1
    assert timed(late, SheetClock(shift_ms=3_000)).windows[0].count == 0


def shift(ms: int, made: int, **more: Any) -> Ruling:
    body = {"ms": ms, "run": more.pop("run", 1)}
    return Ruling(id=f"rul_{made}", kind="shift", assignment="asg_1", body=body, by="Sam", why="Seen", made_wall_ms=made, **more)


def test_the_newest_shift_holds_and_one_by_nothing_takes_it_back() -> None:
    competition = a_competition(COUNT, {"Open": ["Ada"]})
    for rulings, ms in (([shift(1_400, 1)], 1_400), ([shift(900, 2), shift(1_400, 1)], 900), ([shift(1_400, 1), shift(0, 2)], 0)):
        assert SheetClocks(competition, (), rulings).of("asg_1/1/lane").shift_ms == ms
    newest = standing_shift("asg_1", 1, [shift(1_400, 1), shift(0, 2)])
    assert newest is not None and newest.body["ms"] == 0, "that it was taken back is known"


def test_a_shift_is_for_one_run_and_for_the_lane_judge() -> None:
    clocks = SheetClocks(a_competition(COUNT, {"Open": ["Ada"]}), (), [shift(1_400, 1)])
    assert [clocks.of(f"asg_1/{sheet}").shift_ms for sheet in ("1/lane", "2/lane", "1/video")] == [1_400, 0, 0]


def test_each_run_of_a_heat_has_its_own_holds() -> None:
    held = Run(heat="heat", number=2, holds=HELD.holds)
    competition = a_competition(COUNT, {"Open": ["Ada"]})
    clocks = SheetClocks(competition, (Run(heat="heat", number=1, state="stopped"), held), ())
    assert [len(clocks.of(f"asg_1/{run}/lane").holds) for run in (1, 2, 3)] == [0, 1, 0]
    assert clocks.of("asg_9/2/lane") == PLAIN, "a lane that is not there"


def test_a_competition_file_is_recounted_with_its_holds_and_shifts() -> None:
    sheet = Sheet()
    marks = [sheet.mark("rep", 500, hand=True), *(sheet.rep(at) for at in (29_000, 35_000, 45_000))]
    runs = [{"heat": "heat", "number": 1, "holds": [{"at_ms": 30_000, "for_ms": 10_000}]}]
    rulings = [shift(-2_000, 1).model_dump()]
    plain, ruled = (a_competition(COUNT, {"Open": ["Ada"]}, marks, *more) for more in ((), (runs, rulings)))
    assert [results(file)[0].tables[0].rows[0].score.text for file in (plain, ruled)] == ["4", "2"]  # type: ignore[union-attr]


@given(
    st.permutations(
        [Sheet().rep(0) | {"id": f"{n:032x}", "at": at} for n, at in enumerate((100, 30_500, 36_000, 47_000, 71_000))]
    )
)
def test_the_tally_of_a_held_heat_does_not_depend_on_the_order_of_arrival(marks: list[Plain]) -> None:
    assert timed(marks, HELD) == timed(sorted(marks, key=lambda mark: str(mark["id"])), HELD)
