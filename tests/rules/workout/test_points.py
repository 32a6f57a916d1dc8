"""Stated points of the work: how they are written, which taps bring there, when they were reached."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.result.explain import explain
from app.rules.result.results import results
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Part, ScoreRule, Window, WorkItem
from app.rules.workout.points import Point, read_point, taps_to
from tests.builders.cast import MOVES, Plain, Sheet, a_competition, a_format, a_lift_task, parsed, tallied, tied

STEPS = (21, 21, 15, 15, 9, 9)
SCHEME = ListTask(items=tuple(WorkItem(movement=("swing", "squat")[n % 2], reps=reps) for n, reps in enumerate(STEPS)))


@st.composite
def lists(draw: st.DrawFn) -> ListTask:
    """A short list, of one round, of several, or again and again; what counts nothing in it stands before what counts."""
    item = st.builds(WorkItem, movement=st.just("swing"), reps=st.integers(1, 6), worth=st.integers(0, 4))
    items = draw(st.lists(item, min_size=1, max_size=4).filter(lambda some: some[-1].worth > 0))
    return ListTask(items=tuple(items), rounds=draw(st.sampled_from([1, 2, 3, None])))


def _walked(task: ListTask) -> list[tuple[int, int, int, int]]:
    """After each tap of five rounds, one by one: the round, the line, how much of the line is left, the work done."""
    found, work = [], 0
    for number in range(1, (task.rounds or 5) + 1):
        for line, item in enumerate(task.items, 1):
            for tap in range(1, item.reps + 1):
                work += item.worth
                found.append((number, line, item.reps - tap, work))
    return found


@given(lists(), st.data())
def test_a_point_of_a_list_is_where_a_judge_who_taps_it_through_gets_to(task: ListTask, data: st.DataObject) -> None:
    steps = _walked(task)
    taps = data.draw(st.integers(1, len(steps)))
    number, line, _, work = steps[taps - 1]
    ends = [n for n, step in enumerate(steps, 1) if step[:3] == (number, line, 0)]
    assert taps_to(task, Point(round=number, line=line)) == ends[0]
    assert taps_to(task, Point(round=number)) == max(n for n, step in enumerate(steps, 1) if step[0] == number)
    before = steps[taps - 2][3] if taps > 1 else 0
    assert {taps_to(task, Point(reps=reps)) for reps in range(before + 1, work + 1)} == ({taps} if work > before else set())


def test_the_step_of_a_scheme_ends_with_the_last_of_its_lines() -> None:
    assert [taps_to(SCHEME, Point(scheme=n)) for n in (21, 15, 9)] == [42, 72, 90]
    thrice = SCHEME.model_copy(update={"rounds": 3})
    assert taps_to(thrice, Point(scheme=15, round=2)) == 90 + 72


@pytest.mark.parametrize(
    ("task", "point", "sentence"),
    [
        (SCHEME, {"scheme": 12}, "has no line of 12"),
        (SCHEME, {"round": 2}, "has 1 round"),
        (SCHEME, {"line": 7}, "has 6 lines"),
        (SCHEME, {"reps": 91}, "has 90 repetitions"),
        (SCHEME.model_copy(update={"rounds": None}), {"line": 2}, "any number of rounds: say of which"),
        (SCHEME.model_copy(update={"items": (*SCHEME.items, SCHEME.items[0])}), {"scheme": 21}, "do not follow one another"),
        (CountTask(movement="swing", target=9), {"reps": 10}, "the most that counts there is 9 repetitions"),
        (CountTask(movement="swing"), {"round": 1}, "counted repetitions or of a work list"),
        (a_lift_task(), {"reps": 1}, "counted repetitions or of a work list"),
    ],
)
def test_an_event_with_a_point_that_its_work_does_not_have_is_refused_with_what_it_lacks(
    task: Any, point: Plain, sentence: str
) -> None:
    score: Plain = {"unit": "kg"} if isinstance(task, LiftTask) else {}
    with pytest.raises(ValueError, match=sentence):
        a_format(task, ties=({"kind": "time_at", "point": point},), **score)


def test_a_variant_has_the_point_too_or_the_event_is_refused() -> None:
    plain = a_format(SCHEME, ties=({"kind": "time_at", "point": {"scheme": 15}},)).model_dump(mode="json")
    easier = ListTask(items=tuple(WorkItem(movement="swing", reps=reps) for reps in (12, 9)))
    plain["variants"] = [{"id": "easier", "name": "Easier", "tasks": {"work": easier.model_dump(mode="json")}}]
    with pytest.raises(ValueError, match="the end of the 15s, but the work list has no line of 15"):
        Format.model_validate(plain)
    plain["scores"][0]["ties"][0]["point"] = {"line": 1}
    assert Format.model_validate(plain).varied("easier").timed_points() == {(0, 12): Point(line=1)}


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("the end of the 15s", {"scheme": 15}),
        ("time at the end of the 15’s", {"scheme": 15}),
        ("round 2", {"round": 2}),
        ("End of round 2, window 3", {"round": 2, "window": 2}),
        ("line 4 of round 2", {"line": 4, "round": 2}),
        ("the 9s of round 3", {"scheme": 9, "round": 3}),
        ("60 reps", {"reps": 60}),
        ("rep 60 in window 2", {"reps": 60, "window": 1}),
    ],
)
def test_a_point_is_read_as_people_write_it(text: str, point: Plain) -> None:
    assert read_point(text) == Point.model_validate(point)


@pytest.mark.parametrize("text", ["", "15", "the end", "round 0", "line 4 and round 2", "rep 6 of round 2", "the 15s, window 0"])
def test_what_names_no_point_is_not_guessed_at(text: str) -> None:
    assert read_point(text) is None


numbers = st.none() | st.integers(1, 200)


@given(numbers, numbers, numbers, numbers, st.none() | st.integers(0, 150))
def test_the_words_of_a_point_are_read_back(
    round: int | None, line: int | None, scheme: int | None, reps: int | None, window: int | None
) -> None:
    try:
        point = Point(round=round, line=line, scheme=scheme, reps=reps, window=window)
    except ValueError:
        return
    assert read_point(point.words()) == point


def _timed(point: Plain, task: Any = SCHEME, **more: Any) -> Format:
    return a_format(task, ties=({"kind": "time_at", "point": point},), **more)


def _reps(times: list[int], lane: int = 1) -> list[Plain]:
    sheet = Sheet(f"asg_{lane}")
    return [sheet.rep(at) for at in times]


@given(st.lists(st.integers(0, 59_999), max_size=80), st.integers(1, 90))
def test_the_time_at_a_repetition_is_that_of_the_mark_that_counts_so_many(times: list[int], number: int) -> None:
    (key,) = tied(_timed({"reps": number}), _reps(times))
    done = sorted(times)[:number]
    assert key == ((0, max(done)) if len(done) == number else (1,))


def test_a_repetition_taken_back_moves_the_time_to_the_one_after_it() -> None:
    sheet = Sheet()
    marks = [sheet.rep(at) for at in (1_000, 2_000, 3_000, 4_000)]
    assert tied(_timed({"reps": 3}), [*marks, sheet.strike(9_000, marks[1])]) == ((0, 4_000),)


def test_a_point_lies_in_the_window_that_it_names() -> None:
    format = _timed({"reps": 2, "window": 1}, CountTask(movement="swing"), windows=2)
    assert tied(format, _reps([1_000, 2_000, 61_000, 63_500])) == ((0, 63_500),)


def test_equal_scores_are_parted_by_the_time_at_the_point_and_the_explanation_tells_it() -> None:
    task = ListTask(items=(WorkItem(movement="swing", reps=2), WorkItem(movement="squat", reps=1)), rounds=None)
    format = _timed({"round": 2}, task)
    later, sooner = [1_000, 2_000, 3_000, 4_000, 9_000, 20_000, 21_000], [5_000, 6_000, 7_000, 8_000, 9_000, 19_500, 50_000]
    file = a_competition(format, {"Open": ["Later", "Sooner"]}, [*_reps(later, 1), *_reps(sooner, 2)])
    table = results(file)[0].tables[0]
    assert [(row.entry.name, row.place) for row in table.rows] == [("Sooner", 1), ("Later", 2)]
    (first, second) = table.rows
    marks = _reps(later)
    told = explain(format, table, second, {"lane": tallied(format, marks)}, {"lane": parsed(marks)})
    lines = [line.text for step in told.steps for line in step.lines]
    assert "Tie: the end of round 2 at 0:20" in lines
    assert "The same score as Sooner; behind it by tie-break 1: sooner at the end of round 2" in lines
    assert any("never got there ranks behind" in line for line in lines)
    assert first.score is not None and second.score is not None and first.score.key == second.score.key


def test_who_never_reached_the_point_stands_behind_who_did() -> None:
    format = Format(
        movements=MOVES,
        tasks={"far": MeasureTask(movement="swing", unit="m"), "list": SCHEME},
        windows=(Window(start=0, seconds=60, task="far"), Window(start=60, seconds=60, task="list")),
        scores=(
            ScoreRule(
                unit="points",
                parts=(Part(take="sum", tasks=("far",)), Part(take="sum", tasks=("list",), weight=Fraction(0))),
                ties=({"kind": "time_at", "point": {"reps": 3}},),  # type: ignore[arg-type]
            ),
        ),
    )
    there, short = Sheet(), Sheet()
    reached = [there.rep(at, 1) for at in (61_000, 62_000, 118_000)]
    missed = [short.rep(at, 1) for at in (61_000, 62_000)]
    assert tied(format, reached) == ((0, 118_000),) and tied(format, reached) < tied(format, missed)
