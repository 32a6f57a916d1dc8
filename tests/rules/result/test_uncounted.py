"""A line of a work list that does not count: it is done like any other, and adds nothing to what is done or left."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.compose.event_plain import task_text
from app.floor.totals import window_drafts
from app.hall.forms import Reading
from app.rules.records.roster import Event
from app.rules.result.results import results
from app.rules.result.ties import NEVER
from app.rules.round.from_event import event_rule
from app.rules.round.told import parts_of
from app.rules.workout.formats import Format, ListTask, WorkItem
from app.rules.workout.paper_rows import paper_windows
from tests.builders.cast import Plain, Sheet, a_competition, a_format, load, scored, take, tallied, tied

ROW, SWINGS = WorkItem(movement="squat", reps=1, worth=0, note="1000 m"), WorkItem(movement="swing", reps=20)
FIRST, LAST = ListTask(items=(ROW, SWINGS)), ListTask(items=(SWINGS, ROW))


def done(taps: int, lane: int = 1, finish: int | None = None) -> list[Plain]:
    """So many taps of a lane, half a second apart, and a finish."""
    sheet = Sheet(f"asg_{lane}")
    return [sheet.rep(500 * n) for n in range(1, taps + 1)] + ([sheet.mark("finish", finish)] if finish else [])


@st.composite
def lists(draw: st.DrawFn) -> ListTask:
    """A short list of lines of which some count nothing."""
    item = st.builds(WorkItem, movement=st.just("swing"), reps=st.integers(1, 4), worth=st.integers(0, 3))
    items = draw(st.lists(item, min_size=1, max_size=4).filter(lambda some: any(one.worth for one in some)))
    return ListTask(items=tuple(items), rounds=draw(st.sampled_from([1, 2, None])))


@given(lists(), st.integers(0, 40))
def test_a_list_adds_up_to_what_whoever_ticks_it_off_line_by_line_adds_up(task: ListTask, taps: int) -> None:
    ticked = [item.worth for _ in range(task.rounds or 40) for item in task.items for _ in range(item.reps)]
    window = tallied(a_format(task), done(taps)).windows[0]
    assert window.credited == sum(ticked[:taps])
    assert window.left == (None if task.rounds is None else sum(ticked[taps:]))
    assert (window.finish_ms is not None) == (task.rounds is not None and taps >= len(ticked)), "done with all of its lines"


def test_who_did_only_what_does_not_count_has_a_result_of_nought_and_is_judged() -> None:
    file = a_competition(a_format(FIRST), {"Open": ["Larks", "Crows", "Rooks"]}, [*done(1, 1), *done(4, 2)])
    rows = results(file)[0].tables[0].rows
    assert [(row.entry.name, row.place, row.score and row.score.text) for row in rows] == [
        ("Crows", 1, "3"),
        ("Larks", 2, "0"),
        ("Rooks", None, None),
    ]


def test_at_a_cap_it_is_no_work_left_and_a_finisher_stands_before_who_has_only_that_to_do() -> None:
    format = a_format(LAST, take("time"), unit="s", better="less")
    finished, only_row, one_swing = (scored(format, marks) for marks in (done(21, finish=59_000), done(20), done(19)))
    assert [finished.text, only_row.text, one_swing.text] == ["0:59", "capped, 0 left", "capped, 1 left"]
    assert finished.key < only_row.key < one_swing.key
    rule = event_rule(Event(id="e", name="E", format=format))
    assert parts_of(rule, format, only_row) is None, "no number of a claim tells it from a finish"
    assert parts_of(rule, format, one_swing) is not None


def test_a_tie_may_be_parted_at_its_end_and_who_has_nothing_that_counts_reached_no_count() -> None:
    at_row, at_count = (
        a_format(FIRST, ties=(step,)) for step in ({"kind": "time_at", "point": {"line": 1}}, {"kind": "time_of_count"})
    )
    assert tied(at_row, done(1)) == ((0, 500),)
    assert tied(at_count, done(1)) == (NEVER,) and tied(at_count, done(3)) == ((0, 1_500),)
    swings = ListTask(items=(WorkItem(movement="swing", reps=9, worth=0), SWINGS))
    assert tied(a_format(swings, ties=({"kind": "time_at", "point": {"scheme": 9}},)), done(9)) == ((0, 4_500),)


def test_its_load_is_not_the_heaviest_that_was_done() -> None:
    lines = [WorkItem(movement="squat", reps=1, load=load(kg), worth=worth) for kg, worth in (("90 kg", 0), ("60 kg", 1))]
    assert scored(a_format(ListTask(items=tuple(lines)), take("heaviest"), unit="kg"), done(2)).text == "60"


@pytest.mark.parametrize(
    ("task", "typed", "taps"),
    [
        (FIRST, {}, 0),
        (FIRST, {"w0": "0"}, 1),
        (FIRST, {"w0": "12"}, 13),
        (FIRST, {"w0": "20", "w0-finish": "0:59"}, 21),
        (LAST, {"w0": "0"}, 0),
        (LAST, {"w0": "20"}, 20),
        (LAST, {"w0": "20", "w0-finish": "0:59"}, 21),
    ],
)
def test_a_total_that_is_read_out_is_of_what_counts(task: ListTask, typed: Plain, taps: int) -> None:
    format, reading = a_format(task), Reading(typed)
    drafts = list(window_drafts(reading, format, 0, format.windows[0], task))
    assert not reading.problems and len([one for one in drafts if one.kind == "rep"]) == taps


@pytest.mark.parametrize(
    ("typed", "taps", "written"),
    [
        ({"w0": "9"}, 9, None),
        ({"w0": "9", "w0-at10": "0:30"}, 10, 30_000),
        ({"w0": "11", "w0-at10": "0:30"}, 12, 30_000),
        ({"w0": "8", "w0-at10": "0:30"}, None, None),
    ],
)
def test_a_time_that_is_written_behind_what_does_not_count_says_that_it_was_done(
    typed: Plain, taps: int | None, written: int | None
) -> None:
    task = ListTask(items=(WorkItem(movement="swing", reps=9), ROW, SWINGS))
    format, reading = a_format(task, ties=({"kind": "time_at", "point": {"line": 2}},)), Reading(typed)
    made = [one.at for one in window_drafts(reading, format, 0, format.windows[0], task) if one.kind == "rep"]
    if taps is None:
        assert reading.problems
    else:
        assert not reading.problems and len(made) == taps
        assert written is None or made[9] == written


def test_paper_and_brief_say_that_it_does_not_count() -> None:
    format = a_format(FIRST)
    (paper,) = paper_windows(format)
    assert [(line.reps, line.note) for line in paper.lines] == [("1", "1000 m, does not count"), ("20", "")]
    assert paper.ends == "Finish (m:ss), or repetitions that count, done at the bell"
    assert task_text(format, FIRST) == "1000 m Squat – does not count, 20 Swings"
    rungs = tuple(WorkItem(movement=move, reps=reps, worth=move == "swing") for reps in (9, 6) for move in ("swing", "squat"))
    assert task_text(format, ListTask(items=rungs)).count("does not count") == 2, "a scheme would not say it"


@pytest.mark.parametrize("items", [(ROW,), (ROW, ROW)])
def test_a_list_of_which_nothing_counts_is_refused(items: Any) -> None:
    with pytest.raises(ValidationError, match="No line of the work list counts"):
        ListTask(items=items)


def test_who_lacks_only_such_a_line_of_a_list_has_missed_it() -> None:
    format: Format = a_format(LAST, windows=2).model_copy(update={"miss_puts_out": True})
    sheet = Sheet()
    second = [sheet.rep(61_000 + 500 * n) for n in range(5)]
    first = [sheet.rep(500 * n) for n in range(1, 22)]
    assert [tallied(format, [*first[:taps], *second]).windows[1].credited for taps in (20, 21)] == [0, 5]
