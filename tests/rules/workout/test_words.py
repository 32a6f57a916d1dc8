"""The rule book's own words."""

from typing import Any, get_args

import pytest

from app.rules.values.clock_times import clock_ms_text, minutes_text
from app.rules.workout.formats import CountTask, ListTask, Take, Window
from app.rules.workout.joining import How
from app.rules.workout.words import JOINS, TAKES, member_letter, part_text, who_text, window_text, work_text
from tests.builders.cast import WORK, a_format, take


def test_every_take_and_every_way_to_join_counts_has_words() -> None:
    assert set(TAKES) == set(get_args(Take)) and set(JOINS) == set(get_args(How))


@pytest.mark.parametrize(("seconds", "text"), [(0, "0:00"), (59, "0:59"), (60, "1:00"), (3725, "62:05")])
def test_whole_seconds_are_told_as_minutes_and_seconds(seconds: int, text: str) -> None:
    assert minutes_text(seconds) == text


@pytest.mark.parametrize(
    ("ms", "text"), [(0, "0:00.0"), (999, "0:00.9"), (61_050, "1:01.0"), (-1_500, "-0:01.5"), (3_600_000, "60:00.0")]
)
def test_a_moment_is_told_to_the_tenth_below(ms: int, text: str) -> None:
    assert clock_ms_text(ms) == text


@pytest.mark.parametrize(
    ("who", "members", "text"),
    [
        ("all", 1, ""),
        ("all", 2, "all together"),
        ("any", 3, "shared as they like"),
        ((1,), 2, "A"),
        ((1, 3), 3, "A and C"),
    ],
)
def test_who_works_in_a_window(who: Any, members: int, text: str) -> None:
    assert who_text(Window(start=0, seconds=60, task="work", who=who), members) == text


def test_a_window_in_one_line() -> None:
    pair = a_format(CountTask(movement="swing"), windows=2, members=2, who=(2,))
    assert window_text(pair, 1) == "Window 2, B: Swings, 1:00 to 2:00"
    alone = a_format(ListTask(items=WORK))
    assert window_text(alone, 0) == "Window 1: work list, 0:00 to 1:00"
    assert work_text(alone, Window(start=0, seconds=60)) == "rest"


def test_a_part_of_a_score_in_one_line() -> None:
    format = a_format(CountTask(movement="swing"))
    assert part_text(format, take("sum", drop=1, weight="0.5"), "Swings") == (
        "Swings: all added up, the lowest 1 dropped, times 0.5"
    )
    assert part_text(format, take("best"), "Swings") == "Swings: the best one"


def test_letters_name_members() -> None:
    assert [member_letter(member) for member in (1, 2, 12)] == ["A", "B", "L"]
