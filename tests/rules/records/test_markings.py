"""Markings: the wall line under the wrists, spaces that never overlap, what a judge measured again."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rehearsal.turns import turn_about
from app.rules.records.markings import (
    SIZES,
    Markings,
    asked_markings,
    differ,
    footprint,
    hall_width,
    line_text,
    measured_again,
    odd_height,
    odd_reach,
    unsaid,
    wall_line,
    wall_tasks,
)
from app.rules.records.marks import parse_mark
from app.rules.values.lengths import Length
from app.rules.workout.presets import PRESETS
from tests.builders.cast import FORMATS

SIZE = st.integers(0, 5000).map(lambda mm: Length(str(mm), "mm"))


def test_the_wall_line_is_the_events_drop_under_the_wrists_whatever_the_tape() -> None:
    markings = Markings(unit="in", wall=True, drop=Length("11.5", "cm"))
    assert wall_line(Length("203", "cm"), Length("11.5", "cm")) == Fraction(1915)
    assert wall_line(Length("80", "in"), Length("11.5", "cm")) == Fraction(1917)
    # 1917 mm are 75.47 inches: to the nearest eighth 75 1/2.
    assert line_text(markings, Length("80", "in")) == "75 1/2 in (191.7 cm)"
    assert line_text(Markings(wall=True), Length("80", "in")) is None


def test_no_size_is_usual_and_what_is_marked_asks_for_its_own() -> None:
    fields = Markings.model_fields
    told = [size for sizes in SIZES.values() for size in sizes]
    assert {size.name for size in told} == set(fields) - {"unit", "wall", "rope", "bar", "measuring"}
    assert all(fields[size.name].default is None and size.label and size.hint for size in told)
    assert unsaid(Markings()) == ()
    wall = Markings(wall=True, rope=True, drop=Length("9", "cm"))
    assert [size.name for size in unsaid(wall, only_needed=True)] == ["tolerance", "box_width", "box_depth"]
    assert [size.name for size in unsaid(wall)][-2:] == ["rope_width", "rope_depth"]
    assert footprint(wall).spaces == ()


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
    gap = Length("35", "cm")
    markings = Markings(bar=True, bar_width=Length("2.4", "m"), bar_depth=Length("2", "m"), gap=gap)
    one = footprint(markings).width
    assert hall_width(markings, 1) == one == 2400 + 2 * 350
    assert hall_width(markings, 4) == 4 * one - 3 * gap.mm
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
    pair = asked_markings(turn_about())
    assert pair is not None and (pair.wall, pair.rope, pair.bar, pair.unit) == (True, False, True, "cm")
    assert wall_tasks(turn_about()) == ("handtaps",)
    ropes = asked_markings(PRESETS["most_reps"].make({"movement": "Rope climbs", "unit": "lb"}))
    assert ropes is not None and (ropes.wall, ropes.rope, ropes.bar, ropes.unit) == (False, True, False, "in")
    assert [key for key, format in FORMATS.items() if asked_markings(format)] == ["pair"]


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("HSPU", (True, False)),
        ("DUs", (False, True)),
        ("handstand walk", None),  # it goes along the floor, not up a wall
        ("underhand tosses in a handstand", (True, True)),  # nobody has described it: its name is all there is
        ("pull-ups", None),
    ],
)
def test_what_is_marked_does_not_hang_on_how_a_movement_is_spelled(name: str, asked: tuple[bool, bool] | None) -> None:
    found = asked_markings(PRESETS["most_reps"].make({"movement": name}))
    assert (found and (found.wall, found.rope)) == asked


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
