"""A lift explained: who decided it, what was really on the bar, and what the rule made of it."""

from app.rules.result.explain_windows import window_steps
from app.rules.workout.formats import Format
from app.rules.workout.misload import POWERLIFTING
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, parsed, plain_load, take, tallied
from tests.vectors.judge_scenes import THREE, attempt, sheets, together


def _told(format: Format, marks: list[Plain]) -> list[str]:
    steps = list(window_steps(format, {"lane": tallied(format, marks)}, {"lane": parsed(marks)}))
    return [line.text for line in steps[0].lines]


def _lifted(on_bar: str, good: bool) -> list[Plain]:
    sheet = Sheet()
    declared = sheet.declare(1_000, "100 kg")
    said = {"load": plain_load(on_bar), "by": "judge", "declared": declared["id"]}
    return [declared, sheet.lift(8_000, "100 kg", good, declared=declared["id"]), sheet.mark("loaded", 9_000, 0, **said)]


def test_a_load_recorded_down_is_told_with_what_was_declared_and_what_was_on_the_bar() -> None:
    format = a_format(a_lift_task(step=load("2.5 kg"), misload=POWERLIFTING), take("best"), unit="kg")
    told = _told(format, _lifted("103 kg", True))
    assert told[0] == (
        "102.5 kg (226 lb) at 0:08.0: good lift; 100 kg was declared and 103 kg was on the bar, recorded as 102.5 kg"
    )
    assert "Best good lift: 102.5 kg (226 lb)" in told


def test_a_try_that_is_void_says_that_it_may_be_lifted_again() -> None:
    format = a_format(a_lift_task(misload=POWERLIFTING), take("best"), unit="kg")
    told = _told(format, _lifted("98 kg", False))
    assert told[0].endswith("the bar was loaded wrong (98 kg), so the declared 100 kg may be lifted again")
    assert not any(line.startswith("Best good lift") for line in told)


def test_the_judges_decisions_are_told_one_by_one() -> None:
    marks = attempt(sheets(), 1_000, "100 kg", {"lane": True, "second": False, "third": False})
    tally = together(THREE, marks)
    assert tally is not None
    steps = list(window_steps(THREE, {"lane": tally}, {"lane": parsed(marks["lane"])}))
    assert steps[0].lines[0].text.endswith("no lift, no fault named (judges: good, no, no)")
