"""Lifts on the board: what three judges have not all decided is not told before they have."""

from typing import Any

import pytest

from app.rules.count.tally import fold
from app.rules.records.marks import parse_mark
from app.watch.board_lifts import lifts_views
from tests.builders.cast import Sheet, a_format, a_lift_task, take
from tests.vectors.judge_scenes import THREE, Sheets, attempt, sheets, together


def _board(marks: Sheets) -> tuple[list[str], list[str], list[str]]:
    """The signs of the attempts, the lights, and what is read out."""
    tally = together(THREE, marks)
    assert tally is not None
    (view,) = lifts_views(THREE, tally, [parse_mark(mark) for mark in marks["lane"]], ("Ada", "Bo"))
    return (
        [one.sign for one in view.attempts],
        [light.kind for light in view.lights],
        [one.spoken for one in view.attempts],
    )


def test_no_attempt_is_left_once_the_last_bar_is_racked_where_it_may_be_tried_again_until_then() -> None:
    format, sheet = a_format(a_lift_task(attempts=1), take("best"), unit="kg"), Sheet()
    said = sheet.declare(1_000, "100 kg")
    missed = [sheet.lift(at, "100 kg", False, declared=said["id"]) for at in (5_000, 9_000)]
    racked = sheet.mark("racked", 12_000, 0, declared=said["id"])

    def spent(*marks: dict[str, Any]) -> bool:
        parsed = [parse_mark(mark) for mark in (said, *marks)]
        return lifts_views(format, fold(format, parsed), parsed, ("Ada",))[0].spent

    assert [spent(), spent(missed[0]), spent(*missed), spent(*missed, racked)] == [False, False, False, True]


@pytest.mark.parametrize(
    ("decisions", "racked", "sign", "lights"),
    [
        ({"lane": True}, False, "…", ["in", "open", "open"]),
        ({"lane": True, "second": False}, False, "…", ["in", "in", "open"]),
        ({"lane": True, "second": True}, False, "…", ["in", "in", "open"]),
        ({"lane": True, "second": True}, True, "✓", ["good", "good", "open"]),
        ({"lane": True, "second": False, "third": False}, False, "✗", ["good", "no", "no"]),
        ({"lane": True}, True, "✓", ["good", "open", "open"]),
    ],
)
def test_lights_are_shown_when_all_have_decided_or_nobody_else_is_waited_for(
    decisions: dict[str, bool], racked: bool, sign: str, lights: list[str]
) -> None:
    signs, kinds, spoken = _board(attempt(sheets(), 1_000, "100 kg", decisions, racked))
    assert (signs, kinds) == ([sign], lights)
    assert spoken[0].startswith("100 kg, ")
