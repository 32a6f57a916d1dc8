"""Common formats from few knobs: each is sound as it comes, and scores a played sheet as by hand."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.workout.advice import advice
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.plate_sets import offered, set_to_begin
from app.rules.workout.plates import PlateSet, lightest, lightest_step
from app.rules.workout.presets import PRESETS, BadKnob, Preset
from tests.builders.cast import Sheet, load, scored, tallied
from tests.builders.played import PLAYED, Played

WEIGHTS = st.sampled_from(["1.25", "2", "2.5", "4", "5", "7.5", "10"])
EACH = pytest.mark.parametrize("preset", PRESETS.values(), ids=list(PRESETS))


def _timeline(format: Format) -> list[tuple[int, int, str | None]]:
    return [(w.start, w.seconds, w.task) for w in format.windows]


def _work(format: Format) -> list[tuple[str, object]]:
    return [(w.task, w.who) for w in format.windows if w.task]


# --- As they come -------------------------------------------------------------------------------------------------------


@EACH
@pytest.mark.parametrize("unit", ["kg", "lb"])
def test_as_it_comes_a_preset_gives_a_format_without_a_warning(preset: Preset, unit: str) -> None:
    made = preset.make({"unit": unit})
    assert advice(made) == []
    assert made.unit == (unit if any(knob.key == "unit" for knob in preset.knobs) else "kg")


@EACH
def test_a_format_comes_back_from_json_as_it_went(preset: Preset) -> None:
    made = preset.make({})
    assert Format.model_validate_json(made.model_dump_json()) == made


@EACH
def test_a_preset_says_what_it_is_and_its_knobs_what_they_ask(preset: Preset) -> None:
    assert preset.name and preset.summary.endswith(".")
    keys = [knob.key for knob in preset.knobs]
    assert len(set(keys)) == len(keys)
    for knob in preset.knobs:
        assert knob.label
        assert bool(knob.choices) == (knob.kind in ("choice", "unit"))
        assert not (knob.by_unit and knob.of_plates)
        assert knob.default in knob.choices or not knob.choices
        assert set(knob.by_unit) == ({"kg", "lb"} if knob.kind == "load" and not knob.of_plates else set())
        assert knob.default or knob.empty or knob.kind in ("load", "plates")
        assert not knob.default or knob.kind != "load", "a load that is no parameter of the unit or of the plates"


@EACH
def test_every_movement_of_a_preset_has_standards_and_faults(preset: Preset) -> None:
    for movement in preset.make({}).movements.values():
        assert movement.standards and movement.faults and all(fault.say for fault in movement.faults)


# --- Played and added up by hand ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("played", PLAYED.values(), ids=list(PLAYED))
def test_a_played_sheet_scores_as_by_hand(played: Played) -> None:
    format = played.format
    marks = played.play(Sheet())
    assert tuple(scored(format, marks, rule).text for rule in range(len(format.scores))) == played.scores


def test_every_preset_has_been_played() -> None:
    assert {played.preset for played in PLAYED.values()} == set(PRESETS)


def test_a_clean_sheet_has_no_flags() -> None:
    for name in ("stations", "a scheme, finished", "as heavy as possible", "a mirrored pair", "two scores", "a relay"):
        assert tallied(PLAYED[name].format, PLAYED[name].play(Sheet())).flags == (), name


# --- The mirrored pair ------------------------------------------------------------------------------------------------------


def test_b_works_in_the_mirrored_order() -> None:
    pair = PRESETS["mirrored_pair"].make({"window": "1:10", "rest": "0:20", "change": "0:40"})
    assert _timeline(pair) == [
        (0, 70, "first"),
        (70, 20, None),
        (90, 70, "second"),
        (160, 20, None),
        (180, 70, "lift"),
        (250, 40, None),
        (290, 70, "lift"),
        (360, 20, None),
        (380, 70, "second"),
        (450, 20, None),
        (470, 70, "first"),
    ]
    assert [who for _, who in _work(pair)] == [(1,)] * 3 + [(2,)] * 3


@pytest.mark.parametrize(("work", "rest", "change", "length"), [(80, 35, 50, 670), (80, 35, 0, 620), (75, 0, 0, 450)])
def test_windows_follow_one_another_without_a_gap(work: int, rest: int, change: int, length: int) -> None:
    seconds = {"window": work, "rest": rest, "change": change}
    pair = PRESETS["mirrored_pair"].make({key: f"{value // 60}:{value % 60:02}" for key, value in seconds.items()})
    # Six windows of work, four rests within the members, one change between them.
    assert pair.length_ms == length * 1000 == (6 * work + 4 * rest + change) * 1000
    assert all(a.end_ms == b.start_ms for a, b in pairwise(pair.windows))


# --- Bar, step and least plate are those of the plates ----------------------------------------------------------------------


def _lift_of(plates: PlateSet | None, /, **typed: str) -> LiftTask:
    made = PRESETS["max_load"].make(typed, {"own": plates} if plates else None).tasks["lift"]
    assert isinstance(made, LiftTask)
    return made


@given(st.lists(WEIGHTS, min_size=1, unique=True), st.sampled_from(["kg", "lb"]))
def test_the_least_step_is_a_pair_of_the_lightest_plate_of_the_chosen_set(weights: list[str], unit: str) -> None:
    plates = PlateSet.model_validate(
        {
            "id": "own",
            "name": "Ours",
            "bars": [{"amount": "12", "unit": unit}, {"amount": "9", "unit": unit}],
            "plates": [{"weight": {"amount": weight, "unit": unit}, "count": 2} for weight in weights],
        }
    )
    least = min(Fraction(weight) for weight in weights)
    for typed in ({"plates": "own"}, {"unit": unit}):
        task = _lift_of(plates, **typed)
        assert task.bar == plates.bars[0]
        assert (Fraction(task.least_plate.amount), Fraction(task.step.amount)) == (least, 2 * least)
        assert {task.bar.unit, task.step.unit, task.least_plate.unit} == {unit}


def test_a_lone_plate_makes_no_step_and_what_is_typed_stands_before_the_set() -> None:
    plates = set_to_begin("gym-kg", "own")
    assert plates is not None
    lone = plates.plates[-1].model_copy(update={"count": 1})
    task = _lift_of(plates.model_copy(update={"plates": (*plates.plates[:-1], lone)}), bar="13 kg", step="3 lb")
    assert (task.bar, task.step) == (load("13 kg"), load("3 lb"))
    assert task.least_plate == plates.plates[-2].weight


@pytest.mark.parametrize("unit", ["kg", "lb"])
def test_without_plates_of_the_hall_the_unit_decides_which_set_is_begun_from(unit: str) -> None:
    first = next(one.plates for one in offered() if one.plates.bars[0].unit == unit)
    task = _lift_of(None, unit=unit)
    assert (task.bar, task.step, task.least_plate) == (first.bars[0], lightest_step(first), lightest(first))
    with pytest.raises(BadKnob, match="is one of the plate sets here"):
        _lift_of(first, plates="gone")
