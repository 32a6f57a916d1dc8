"""The competition as one value, and the competition file: references resolved or refused, and a journey as JSON."""

import json
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.records.document import CompetitionFile, counting_number, counting_run
from app.rules.result.results import results
from tests.builders.cast import FORMATS, Plain, a_competition, a_run, load, reps
from tests.builders.chance import sheets

FILE = a_competition(FORMATS["pair"], {"Open": ["Ana", "Bo"], "Masters": ["Cy"]}, reps(3))
SCHEMA = jsonschema.Draft202012Validator(CompetitionFile.model_json_schema(mode="serialization"))
names = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=30)


def _plain() -> Plain:
    plain: Plain = FILE.model_dump(mode="json")
    return plain


def _refused(plain: Plain) -> str:
    with pytest.raises(ValidationError) as wrong:
        CompetitionFile.model_validate(plain)
    return str(wrong.value)


@pytest.mark.parametrize(
    ("records", "field", "value", "sentence"),
    [
        ("entries", "division", "div_9", "Entry Ana refers to a division that is not there."),
        ("entries", "members", ["ath_9"], "Entry Ana refers to an athlete that is not there."),
        ("athletes", "club", "clb_9", "Athlete Ana Reed refers to a club that is not there."),
        ("heats", "event", "evt_9", "Heat 1 refers to an event that is not there."),
        ("runs", "heat", "heat_9", "Run 1 refers to a heat that is not there."),
        ("entries", "id", "ent_2", "Two of the entry records have one id."),
        ("heats", "planned", "24:00", "String should match pattern"),
        ("runs", "go_server_ms", 2**63, "less than or equal to"),
        ("runs", "number", 0, "greater than or equal to 1"),
        ("divisions", "name", "\u202eOpen", "control characters"),
        ("divisions", "id", "div 1", "String should match pattern"),
    ],
)
def test_a_record_that_does_not_fit_is_refused_by_name(records: str, field: str, value: Any, sentence: str) -> None:
    plain = _plain()
    plain[records][0][field] = value
    assert sentence in _refused(plain)


@pytest.mark.parametrize(
    ("field", "value", "sentence"), [("lane", 1, "two entries on one lane"), ("entry", "ent_1", "one entry on two lanes")]
)
def test_a_lane_holds_one_entry_and_an_entry_one_lane(field: str, value: Any, sentence: str) -> None:
    plain = _plain()
    plain["heats"][0]["lanes"][1][field] = value
    assert sentence in _refused(plain)


@pytest.mark.parametrize("day", ["2024-13-01", "2024-00-10", "2024-02-32", "24-02-03", "２０２４-01-01"])
def test_a_day_is_a_day_of_the_calendars_shape(day: str) -> None:
    plain = _plain()
    plain["competition"]["day"] = day
    assert "String should match pattern" in _refused(plain)


def test_two_runs_of_one_number_are_refused() -> None:
    plain = _plain()
    plain["runs"] *= 2
    assert "A heat has two runs of one number." in _refused(plain)


def test_a_mark_in_a_file_is_refused_with_the_marks_own_sentence() -> None:
    plain = _plain()
    plain["marks"][1]["at"] = "soon"
    assert "marks.1" in _refused(plain) and "The at of a mark is a whole number" in _refused(plain)


@pytest.mark.parametrize(
    ("ruling", "sentence"),
    [
        ({"kind": "status", "body": {"status": "asleep"}, "entry": "ent_1"}, "A status ruling says its status"),
        ({"kind": "status", "body": {}, "entry": "ent_1"}, "A status ruling says its status"),
        ({"kind": "penalty", "body": {"amount": 5}, "entry": "ent_1", "event": "evt"}, "A penalty says its amount as text"),
        ({"kind": "penalty", "body": {"amount": "1e9"}, "entry": "ent_1", "event": "evt"}, "A penalty says its amount as text"),
        ({"kind": "penalty", "body": {"amount": "5"}, "entry": "ent_1"}, "a penalty on an entry its event too"),
        ({"kind": "status", "body": {"status": "withdrawn"}}, "A ruling names a lane assignment or an entry"),
        ({"kind": "praise", "body": {}, "entry": "ent_1"}, "Input should be 'status', 'penalty', 'shift'"),
        ({"kind": "shift", "body": {"ms": 5, "run": 1}, "entry": "ent_1"}, "names its lane assignment"),
        ({"kind": "shift", "body": {"ms": 5}, "assignment": "asg_1"}, "says by how many milliseconds, and in which run"),
        ({"kind": "shift", "body": {"ms": True, "run": 1}, "assignment": "asg_1"}, "whole numbers"),
        ({"kind": "shift", "body": {"ms": 5, "run": 0}, "assignment": "asg_1"}, "whole numbers"),
        ({"kind": "shift", "body": {"ms": 2**40, "run": 1}, "assignment": "asg_1"}, "whole numbers"),
    ],
)
def test_a_ruling_says_something_that_can_be_applied(ruling: Plain, sentence: str) -> None:
    plain = {**_plain(), "rulings": [{"id": "rul_1", "by": "Sam", "why": "Seen", **ruling}]}
    assert sentence in _refused(plain)


@given(st.lists(names, min_size=3, max_size=3, unique=True), st.sampled_from(sorted(FORMATS)), st.data())
def test_a_file_is_the_same_after_a_journey_as_json(who: list[str], key: str, data: st.DataObject) -> None:
    marks = data.draw(sheets(FORMATS[key]))
    file = a_competition(FORMATS[key], {"Open": who[:2], "Masters": who[2:]}, marks)
    written = json.dumps(file.model_dump(mode="json"), ensure_ascii=True)
    read = CompetitionFile.model_validate(json.loads(written))
    assert read == file and CompetitionFile.model_validate_json(file.model_dump_json()) == file
    assert results(read) == results(file)


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_a_written_file_fits_the_schema_that_is_printed(name: str) -> None:
    ruling = {"id": "r", "kind": "penalty", "body": {"amount": "5"}, "entry": "ent_1", "event": "evt", "by": "Sam", "why": "Seen"}
    SCHEMA.validate(a_competition(FORMATS[name], {"Open": ["Ana"]}, reps(2), rulings=[ruling]).model_dump(mode="json"))


@pytest.mark.parametrize("spoil", [{"version": 99}, {"version": 0}, {"file": "other"}, {"marks": [{"id": "1"}]}, {"extra": 1}])
def test_what_the_schema_refuses_the_file_refuses_too(spoil: Plain) -> None:
    assert not SCHEMA.is_valid({**_plain(), **spoil})
    assert _refused({**_plain(), **spoil})


def test_a_load_stands_in_the_file_as_it_was_declared() -> None:
    bar = _plain()["events"][0]["format"]["tasks"]["squat"]["bar"]
    assert bar == {"amount": "20", "unit": "kg"} and FILE.events[0].format.tasks["squat"].bar == load("20 kg")  # type: ignore[union-attr]


def test_the_newest_run_that_was_not_stopped_counts() -> None:
    runs = [a_run(2, "closed"), a_run(1, "stopped"), a_run(3, "stopped")]
    assert counting_run(runs, "heat") == runs[0] and counting_number(runs, "heat") == 2
    assert counting_run(runs[1:], "heat") is None and counting_number(runs[1:], "heat") == 4
    assert counting_run(runs, "another") is None and counting_number(runs, "another") == 1
