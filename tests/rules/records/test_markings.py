"""Markings: the wall line under the wrists, spaces that never overlap, what a judge measured again."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.markings import (
    Markings,
    differ,
    footprint,
    hall_width,
    line_text,
    measured_again,
    odd_height,
    odd_reach,
    usual_markings,
    wall_line,
    wall_tasks,
)
from app.rules.records.marks import parse_mark
from app.rules.values.lengths import Length
from app.rules.workout.presets import mirrored_pair
from tests.builders.cast import FORMATS

SIZE = st.integers(0, 5000).map(lambda mm: Length(str(mm), "mm"))


def test_the_wall_line_is_three_inches_under_the_wrists_whatever_the_tape() -> None:
    markings = Markings()
    assert wall_line(Length("82.375", "in"), markings.drop) == Length("79.375", "in").mm
    assert wall_line(Length("203", "cm"), markings.drop) == Fraction("1953.8")
    assert line_text(markings, Length("82.375", "in")) == "79 3/8 in (201.6 cm)"


@given(*[SIZE] * 7, st.booleans(), st.booleans(), st.booleans())
def test_spaces_lie_within_the_lane_and_never_on_one_another(
    bw: Length, bd: Length, rw: Length, rd: Length, lw: Length, ld: Length, gap: Length, wall: bool, rope: bool, bar: bool
) -> None:
    sizes = {"box_width": bw, "box_depth": bd, "rope_width": rw, "rope_depth": rd, "bar_width": lw, "bar_depth": ld, "gap": gap}
    foot = footprint(Markings.model_validate({**sizes, "wall": wall, "rope": rope, "bar": bar}))
    end = Fraction(0)
    for space in foot.spaces:
        assert space.x >= gap.mm and space.x + space.width + gap.mm <= foot.width
        assert space.y >= end
        end = space.y + space.depth
        assert end + gap.mm <= foot.depth


def test_lanes_side_by_side_share_the_gap_between_them() -> None:
    markings = Markings()
    one = footprint(markings).width
    assert hall_width(markings, 1) == one
    assert hall_width(markings, 4) == 4 * one - 3 * markings.gap.mm
    assert hall_width(markings, 0) == 0


@pytest.mark.parametrize(
    ("one", "other", "apart"), [("2000", "2012.7", False), ("2000", "2012.8", True), ("2012.8", "2000", True)]
)
def test_at_the_tolerance_two_measurements_agree(one: str, other: str, apart: bool) -> None:
    assert differ(Fraction(one), Fraction(other), Length("0.5", "in").mm) is apart


def test_a_reach_is_asked_about_when_it_can_hardly_belong_to_the_height() -> None:
    height = Length("178", "cm")
    assert odd_reach(Length("203", "cm"), height) == ""
    assert "between 185 and 221 cm" in odd_reach(Length("178", "cm"), height)  # the height, typed into the wrong field
    assert (
        odd_reach(Length("240", "cm"), height)
        and odd_reach(Length("130", "cm"), None)
        and not odd_reach(Length("240", "cm"), None)
    )
    assert odd_height(height) == "" and odd_height(Length("50", "in"))


def test_an_event_is_marked_as_its_movements_ask() -> None:
    pair = usual_markings(mirrored_pair())
    assert pair is not None and (pair.wall, pair.rope, pair.bar, pair.unit) == (True, True, True, "in")
    assert wall_tasks(mirrored_pair()) == ("presses",)
    plain = [key for key, format in FORMATS.items() if usual_markings(format) is None]
    assert plain  # an event with neither wall nor rope is marked with nothing


def again(seq: int, kind: str = "remeasure", **body: object) -> object:
    mark = {
        "id": f"{seq:032x}",
        "sheet": "asg/1/lane",
        "device": "tab",
        "epoch": 1,
        "seq": seq,
        "kind": kind,
        "at": 0,
        "err": 0,
        "win": None,
    }
    return parse_mark({**mark, "body": body})


def test_the_newest_measurement_that_was_not_struck_stands() -> None:
    marks = [
        again(1, what="line", value="79", unit="in", member=1),
        again(2, what="line", value="81", unit="in", member=1),
        again(3, what="line", value="200", unit="cm", member=2),
        again(4, "strike", mark=f"{2:032x}"),
    ]
    for order in (marks, marks[::-1]):
        assert measured_again(order) == {(1, "line"): Length("79", "in"), (2, "line"): Length("200", "cm")}  # type: ignore[arg-type]
