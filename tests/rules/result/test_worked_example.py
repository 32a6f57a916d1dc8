"""The worked example of a brief: whatever the event, the rule book itself scores it, and its numbers are the example's marks."""

import pytest

from app.rehearsal.turns import turn_about
from app.rules.count.tally import fold
from app.rules.records.marks import mark_plain, parse_mark
from app.rules.records.roster import Event
from app.rules.result.scoring import score
from app.rules.result.worked_example import played, worked_example
from app.rules.workout.formats import Format
from app.rules.workout.presets import PRESETS
from tests.builders.cast import FORMATS

EVENTS: dict[str, Format] = {key: preset.make({}) for key, preset in PRESETS.items()} | FORMATS


def an_event(format: Format) -> Event:
    return Event(id="evt", name="One", format=format)


@pytest.mark.parametrize("key", sorted(EVENTS))
def test_every_kind_of_event_has_an_example_that_scores_something(key: str) -> None:
    format = EVENTS[key]
    tally = fold(format, played(format))
    said = worked_example(an_event(format))
    assert [one.name for one in said] == [rule.name for rule in format.scores]
    for rule, one in zip(format.scores, said, strict=True):
        made = score(format, rule, tally)
        assert made.value > 0 and one.score.startswith(made.text)
        assert all(part.value > 0 for part in made.parts)
        assert one.steps[-1].title == "Score"


@pytest.mark.parametrize("key", sorted(EVENTS))
def test_the_example_is_made_of_marks_that_the_desk_would_take_and_that_are_not_odd(key: str) -> None:
    marks = played(EVENTS[key])
    assert [parse_mark(mark_plain(mark)) for mark in marks] == list(marks)
    assert fold(EVENTS[key], marks).flags == ()


def test_a_pair_adds_up_to_what_a_person_adds_up() -> None:
    """45 and 42 taps, 180 and 177 push-ups, two squats of 85 kg: 87 + 357 + 170 are 614 by hand."""
    [said] = worked_example(an_event(turn_about()))
    assert said.score == "614 points"
    lines = [line.text for line in said.steps[-1].lines]
    assert "Handstand shoulder taps: 45 + 42 = 87 reps" in lines and "Together 87 reps + 357 reps + 170 kg = 614 points" in lines


def test_a_missed_lift_is_in_the_example_and_does_not_count() -> None:
    [said] = worked_example(an_event(PRESETS["max_load"].make({})))
    missed = [line for step in said.steps for line in step.lines if "no lift" in line.text]
    assert missed and not any(line.counts for line in missed)


@pytest.mark.parametrize(("part", "amount"), [("bar", "2000"), ("step", "2000"), ("bar", "4409"), ("step", "0.0001")])
def test_a_bar_or_a_step_as_heavy_as_can_be_written_still_has_an_example(part: str, amount: str) -> None:
    plain = turn_about().model_dump(mode="json")
    plain["tasks"]["squat"][part] = {"amount": amount, "unit": "lb"}
    event = Event(id="evt", name="Heavy", format=Format.model_validate(plain))
    assert worked_example(event) and all(parse_mark(mark_plain(mark)) for mark in played(event.format))
