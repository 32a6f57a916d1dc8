"""Formats: what hangs together, what is refused with a sentence, and what survives a journey as JSON."""

from fractions import Fraction
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from app.rules.values.shapes import ExactNumber
from app.rules.workout.formats import CountTask, Format, ListTask, MeasureTask, Movement, Part, Window, WorkItem
from tests.builders.cast import FORMATS, SUM, Plain, a_format, a_lift_task, take

SWINGS = CountTask(movement="swing")
NUMBER: TypeAdapter[Fraction] = TypeAdapter(ExactNumber)


def _plain(**changes: Any) -> Plain:
    return {**a_format(SWINGS).model_dump(mode="json"), **changes}


def _refused(plain: Plain) -> str:
    with pytest.raises(ValidationError) as wrong:
        Format.model_validate(plain)
    return str(wrong.value)


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_a_format_is_the_same_after_a_journey_as_json_and_fits_its_schema(name: str) -> None:
    format = FORMATS[name]
    assert Format.model_validate_json(format.model_dump_json()) == format
    jsonschema.validate(format.model_dump(mode="json"), Format.model_json_schema())


def test_the_length_is_the_last_bell_whatever_the_order_of_the_windows() -> None:
    windows = [{"start": 60, "seconds": 60, "task": "work"}, {"start": 0, "seconds": 30, "task": "work"}]
    assert Format.model_validate(_plain(windows=windows)).length_ms == 120_000


def test_a_part_takes_from_each_window_of_its_tasks_or_from_the_windows_it_names() -> None:
    pair = FORMATS["pair"]
    assert pair.window_indexes(Part(take="sum", tasks=("handtaps",))) == [0, 2]
    assert pair.window_indexes(Part(take="sum", tasks=("squat", "pushups"))) == [4, 5, 7, 9]
    assert pair.window_indexes(Part(take="sum", windows=(7, 2, 7))) == [2, 7]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"movements": {}}, "Task work uses the movement swing, which the format does not describe."),
        ({"windows": [{"start": 0, "seconds": 60, "task": "play"}]}, "Window 1 uses the task play"),
        ({"windows": [{"start": 0, "seconds": 60, "who": [2]}]}, "Window 1 names a member that an entry of 1 does not have."),
        ({"windows": [{"start": 0, "seconds": 60, "who": []}]}, "Window 1 names a member"),
        ({"windows": [{"start": 0, "seconds": 60, "holding": [2]}]}, "Window 1 names a member"),
        ({"windows": [{"start": 21_599, "seconds": 60}]}, "Window 1 ends after 6 hours."),
        ({"windows": [{"start": 0, "seconds": 60}]}, "Score takes from a window without work."),
        ({"windows": []}, "at least 1 item"),
        ({"score": 1}, "Extra inputs are not permitted"),
    ],
)
def test_a_format_that_does_not_hang_together_is_refused(changes: Plain, sentence: str) -> None:
    assert sentence in _refused(_plain(**changes))


@pytest.mark.parametrize(
    ("part", "more", "sentence"),
    [
        ({"take": "sum"}, {}, "name one of the two"),
        ({"take": "sum", "tasks": ["work"], "windows": [0]}, {}, "name one of the two"),
        ({"take": "sum", "tasks": ["play"]}, {}, "Score takes from the task play"),
        ({"take": "sum", "windows": [1]}, {}, "Score takes from a window that the event does not have."),
        ({"take": "time", "tasks": ["work"]}, {}, "only a work list has one"),
        ({"take": "sum", "tasks": ["work"]}, {"ties": [{"kind": "part", "part": 1}]}, "breaks ties by a part"),
        ({"take": "sum", "tasks": ["work"]}, {"ties": [{"kind": "count_at"}]}, "needs the checkpoint's time"),
        ({"take": "sum", "tasks": ["work"]}, {"ties": [{"kind": "part"}]}, "needs the number of the part"),
        ({"take": "sum", "tasks": ["work"]}, {"rounding_step": "0"}, "The rounding step is more than zero."),
    ],
)
def test_a_score_that_can_not_be_made_is_refused(part: Plain, more: Plain, sentence: str) -> None:
    assert sentence in _refused(_plain(scores=[{"unit": "reps", "parts": [part], **more}]))


def test_two_scores_of_one_name_would_be_one_too_many() -> None:
    rule = {"unit": "reps", "parts": [{"take": "sum", "tasks": ["work"]}]}
    assert "The score score appears twice. Rename one." in _refused(_plain(scores=[rule, rule]))


def test_loads_are_not_added_up_as_repetitions_not_even_beside_some() -> None:
    with pytest.raises(ValidationError, match="its unit is kg, lb or points"):
        a_format(a_lift_task())
    plain = FORMATS["pair"].model_dump(mode="json")
    plain["scores"] = [{"unit": "reps", "parts": [{"take": "sum", "tasks": ["handtaps", "squat"]}]}]
    assert "its unit is kg, lb or points" in _refused(plain)


def test_a_list_that_starts_again_has_no_finish_time() -> None:
    endless = ListTask(items=(WorkItem(movement="swing", reps=3),), rounds=None)
    with pytest.raises(ValidationError, match="starts again until the bell"):
        a_format(endless, take("time"), unit="s", better="less")


def test_a_round_of_work_has_an_end_that_a_tablet_can_count_to() -> None:
    ListTask(items=(WorkItem(movement="swing", reps=20_000, worth=5),))
    with pytest.raises(ValidationError, match="at most 20000 repetitions"):
        ListTask(items=(WorkItem(movement="swing", reps=20_000), WorkItem(movement="squat", reps=1)))


def test_a_step_of_nothing_is_refused_before_anybody_lifts_by_it() -> None:
    for field in ("step", "least_plate"):
        with pytest.raises(ValidationError, match="weigh more than nothing"):
            a_lift_task(**{field: {"amount": "0", "unit": "kg"}})


def test_a_measure_has_a_step_and_bounds_that_leave_room() -> None:
    with pytest.raises(ValidationError, match="step of a measure is more than zero"):
        MeasureTask.model_validate({"movement": "swing", "unit": "m", "step": 0})
    with pytest.raises(ValidationError, match="above its highest"):
        MeasureTask.model_validate({"movement": "swing", "unit": "m", "low": 2, "high": 1})


def test_a_fault_of_a_movement_stands_once() -> None:
    fault = {"id": "depth", "name": "Not deep enough"}
    with pytest.raises(ValidationError, match="Squat has the fault depth twice"):
        Movement.model_validate({"name": "Squat", "faults": [fault, fault]})


@pytest.mark.parametrize("name", ["", "   ", "a\nb", "a\x00b", "a\u202eb", "x" * 121])
def test_a_name_is_for_people(name: str) -> None:
    with pytest.raises(ValidationError):
        Movement(name=name)


NO_LOADS = ["100 kg", 100, {"amount": 100.5, "unit": "kg"}, {"amount": "1", "unit": []}, {"amount": "٣", "unit": "kg"}]


@pytest.mark.parametrize("load", NO_LOADS)
def test_a_load_in_a_format_is_an_amount_as_text_and_its_unit(load: Any) -> None:
    with pytest.raises(ValidationError, match="A load is"):
        a_lift_task(bar=load)


HUGE = pytest.param(10**5000, id="5001 digits")


@pytest.mark.parametrize(
    "value", [0.1, "0.1e1", "1e999999999", "1/0", "1_000", " 1", "٣", True, None, HUGE, "1234567890.5", "nan"]
)
def test_an_exact_number_is_never_a_float_a_power_or_endless(value: Any) -> None:
    with pytest.raises(ValidationError, match="Write a number such as"):
        NUMBER.validate_python(value)


decimals = st.from_regex(r"-?[0-9]{1,9}\.[0-9]{1,6}", fullmatch=True)
ratios = st.from_regex(r"-?[0-9]{1,15}/[1-9][0-9]{0,6}", fullmatch=True)


@given(decimals | ratios | st.integers(-(10**15) + 1, 10**15 - 1).map(str))
def test_an_exact_number_written_out_is_read_back_the_same(text: str) -> None:
    number = NUMBER.validate_python(text)
    assert number == Fraction(text)
    assert NUMBER.validate_json(NUMBER.dump_json(number)) == number
    jsonschema.validate(NUMBER.dump_python(number), NUMBER.json_schema(mode="serialization"))


def test_a_window_opens_on_its_first_millisecond_and_closes_at_its_bell() -> None:
    window = Window(start=120, seconds=60)
    assert (window.start_ms, window.end_ms) == (120_000, 180_000)


def test_the_shared_sum_takes_the_work_of_each_window() -> None:
    assert a_format(SWINGS, windows=3).window_indexes(SUM[0]) == [0, 1, 2]
