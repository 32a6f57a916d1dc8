"""Which loads a lane's plates make, exactly; the nearest ones where they don't."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.values.units import Load
from app.rules.workout.plate_sets import SetToBegin, offered
from app.rules.workout.plates import Kit, PlateSet, kit_of, lies_low, nearest, side_words, too_thick, total_of, ways
from tests.builders.cast import a_lift_task, load
from tests.builders.gym import a_kit, a_set, all_sides, every_way

WEIGHTS = {"kg": ("25", "20", "15", "10", "5", "2.5", "1.25", "0.5"), "lb": ("45", "35", "25", "10", "5", "2.5", "1", "0.5")}


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """Small kits of kilograms, pounds or both, with and without collars that count."""
    groups = []
    for unit in draw(st.sampled_from([("kg",), ("lb",), ("kg", "lb")])):
        chosen = draw(st.lists(st.sampled_from(WEIGHTS[unit]), min_size=1, max_size=3, unique=True))
        groups.append(" ".join(f"{draw(st.integers(1, 3))}x{weight}" for weight in chosen) + f" {unit}")
    bar = draw(st.sampled_from(["20 kg", "15 kg", "45 lb"]))
    return a_kit(",".join(groups), bar, draw(st.sampled_from(["", "5 kg"])))


@given(kits(), st.data())
def test_every_way_of_making_a_load_is_found_and_no_other(kit: Kit, data: st.DataObject) -> None:
    side = data.draw(st.sampled_from(list(all_sides(kit))))
    wanted = total_of(kit, side).load
    if wanted is not None:
        found = ways(kit, wanted)
        assert sorted(found) == sorted(every_way(kit, wanted))
        assert side in found


@given(kits(), st.integers(0, 4000))
def test_the_nearest_loads_are_those_that_weighing_every_side_finds(kit: Kit, quarters: int) -> None:
    wanted = Load(str(quarters / 4), kit.bar.unit)
    weights = {total_of(kit, side).kg for side in all_sides(kit)}
    below, above = nearest(kit, wanted)
    assert (below and below.kg) == max((kg for kg in weights if kg < wanted.kg), default=None)
    assert (above and above.kg) == min((kg for kg in weights if kg > wanted.kg), default=None)


def test_both_sides_carry_the_same_so_an_odd_pound_needs_half_pounds() -> None:
    assert ways(a_kit("3x35 2x10 1x5 1x2 lb", "33 lb"), load("176 lb")) == []
    kit = a_kit("3x35 2x10 1x5 1x2 1x1.5 lb", "33 lb")
    assert [side_words(kit, side) for side in ways(kit, load("176 lb"))] == ["2 × 35 + 1.5 lb"]


def test_a_third_plate_of_a_kind_stays_on_the_floor() -> None:
    plates = PlateSet.model_validate(a_set().model_dump() | {"plates": [{"weight": load("20 kg"), "count": 3}]})
    kit = kit_of(plates, a_lift_task())
    assert (kit.kinds[0].pairs, ways(kit, load("100 kg"))) == (1, [])


def test_nothing_lighter_than_the_events_least_plate_goes_on() -> None:
    kit = kit_of(a_set(), a_lift_task(least_plate=load("1.25 kg")))
    assert min(kind.weight for kind in kit.kinds) == load("1.25 kg")
    below, above = nearest(kit, load("101 kg"))
    assert below is not None and above is not None
    assert (below.load, above.load) == (load("100 kg"), load("102.5 kg"))


def test_the_bar_is_the_events_where_the_lane_has_it_and_else_the_lanes_first() -> None:
    assert kit_of(a_set(), a_lift_task(bar=load("15 kg"))).bar == load("15 kg")
    assert kit_of(a_set(), a_lift_task(bar=load("45 lb"))).bar == load("20 kg")


def test_collars_weigh_only_where_the_event_counts_them_and_then_what_the_lanes_own_weigh() -> None:
    discs = a_set("weightlifting")
    assert kit_of(discs, a_lift_task(collars=load("1 kg"), collars_counted=False)).collars is None
    assert kit_of(a_set(), a_lift_task()).collars is None
    assert kit_of(discs, a_lift_task(collars=load("1 kg"))).collars == load("5 kg")
    assert kit_of(a_set(), a_lift_task(collars=load("1 kg"))).collars == load("1 kg")


def test_a_bar_in_kilograms_with_pound_plates_never_weighs_a_round_number_of_pounds() -> None:
    kit = a_kit("2x45 1x10 1x5 1x2.5 1x1 lb", "20 kg")
    assert all(ways(kit, Load(str(pounds), "lb")) == [] for pounds in range(45, 300))
    below, above = nearest(kit, load("135 lb"))
    assert below is not None and above is not None
    # 20 kg + 90 lb = 60.8233133 kg; 20 kg + 92 lb = 61.73049804 kg; 1 lb = 0.45359237 kg
    assert (below.kg, above.kg) == (Fraction("60.8233133"), Fraction("61.73049804"))
    assert (below.text("lb"), below.text("kg"), below.load) == ("about 134.092 lb", "about 60.823 kg", None)


def test_mixed_plates_make_what_is_declared_in_either_unit_only_where_it_is_exact() -> None:
    kit = a_kit("1x20 1x10 kg, 1x25 1x5 lb", "20 kg")
    assert [side_words(kit, side) for side in ways(kit, load("60 kg"))] == ["20 kg"]
    assert side_words(kit, (0, 1, 3)) == "20 kg + 25 lb + 5 lb"
    assert total_of(kit, (0, 1, 3)).kg == 60 + 60 * Fraction("0.45359237")


@pytest.mark.parametrize("one", offered(), ids=lambda one: one.key)
def test_each_set_that_is_offered_makes_every_step_that_its_least_plate_allows(one: SetToBegin) -> None:
    plates = a_set(one.key)
    least = min(plate.weight for plate in plates.plates)
    kit = kit_of(plates, a_lift_task(bar=plates.bars[0], least_plate=least, collars_counted=False))
    step, bar = 2 * Fraction(least.amount), Fraction(plates.bars[0].amount)
    loads = [Load(f"{float(bar + step * n):.4f}", least.unit) for n in range(int(150 / step))]
    assert [load.text() for load in loads if not ways(kit, load, 1)] == []


def test_plates_thicker_than_the_sleeve_are_told() -> None:
    kit = a_kit("20x10 kg")
    assert [too_thick(kit, (0,) * count) for count in (13, 14)] == [0, 5]


def test_the_sleeve_is_that_of_the_bar() -> None:
    plates = a_set("weightlifting")
    assert [kit_of(plates, a_lift_task(bar=bar)).sleeve_mm for bar in plates.bars] == [415, 320]
    alike = PlateSet.model_validate(plates.model_dump() | {"sleeves_mm": ()})
    assert [kit_of(alike, a_lift_task(bar=bar)).sleeve_mm for bar in alike.bars] == [415, 415]


kinds = st.lists(
    st.tuples(st.integers(1, 12), st.integers(1, 3), st.integers(5, 60)), min_size=1, max_size=4, unique_by=lambda k: k[0]
)


@given(kinds, st.integers(20, 200), st.integers(0, 40))
def test_what_fits_on_the_sleeve_is_planned_and_what_does_not_only_where_nothing_fits(
    found: list[tuple[int, int, int]], sleeve: int, quarter: int
) -> None:
    plates = [
        {"weight": {"amount": str(weight), "unit": "kg"}, "count": 2 * pairs, "thick_mm": thick} for weight, pairs, thick in found
    ]
    whole = a_set().model_dump() | {"plates": plates, "sleeve_mm": sleeve, "bars": [load("20 kg")], "sleeves_mm": ()}
    task = a_lift_task(bar=load("20 kg"), least_plate=load("1 kg"), collars_counted=False)
    kit = kit_of(PlateSet.model_validate(whole), task)
    wanted = 20 + 2 * quarter
    # Every number of pairs of each kind, tried out.
    tried = [
        (sum(n * thick for n, (_, _, thick) in zip(counts, found, strict=True)), counts)
        for counts in product(*(range(pairs + 1) for _, pairs, _ in found))
        if 20 + 2 * sum(n * weight for n, (weight, _, _) in zip(counts, found, strict=True)) == wanted
    ]
    fitting = [counts for thick, counts in tried if thick <= sleeve] or [counts for _, counts in tried]
    heavy_first = sorted(range(len(found)), key=lambda n: -found[n][0])
    sides = {tuple(place for place, n in enumerate(heavy_first) for _ in range(counts[n])) for counts in fitting}
    assert set(ways(kit, Load(str(wanted), "kg"))) == sides


@pytest.mark.parametrize(("side", "low"), [((), 0), ((0,), 0), ((0, 4), 0), ((4,), 110), ((4, 5), 110), ((5,), 120)])
def test_a_bar_without_a_full_disc_lies_low(side: tuple[int, ...], low: int) -> None:
    kit = kit_of(a_set("weightlifting"), a_lift_task(bar=load("20 kg"), least_plate=load("0.5 kg")))
    assert lies_low(kit, side) == low


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"plates": [{"weight": load("0 kg"), "count": 2}]}, "more than nothing"),
        ({"plates": [{"weight": load("20 kg"), "count": 2}] * 2}, "one kind of plate twice"),
        ({"plates": [{"weight": load("0.0625 lb"), "count": 2}]}, "to the thousandth"),
        ({"plates": [{"weight": load("100 kg"), "count": 22}]}, "more than any bar carries"),
        ({"bars": [load("0 kg")]}, "weighs nothing"),
        ({"bars": [load("20 kg"), load("15 kg")], "sleeves_mm": [415]}, "of each of its bars, or of all alike"),
    ],
)
def test_a_set_that_could_not_be_is_refused_with_a_sentence(wrong: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValidationError, match=sentence):
        PlateSet.model_validate(a_set().model_dump() | wrong)
