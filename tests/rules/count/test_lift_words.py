"""The rules of a lift as a person would say them."""

from typing import Any

import pytest
from hypothesis import given, settings

from app.rules.count.lift_words import lift_rules, misload_words
from app.rules.workout.formats import LiftTask
from app.rules.workout.misload import EVERY_TIME_AGAIN, POWERLIFTING, MisloadRule
from tests.builders.any_format import formats
from tests.builders.cast import a_lift_task, load


def _said(**task: Any) -> str:
    return " ".join(lift_rules(a_lift_task(**task), 2))


@pytest.mark.parametrize(
    ("task", "sentence"),
    [
        ({}, "Attempts are limited only by time."),
        ({"attempts": 3}, "Each member has 3 attempts."),
        ({"tries_until_racked": False}, "Each declared load allows one try."),
        ({"step_after_good": load("2.5 kg")}, "After a good lift the next load is heavier by 2.5 kg (5.5 lb) at least."),
        ({"record_step": load("0.5 kg")}, "A declared record attempt may go in steps of 0.5 kg (1.1 lb)."),
        (
            {"collars": load("5 kg"), "collars_counted": False},
            "A declared load does not include the collars, 5 kg (11 lb) together.",
        ),
        ({"bars": "each"}, "Each member has a bar."),
        ({"rack": False}, "The bar starts on the floor."),
        (
            {"attempt_seconds": 60, "warn_seconds": 30, "rack": False},
            "The bar must leave the floor within 60 s of being free, with a warning 30 s before.",
        ),
        (
            {"attempt_seconds": 60, "follow_seconds": 120, "order": "lightest"},
            "within 60 s of the call, once the bar is ready. A lifter who follows their own attempt has 120 s.",
        ),
        ({"judges": 3}, "Three judges decide, two of three."),
    ],
)
def test_each_rule_has_its_sentence_and_only_where_it_holds(task: dict[str, Any], sentence: str) -> None:
    assert sentence in _said(**task)
    assert sentence not in _said(attempts=1, tries_until_racked=True) or not task


def test_a_bar_that_was_loaded_wrong_is_told_in_one_sentence_where_all_cases_are_alike() -> None:
    assert list(misload_words(MisloadRule())) == ["If the bar was loaded wrong, what was really on it counts."]
    assert list(misload_words(EVERY_TIME_AGAIN)) == ["If the bar was loaded wrong, the declared load is lifted again."]


def test_the_published_rule_is_told_case_by_case() -> None:
    assert list(misload_words(POWERLIFTING)) == [
        "If the bar was too heavy and lifted, what was really on it counts.",
        "If the bar was too light and missed, too heavy and missed, or loaded unevenly and missed, "
        "the declared load is lifted again.",
        "If the bar was too light and lifted, or loaded unevenly and lifted, the lifter chooses.",
        "A load between two steps is recorded down to the lower one.",
    ]


@settings(max_examples=15)
@given(formats())
def test_every_lift_can_be_told(format: Any) -> None:
    for task in format.tasks.values():
        if isinstance(task, LiftTask):
            said = lift_rules(task, format.members)
            assert len(set(said)) == len(said) and all(one.endswith(".") for one in said)
