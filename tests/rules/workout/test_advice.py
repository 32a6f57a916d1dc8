"""Warnings for whoever composes a format: what looks like nonsense, and nothing about what makes sense."""

from typing import Any

import pytest

from app.rules.values.units import Load
from app.rules.workout.advice import Advice, advice
from app.rules.workout.formats import CountTask, Format, ListTask, MeasureTask, Part, ScoreRule, Window, WorkItem
from tests.builders.cast import FORMATS, MOVES, WORK, a_format, a_lift_task, take


def told(format: Format) -> list[tuple[str, str]]:
    return [(one.where, one.sentence) for one in advice(format)]


def with_windows(members: int, *windows: Window) -> Format:
    """Swings in windows that may lie anywhere."""
    plain = a_format(CountTask(movement="swing"), members=members, who="all")
    return plain.model_copy(update={"windows": windows})


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_formats_that_make_sense_get_no_warning(name: str) -> None:
    assert told(FORMATS[name]) == []


def test_a_member_cannot_be_in_two_windows_at_once() -> None:
    first, second = Window(start=0, seconds=60, task="work", who=(1, 2)), Window(start=59, seconds=60, task="work", who=(2,))
    assert told(with_windows(2, first, second)) == [("window 2", "Member B also works in window 1 at the same time.")]
    one = Window(start=0, seconds=60, task="work")
    assert told(with_windows(1, one, one)) == [("window 2", "The athlete also works in window 1 at the same time.")]


def test_windows_that_touch_and_members_who_take_turns_are_fine() -> None:
    first, second = Window(start=0, seconds=60, task="work", who=(1,)), Window(start=60, seconds=60, task="work", who=(1, 2))
    beside = Window(start=30, seconds=60, task="work", who=(2,))
    assert told(with_windows(2, first, second)) == [] and told(with_windows(2, first, beside)) == []


def test_a_member_with_nothing_to_do_and_one_who_holds_while_working() -> None:
    alone = Window(start=0, seconds=60, task="work", who=(1,))
    assert told(with_windows(2, alone)) == [("windows", "Member B has nothing to do.")]
    holds = Window(start=0, seconds=60, task="work", who=(1,), holding=(2,))
    assert told(with_windows(2, holds)) == [], "holding is something to do"
    both = Window(start=0, seconds=60, task="work", who=(1, 2), holding=(2,))
    assert told(with_windows(2, both)) == [("window 1", "A member holds and works at the same time.")]


@pytest.mark.parametrize(
    ("task", "sentence"),
    [
        ({"bar": Load("0", "kg")}, "The bar weighs nothing: type what the empty bar weighs."),
        (
            {"step": Load("1", "kg"), "least_plate": Load("1.25", "kg")},
            "The smallest step (1 kg) is smaller than two of the smallest plate (1.25 kg on each side).",
        ),
        (
            {"step": Load("1", "lb"), "least_plate": Load("0.5", "kg")},
            "The smallest step (1 lb) is smaller than two of the smallest plate (0.5 kg on each side).",
        ),
        ({"attempts": 1, "may_go_down": False}, "With one attempt, going down can't happen."),
    ],
)
def test_a_lift_that_cannot_be_loaded_as_it_says(task: dict[str, Any], sentence: str) -> None:
    assert told(a_format(a_lift_task(**task), take("best"), unit="kg")) == [("task work", sentence)]


def test_a_step_of_exactly_two_least_plates_is_fine() -> None:
    task = a_lift_task(step=Load("1", "lb"), least_plate=Load("0.5", "lb"))
    assert told(a_format(task, take("best"), unit="kg")) == []


def test_a_list_that_nobody_can_finish_before_its_bell() -> None:
    taps = sum(item.reps for item in WORK)
    short = a_format(ListTask(items=WORK, rounds=20), take("time"), unit="s", better="less")
    assert told(short) == [("task work", f"Window 1 is too short for anybody to finish {taps * 20} repetitions.")]
    assert told(a_format(ListTask(items=WORK, rounds=None), take("sum"))) == [], "one without an end has none to reach"
    possible = ListTask(items=(*WORK, WorkItem(movement="swing", reps=240)))
    assert told(a_format(possible, take("sum"))) == [], "as many as possible is no number to reach"
    assert told(a_format(possible, take("time"), unit="s", better="less")), "but the end of a list for time is one"


def test_elimination_without_a_target_and_a_task_that_no_window_uses() -> None:
    assert told(a_format(CountTask(movement="swing", miss_puts_out=True))) == [
        ("task work", "Missing the target puts the entry out, but there is no target.")
    ]
    plain = a_format(CountTask(movement="swing"))
    more = plain.model_copy(update={"tasks": {**plain.tasks, "spare": CountTask(movement="squat")}})
    assert told(more) == [("task spare", "No window uses this task.")]


def test_work_that_goes_into_no_score() -> None:
    plain = a_format(CountTask(movement="swing"), Part(take="sum", windows=(0,)), windows=2)
    assert told(plain) == [("window 2", "The work here counts for no score.")]


def test_times_added_to_counts() -> None:
    format = Format(
        movements=MOVES,
        tasks={"errands": ListTask(items=WORK), "swings": CountTask(movement="swing")},
        windows=(Window(start=0, seconds=60, task="errands"), Window(start=60, seconds=60, task="swings")),
        scores=(ScoreRule(unit="reps", parts=(Part(take="time", tasks=("errands",)), Part(take="sum", tasks=("swings",)))),),
    )
    assert advice(format) == [Advice("score", "Score adds times to other numbers: weight the parts and use points.")]
    points = format.scores[0].model_copy(update={"unit": "points"})
    assert advice(format.model_copy(update={"scores": (points,)})) == []


def test_two_measures_in_one_score_are_no_nonsense() -> None:
    assert told(a_format(MeasureTask(movement="swing", unit="m"), take("best"), windows=2, unit="m")) == []
