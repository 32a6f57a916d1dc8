"""A pair in the mirrored order, added up by hand: common practice, no single source."""

from fractions import Fraction
from typing import Any

import pytest

from app.rules.workout.formats import Format
from app.rules.workout.presets import mirrored_pair
from tests.builders.cast import Plain, Sheet, scored, tallied

# (A) presses, skips, squat; (B) squat, skips, presses. With squats of 350 and 250 lb both totals that are handed down with it
# hold: 410 repetitions + 600 lb = 1010, and 410 + 600 lb in kilograms = 682.1554.
A, B = (40, 160, "350 lb"), ("250 lb", 175, 35)


def _sheet() -> list[Plain]:
    sheet = Sheet()
    marks = _reps(sheet, 0, A[0]) + _reps(sheet, 240_000, A[1]) + _lift(sheet, 480_000, A[2])
    return marks + _lift(sheet, 600_000, B[0]) + _reps(sheet, 840_000, B[1]) + _reps(sheet, 1_080_000, B[2])


def _reps(sheet: Sheet, start: int, count: int) -> list[Plain]:
    return [sheet.rep(start + 600 * i) for i in range(count)]


def _lift(sheet: Sheet, start: int, load: str) -> list[Plain]:
    declared = sheet.declare(start + 5_000, load)
    return [declared, sheet.lift(start + 40_000, load, True, declared=declared["id"])]


def _in(unit: str, **rule: Any) -> Format:
    plain = mirrored_pair("lb").model_dump(mode="json")
    plain["scores"][0] |= {"unit": unit, **rule}
    return Format.model_validate(plain)


def test_the_sheet_is_clean() -> None:
    tally = tallied(_in("lb"), _sheet())
    assert tally.flags == ()
    assert [w.credited for w in tally.windows] == [40, 0, 160, 0, 0, 0, 0, 175, 0, 35]


def test_the_total_is_repetitions_and_pounds() -> None:
    made = scored(_in("lb"), _sheet())
    assert [part.value for part in made.parts] == [75, 335, 600]
    assert (made.value, made.text) == (1010, "1010")


def test_the_same_marks_in_kilograms_are_another_score_so_the_unit_is_part_of_the_rule() -> None:
    made = scored(_in("kg"), _sheet())
    assert made.value == 410 + 600 * Fraction("0.45359237")
    assert round(float(made.value), 4) == 682.1554


@pytest.mark.parametrize(("rounding", "text"), [("down", "682"), ("nearest", "682"), ("none", "682.155")])
def test_the_rounding_is_part_of_the_rule_too(rounding: str, text: str) -> None:
    assert scored(_in("kg", rounding=rounding), _sheet()).text == text
