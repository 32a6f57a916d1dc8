"""Classes: whom limits let in, and what must be asked first; nobody is guessed into a class."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.records.classes import Limits, Person, WeighIn, classes_between, open_in_class
from app.rules.values.units import Load

DAY = "2031-05-17"
KG = st.integers(370, 2000).map(lambda tenths: Load(f"{tenths / 10:.1f}", "kg"))
BOUNDS = st.lists(st.integers(45, 140), min_size=1, max_size=9, unique=True).map(sorted)


def a_person(load: Load, at: str = "08:30", **more: object) -> Person:
    return replace(Person("women", 41, load, WeighIn(load, DAY, at)), **more)  # type: ignore[arg-type]


@given(BOUNDS, KG)
def test_of_a_row_of_classes_exactly_one_lets_a_weighed_athlete_in(bounds: list[int], load: Load) -> None:
    row = classes_between("women", [Load(str(kg), "kg") for kg in bounds], above=True)
    fits = [n for n, one in enumerate(row) if not open_in_class(one, a_person(load), DAY)]
    assert fits == [sum(1 for kg in bounds if kg < load.kg)]


CLASS = Limits(sex="women", from_age=40, to_age=49, over=Load("64", "kg"), up_to=Load("71", "kg"), opens="08:00", closes="09:30")
GOOD = a_person(Load("70.2", "kg"))


def test_whoever_keeps_every_limit_is_not_asked() -> None:
    assert open_in_class(CLASS, GOOD, DAY) == ()
    assert open_in_class(CLASS, a_person(Load("71", "kg"), "09:30"), DAY) == (), "the bound and the last minute are in"
    assert open_in_class(CLASS, a_person(Load("156", "lb")), DAY) == (), "in pounds too"


@pytest.mark.parametrize(
    ("person", "sentences"),
    [
        (replace(GOOD, weighed=None), ["Not weighed in. The list says 70.2 kg."]),
        (replace(GOOD, weighed=None, bodyweight=None), ["Not weighed in."]),
        (a_person(Load("70.2", "kg"), "09:31"), ["Weighed in at 09:31, outside the window of 08:00 to 09:30."]),
        (
            replace(GOOD, weighed=WeighIn(Load("70.2", "kg"), "2031-05-16", "08:30")),
            ["Weighed in on 2031-05-16 at 08:30, outside the window of 08:00 to 09:30."],
        ),
        (replace(GOOD, bodyweight=Load("69", "kg")), ["Weighed in with 70.2 kg, and the list says 69 kg."]),
        (replace(GOOD, sex="", age=None), ["Women or men is not given.", "The age is not known."]),
        (replace(GOOD, sex="men"), ["The class is for women."]),
        (replace(GOOD, age=50), ["50 years; the class ends at 49."]),
        (replace(GOOD, age=39), ["39 years; the class begins at 40."]),
        (a_person(Load("64", "kg")), ["64 kg is not over 64 kg."]),
        (a_person(Load("71.05", "kg")), ["71.05 kg is over 71 kg."]),
    ],
)
def test_what_is_open_is_said(person: Person, sentences: list[str]) -> None:
    assert list(open_in_class(CLASS, person, DAY)) == sentences


def test_a_weigh_in_outside_the_window_counts_where_somebody_let_it() -> None:
    late = WeighIn(Load("70.2", "kg"), DAY, "09:45", "Kim")
    assert open_in_class(CLASS, replace(GOOD, weighed=late), DAY) == ()


def test_a_class_with_a_weigh_in_and_no_bodyweights_asks_for_it_too() -> None:
    timed = Limits(sex="women", opens="08:00", closes="09:30")
    assert open_in_class(timed, replace(GOOD, weighed=None), DAY) == ("Not weighed in. The list says 70.2 kg.",)
    assert open_in_class(timed, a_person(Load("70.2", "kg"), "12:00"), DAY)[0].startswith("Weighed in at 12:00, outside")
    assert open_in_class(timed, GOOD, DAY) == () and timed.words() == "women, weigh-in 08:00 to 09:30"


def test_a_class_of_one_age_is_not_said_to_reach_to_itself() -> None:
    assert Limits(from_age=40, to_age=40).words() == "40 years" and Limits(from_age=40, to_age=49).words() == "40 to 49 years"


@pytest.mark.parametrize(
    "wrong",
    [
        {"from_age": 50, "to_age": 40},
        {"over": Load("71", "kg"), "up_to": Load("71", "kg")},
        {"opens": "08:00"},
        {"opens": "09:30", "closes": "08:00"},
    ],
)
def test_limits_that_let_nobody_in_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        Limits(**wrong)  # type: ignore[arg-type]
