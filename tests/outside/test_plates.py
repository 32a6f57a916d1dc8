"""Plates against published weights, colours and loadings."""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.rules.values.units import Load
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import PlateSet, kit_of, side_words, total_of, ways
from tests.builders.cast import a_lift_task, load
from tests.outside.pint_units import units_in


def a_set(key: str) -> PlateSet:
    """A set that is offered."""
    found = set_to_begin(key, "set_1")
    assert found is not None
    return found


def discs(key: str) -> dict[str, str | None]:
    """The colours of a set's discs, by weight in kilograms."""
    return {plate.weight.amount: plate.colour for plate in a_set(key).plates}


def test_discs_of_weightlifting_weigh_and_look_as_its_rules_say() -> None:
    # IWF Technical and Competition Rules & Regulations 2020, 3.3; the same table in NBC Olympics, "Weightlifting 101:
    # Equipment" (nbcolympics.com).
    published = {"25": "red", "20": "blue", "15": "yellow", "10": "green", "5": "white"}
    published |= {"2.5": "red", "2": "blue", "1.5": "yellow", "1": "green", "0.5": "white"}
    assert discs("weightlifting") == published


def test_the_bars_and_collars_of_weightlifting_weigh_what_its_rules_say() -> None:
    # IWF TCRR 2020, 3.3: men's bar 20 kg, women's bar 15 kg, each collar 2.5 kg; discs of 10 kg and more are 450 mm across. The
    # sleeves of 415 and 320 mm by a maker's page on the same rules (gymfitnessequipments.com).
    plates = a_set("weightlifting")
    assert (plates.bars, plates.collars) == ((load("20 kg"), load("15 kg")), load("5 kg"))
    assert plates.sleeves_mm == (415, 320)
    assert {plate.across_mm for plate in plates.plates if plate.weight >= load("10 kg")} == {450}


def test_discs_of_powerlifting_weigh_and_look_as_its_rules_say() -> None:
    # IPF Technical Rules Book, "Equipment and Specifications", Discs: 1.25 to 25 kg, lighter ones for records; 25 red, 20 blue,
    # 15 yellow, 10 and less any colour; none thicker than 60 mm from 20 kg, 30 mm up to 15 kg. From memory, the thicknesses also
    # in the Ukrainian rendering at ukrbukva.net (20 kg and more: 6 cm).
    colours = discs("powerlifting")
    assert {weight: colours[weight] for weight in ("25", "20", "15")} == {"25": "red", "20": "blue", "15": "yellow"}
    assert {"10", "5", "2.5", "1.25", "0.5", "0.25"} == {weight for weight, colour in colours.items() if colour is None}
    for plate in a_set("powerlifting").plates:
        assert plate.thick_mm <= (60 if plate.weight >= load("20 kg") else 30) and plate.across_mm <= 450


@pytest.mark.parametrize(
    ("collars", "a_side", "plates"), [(True, "38.75", "25 + 10 + 2.5 + 1.25 kg"), (False, "41.25", "25 + 15 + 1.25 kg")]
)
def test_a_side_of_102_and_a_half_kilograms(collars: bool, a_side: str, plates: str) -> None:
    # Arithmetic on the published weights: (102.5 - 20 - 5) / 2 = 38.75 with the collars, (102.5 - 20) / 2 = 41.25 without.
    task = a_lift_task(collars_counted=collars, least_plate=load("1.25 kg"))
    kit = kit_of(a_set("powerlifting"), task)
    side = ways(kit, load("102.5 kg"))[0]
    assert sum((kit.kinds[kind].weight.kg for kind in side), Fraction(0)) == Fraction(a_side)
    assert side_words(kit, side) == plates


def test_discs_of_weightlifting_make_every_whole_kilogram_and_no_half() -> None:
    # IWF TCRR 2020 (from memory): the weight of the barbell is a multiple of 1 kg; the lightest disc is 0.5 kg.
    kit = kit_of(a_set("weightlifting"), a_lift_task())
    assert all(ways(kit, load(f"{kilograms} kg"), 1) for kilograms in range(25, 250))
    assert not any(ways(kit, load(f"{kilograms}.5 kg"), 1) for kilograms in range(25, 250))


def test_the_published_example_of_a_loaded_bar() -> None:
    # T. Dziepak, "How much is that lifter attempting?" (1997): on a 20 kg bar with collars of 5 kg together, one 25, one 15 and
    # one 2.5 on each side make 110 kg; 25s go on until less than 50 kg is left to add, and stand innermost.
    kit = kit_of(a_set("powerlifting"), a_lift_task(least_plate=load("1.25 kg")))
    assert side_words(kit, ways(kit, load("110 kg"))[0]) == "25 + 15 + 2.5 kg"
    for kilograms in range(75, 330, 5):
        side = ways(kit, load(f"{kilograms} kg"))[0]
        rest = Fraction(kilograms - 25) - 50 * sum(kit.kinds[kind].weight == load("25 kg") for kind in side)
        assert rest < 50 and list(side) == sorted(side)


@pytest.mark.parametrize("side", ["45", "45 45 10", "45 25 5 2.5"])
def test_a_bar_of_pounds_weighs_in_kilograms_what_pint_says(side: str) -> None:
    kit = kit_of(a_set("gym-lb"), a_lift_task(bar=load("35 lb"), least_plate=load("2.5 lb")))
    by_weight = {kind.weight: number for number, kind in enumerate(kit.kinds)}
    pounds = 35 + 2 * sum(Decimal(weight) for weight in side.split())
    found = total_of(kit, [by_weight[Load(weight, "lb")] for weight in side.split()])
    told = units_in(Decimal).Quantity(pounds, "pound").to("kilogram").magnitude
    assert found.kg == Fraction(told) and found.in_unit("lb") == Fraction(pounds)


def test_a_pound_bar_with_kilogram_plates_weighs_what_pint_says() -> None:
    plates = a_set("gym-kg").model_copy(update={"bars": (load("45 lb"),)})
    kit = kit_of(plates, a_lift_task(bar=load("45 lb")))
    told = units_in(Decimal).Quantity(Decimal(45), "pound").to("kilogram").magnitude + 50
    assert total_of(kit, [0]).kg == Fraction(told)
