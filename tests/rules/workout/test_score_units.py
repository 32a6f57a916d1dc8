"""The unit of a score is true: unlike things make points, and the unit stays on the parts."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given

from app.rules.result.scoring import score_words
from app.rules.workout.formats import CountTask, Format, MeasureTask, Part, Variant
from app.rules.workout.score_units import part_unit, score_unit
from tests.builders.any_format import formats
from tests.builders.cast import FORMATS, Sheet, a_format, a_lift_task, load, plain_load, scored, take

SWINGS = CountTask(movement="swing")
THROWN = MeasureTask(movement="swing", unit="m")


def unit_of(format: Format) -> str:
    return score_unit(format, format.scores[0])


@pytest.mark.parametrize(
    ("format", "unit"),
    [
        (FORMATS["pair"], "points"),
        (FORMATS["list"], "s"),
        (FORMATS["lift"], "kg"),
        (a_format(SWINGS, unit="lb"), "reps"),
        (a_format(SWINGS, take("sum", weight="2")), "points"),
        (a_format(THROWN, take("sum", weight="1/3"), windows=3, unit="m"), "m"),
        (a_format(THROWN, take("sum", weight="1/3", drop=1), windows=3, unit="m"), "points"),
        (a_format(THROWN, take("sum"), unit="ft"), "ft"),
        (a_format(THROWN, take("sum"), unit="s"), "m"),
        (a_format(THROWN, take("sum"), unit="points"), "points"),
        (a_format(a_lift_task(bar=load("35 lb")), take("best"), unit="kg"), "kg"),
    ],
)
def test_like_things_keep_their_unit_and_unlike_ones_are_points(format: Format, unit: str) -> None:
    assert unit_of(format) == unit


def test_where_variants_measure_in_different_units_all_are_points() -> None:
    calories = Variant(id="row", name="Rowed", tasks={"work": MeasureTask(movement="swing", unit="cal")})
    format = a_format(THROWN, unit="m")
    assert unit_of(format.model_copy(update={"variants": (calories,)})) == "points"


def test_seven_taps_are_seven_points_beside_a_lift_and_keep_their_own_unit(sheet: Sheet) -> None:
    pair = FORMATS["pair"]
    marks = [sheet.rep(1_000 * n, 0) for n in range(1, 8)]
    made = scored(pair, marks)
    assert score_words(made) == "7 points"
    assert [(part.value, part.unit) for part in made.parts] == [(7, "reps"), (0, "reps"), (0, "kg")]


def test_a_load_is_worth_as_many_points_in_whichever_unit_it_was_declared(sheet: Sheet) -> None:
    rule: dict[str, Any] = {"unit": "points"}
    format = a_format(a_lift_task(), take("best"), **rule)
    in_pounds = scored(format, [sheet.mark("lift", 1_000, load=plain_load("100 lb"), good=True)])
    assert in_pounds.value == 100 * Fraction("0.45359237") and score_words(in_pounds) == "45.359 points"


@given(formats())
def test_a_unit_is_the_scores_own_only_if_all_its_parts_have_it(format: Format) -> None:
    for rule in format.scores:
        units = {part_unit(format, rule, part) for part in rule.parts}
        made = {"points"} if rule.unit == "points" or len(units) > 1 else units
        assert {score_unit(format, rule)} == made
        parts = (*rule.parts, Part(take="sum", tasks=rule.parts[0].tasks, windows=rule.parts[0].windows, weight=Fraction(7, 3)))
        assert score_unit(format, rule.model_copy(update={"parts": parts})) == "points"


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()
