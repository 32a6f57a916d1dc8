"""Which sheets of a lane assignment count, in which variant, and how several counters' sheets become one tally."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from app.rules.count.joined import joined_tally
from app.rules.count.sheets import (
    counting_tallies,
    format_for,
    formats_by_assignment,
    sheets_that_count,
    variant_key,
)
from app.rules.count.tally import Tally
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Event
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import AS_WRITTEN, CountTask, Format, JoinRule, LiftTask, Movement, Variant
from tests.builders.cast import MOVES, Plain, Sheet, a_competition, a_format, a_lift_task, a_run, tallied

SWINGS = a_format(CountTask(movement="swing"))
LIGHT = Movement(name="Light swings")
VARIED = SWINGS.model_copy(update={"variants": (Variant(id="light", name="Light", movements={"swing": LIGHT}),)})


def counting(how: Any, beyond: int | None = None, format: Format = SWINGS) -> Format:
    """The format with a rule for several counters."""
    return format.model_copy(update={"counters": JoinRule(how=how, recount_beyond=beyond)})


def sheets(format: Format, **counts: int) -> dict[SheetKind, Tally]:
    """The tally of each counter, by kind of sheet."""
    found: dict[Any, Tally] = {}
    for kind, count in counts.items():
        sheet = Sheet()
        found[kind] = tallied(format, [sheet.rep(400 * i) for i in range(count)])
    return found


def joined(format: Format, **counts: int) -> Tally:
    """The sheets as one; there must be a lane sheet."""
    made = joined_tally(format, sheets(format, **counts))
    assert made is not None
    return made


def test_by_the_lane_judge_alone_other_sheets_change_nothing() -> None:
    lane = joined(SWINGS, lane=9, second=30, third=30)
    assert (lane.windows[0].joined, lane.recounts) == (None, ())


def test_several_counts_become_one_by_the_rule() -> None:
    assert joined(counting("mean"), lane=9, second=12).windows[0].joined == Fraction(21, 2)
    assert joined(counting("closest_two"), lane=9, second=12, third=13).windows[0].joined == Fraction(25, 2)


def test_counts_too_far_apart_name_their_window_for_a_person() -> None:
    format = counting("mean", 2)
    assert joined(format, lane=9, second=12).recounts == (0,)
    filmed = joined(format, lane=9, second=12, video=11)
    assert (filmed.windows[0].joined, filmed.recounts) == (Fraction(21, 2), (0,)), "a film counts where a ruling says so"


def test_a_counter_who_marked_nothing_in_a_window_was_not_counting_there() -> None:
    format = counting("mean", 0, a_format(CountTask(movement="swing"), windows=2))
    lane, second = Sheet(), Sheet()
    both: dict[Any, Tally] = {
        "lane": tallied(format, [lane.rep(400 * i, 0) for i in range(6)] + [lane.rep(60_000 + 400 * i, 1) for i in range(5)]),
        "second": tallied(format, [second.rep(400 * i, 0) for i in range(6)]),
    }
    made = joined_tally(format, both)
    assert made is not None and ([window.joined for window in made.windows], made.recounts) == ([6, 5], ())
    refusing = tallied(format, [second.mark("norep", 60_000 + 400 * i, 1) for i in range(5)])
    strict = joined_tally(format, {**both, "second": refusing})
    assert strict is not None and strict.recounts == (1,), "who only refused repetitions was counting"


def test_without_a_lane_sheet_who_counted_beside_it_counts_only_where_counts_are_joined() -> None:
    assert joined_tally(SWINGS, sheets(SWINGS, second=12)) is None
    assert joined(counting("mean"), second=12).windows[0].counted == 12


def test_lifts_stay_the_lane_judges() -> None:
    format = counting("mean", 0, a_format(a_lift_task(), unit="kg"))
    assert isinstance(format.tasks["work"], LiftTask)
    lane, second = Sheet(), Sheet()
    both: dict[Any, Tally] = {
        "lane": tallied(format, [lane.lift(1_000, "100 kg", True)]),
        "second": tallied(format, [second.lift(1_000, "120 kg", True)]),
    }
    made = joined_tally(format, both)
    assert made is not None and made.windows == (replace(both["lane"].windows[0], unlike=("second",)),), "and the other is named"


def _event(variants: dict[str, str] | None = None) -> Event:
    return Event(id="evt", name="One", format=VARIED, variants=variants or {})


@pytest.mark.parametrize(
    ("division", "chosen", "does"),
    [
        ("div_1", "", "Swings"),
        ("div_2", "", "Light swings"),
        ("div_1", "light", "Light swings"),
        ("div_2", AS_WRITTEN, "Swings"),
        ("div_1", "gone", "Swings"),
    ],
)
def test_an_entry_does_what_its_lane_chose_else_what_its_division_does(division: str, chosen: str, does: str) -> None:
    event = _event({"div_2": "light"})
    assert format_for(event, division, chosen).movements["swing"].name == does
    assert variant_key(event, division, chosen) in ("", "light", AS_WRITTEN, "gone")


def _with_counters(format: Format, second: list[Plain], runs: list[Plain] | None = None) -> CompetitionFile:
    lane = Sheet("asg_1")
    first = [lane.rep(400 * i) for i in range(4)]
    return a_competition(format, {"Open": ["Ana"], "Masters": ["Bo"]}, first + second, runs=runs)


def _second(count: int, run: int = 1) -> list[Plain]:
    sheet = Sheet("asg_1", run, device="tab-b")
    sheet.sheet = f"asg_1/{run}/second"
    return [sheet.rep(400 * i) for i in range(count)]


def test_the_sheets_of_the_counting_run_count_whoever_made_them() -> None:
    file = _with_counters(counting("mean"), _second(8))
    assert counting_tallies(file, file.runs, file.marks)["asg_1"].windows[0].joined == 6
    runs = [a_run(1, "stopped").model_dump(), a_run(2).model_dump()]
    again = _with_counters(counting("mean"), _second(8), runs)
    assert counting_tallies(again, again.runs, again.marks) == {}
    assert sheets_that_count(again, again.runs)["asg_1"]["second"] == "asg_1/2/second"


def test_each_lane_is_judged_under_its_own_format() -> None:
    plain = a_competition(VARIED, {"Open": ["Ana"], "Masters": ["Bo"]}).model_dump(mode="json")
    plain["events"][0]["variants"] = {"div_2": "light"}
    formats = formats_by_assignment(CompetitionFile.model_validate(plain))
    assert [formats[lane].movements["swing"].name for lane in ("asg_1", "asg_2")] == [MOVES["swing"].name, "Light swings"]
