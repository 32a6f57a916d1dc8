"""Common formats from few knobs: each is sound as it comes, and scores a played sheet as by hand."""

from itertools import pairwise

import pytest

from app.rules.workout.advice import advice
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.presets import PRESETS, Preset, mirrored_pair
from tests.builders.cast import Sheet, load, scored, tallied
from tests.builders.played import PLAYED, Played

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
        assert knob.default in knob.choices or not knob.choices
        assert set(knob.by_unit) == ({"kg", "lb"} if knob.kind == "load" else set())
        assert knob.default or knob.empty or knob.kind == "load"


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


# --- The mirrored pair as others make it ------------------------------------------------------------------------------------


def test_a_pair_takes_twenty_minutes_and_b_works_in_the_mirrored_order() -> None:
    pair = mirrored_pair()
    assert _timeline(pair) == [
        (0, 120, "presses"),
        (120, 120, None),
        (240, 120, "skips"),
        (360, 120, None),
        (480, 120, "squat"),
        (600, 120, "squat"),
        (720, 120, None),
        (840, 120, "skips"),
        (960, 120, None),
        (1080, 120, "presses"),
    ]
    assert [who for _, who in _work(pair)] == [(1,)] * 3 + [(2,)] * 3
    assert pair.length_ms == 20 * 60 * 1000


@pytest.mark.parametrize(
    ("work", "rest", "change", "length"),
    [(120, 120, 0, 1200), (60, 30, 0, 480), (60, 0, 0, 360), (60, 30, 45, 525)],
)
def test_windows_follow_one_another_without_a_gap(work: int, rest: int, change: int, length: int) -> None:
    pair = mirrored_pair(work_seconds=work, rest_seconds=rest, change_seconds=change)
    # Six windows of work, four rests within the members, one change between them.
    assert pair.length_ms == length * 1000 == (6 * work + 4 * rest + change) * 1000
    assert all(a.end_ms == b.start_ms for a, b in pairwise(pair.windows))
    assert _work(pair) == _work(mirrored_pair())


@pytest.mark.parametrize(("unit", "bar", "step", "plate"), [("lb", "45 lb", "1 lb", "0.5 lb"), ("kg", "20 kg", "1 kg", "0.5 kg")])
def test_the_bar_and_its_steps_are_in_the_unit_chosen(unit: str, bar: str, step: str, plate: str) -> None:
    pair = mirrored_pair("kg" if unit == "kg" else "lb")
    squat = pair.tasks["squat"]
    assert isinstance(squat, LiftTask)
    assert (squat.bar, squat.step, squat.least_plate) == (load(bar), load(step), load(plate))
    assert (squat.bar.unit, pair.unit, pair.scores[0].unit) == (unit, unit, unit)


def test_a_bar_of_the_other_unit_may_be_given() -> None:
    squat = mirrored_pair("lb", bar=load("15 kg"), step=load("2.5 lb")).tasks["squat"]
    assert isinstance(squat, LiftTask) and (squat.bar, squat.step) == (load("15 kg"), load("2.5 lb"))
