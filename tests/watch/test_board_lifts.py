"""Lifts on the board: what three judges have not all decided is not told before they have."""

import pytest

from app.rules.records.marks import parse_mark
from app.watch.board_lifts import lifts_views
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
