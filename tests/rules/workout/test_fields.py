"""The declared fields of a format: every field of a model that is typed is declared, and with what the model itself says."""

import pytest

from app.rules.workout.fields import Declared, Field
from app.rules.workout.format_fields import COUNTERS
from app.rules.workout.format_fields import ROWS as FORMAT_ROWS
from app.rules.workout.misload import MisloadRule
from app.rules.workout.task_fields import LIFT, MEASURE, TASKS
from app.rules.workout.tasks import LiftTask

# What has no field of its own: what names other rows, and the rows within a row.
ROWS = {
    "event": {"counters", "movements", "tasks", "windows", "scores", "variants"},
    "movement": {"name", "library"},
    "score": {"id", "name", "parts", "ties"},
    "part": {"tasks"},
    "tie": set(),
    "variant": {"id", "name", "movements", "tasks"},
    "counters": set(),
    "list": {"kind"},
    **{kind: {"kind", "movement"} for kind in ("count", "lift", "measure")},
}
DECLARED: dict[str, Declared] = {**TASKS, **FORMAT_ROWS, "counters": COUNTERS}
CHOICES = [(kind, field) for kind, declared in DECLARED.items() for field in declared.shown if field.kind == "choice"]


@pytest.mark.parametrize("kind", DECLARED)
def test_every_field_of_a_model_is_declared_once(kind: str) -> None:
    declared = DECLARED[kind]
    names = [field.name for field in declared.fields]
    assert set(names) == set(declared.model.model_fields) - ROWS[kind]
    texts = [field.text for field in declared.shown]
    assert len(set(texts)) == len(texts)


def test_the_cases_of_a_bar_that_was_loaded_wrong_are_all_declared() -> None:
    cases = [field.name for field in LIFT.shown if field.model is MisloadRule]
    assert sorted(cases) == sorted(MisloadRule.model_fields)


@pytest.mark.parametrize(("kind", "field"), CHOICES, ids=[f"{kind} {field.text}" for kind, field in CHOICES])
def test_what_can_be_chosen_is_what_the_model_takes(kind: str, field: Field) -> None:
    assert {option.value for option in field.options} == set(field.values) and field.values


def test_kinds_bounds_and_defaults_are_the_models_own() -> None:
    said = {name: LIFT.field(name) for name in LiftTask.model_fields if name not in ROWS["lift"]}
    assert said["attempt_seconds"].bounds == (5, 3600) and said["attempt_seconds"].may_be_empty
    assert said["bar"].may_weigh_nothing and not said["step"].may_weigh_nothing and not said["record_step"].may_weigh_nothing
    assert not said["bar"].may_be_empty and said["record_step"].may_be_empty
    assert said["judges"].values == {"1": 1, "3": 3} and said["judges"].default == 1
    assert {name: field.kind for name, field in said.items() if field.kind in ("load", "own")} == {
        "bar": "load",
        "collars": "load",
        "step": "load",
        "auto_step": "load",
        "least_plate": "load",
        "step_after_good": "load",
        "record_step": "load",
        "rise": "load",
        "misload": "own",
    }
    assert MEASURE.field("high").default == 100_000 and MEASURE.field("unit").options[0] == ("m", "m")


def test_a_line_has_a_hole_for_each_piece() -> None:
    for declared in DECLARED.values():
        for field in declared.fields:
            assert (f"{{{field.name}}}" in declared.line) == (field.piece is not None)
