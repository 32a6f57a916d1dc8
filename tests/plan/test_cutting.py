"""Heats made from standings: who goes on, on which lane, and that what is made is what was looked at."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.hall.forms import BadForm
from app.plan.cutting import cut_page, cut_typed, make_cut, plan_cut
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event
from app.store.roster import read_roster
from tests.builders.halls import House, a_house, sent
from tests.builders.meets import LONG, a_mark, a_meet, errands

TYPED = {
    "source": "overall",
    "division": "open",
    "most": "4",
    "event": "final",
    "lanes": "3",
    "order": "last",
    "seeding": "middle",
    "first": "16:00",
    "every": "20",
}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    file = a_meet(OverallRule(), chosen={"Cy Marlow": "scaled"})
    final = Event(id="final", name="Final", format=errands())
    with a_house(tmp_path, file=file.model_copy(update={"events": (*file.events, final)})) as opened:
        yield opened


def planned(house: House, **changes: str) -> list[tuple[int, str, list[str]]]:
    plan = plan_cut(house.app.state.hall, {**TYPED, **changes})
    return [(heat.number, heat.planned, [lane.entry for lane in heat.lanes]) for heat in plan.heats]


def refused(house: House, **changes: str) -> dict[str, str]:
    with pytest.raises(BadForm) as wrong:
        plan_cut(house.app.state.hall, {**TYPED, **changes})
    return {problem.field: problem.sentence for problem in wrong.value.problems}


def test_the_best_stand_in_the_last_heat_on_the_middle_lanes(house: House) -> None:
    assert planned(house) == [
        (1, "16:00", ["", "Cy Marlow", ""]),
        (2, "16:20", [LONG, "Bo Farrow", "Ada Quill"]),
    ]


def test_or_in_the_first_heat_from_lane_one(house: House) -> None:
    assert planned(house, order="first", seeding="one", first="", lanes="2") == [
        (1, "", ["Bo Farrow", LONG]),
        (2, "", ["Ada Quill", "Cy Marlow"]),
    ]


def test_who_share_the_last_place_all_go_on(house: House) -> None:
    plan = plan_cut(house.app.state.hall, {**TYPED, "source": "heavy/reps", "most": "1"})
    assert plan.words == "2 entries advance of 5, because the last place to advance is shared (you asked for 1)."
    lanes = plan.heats[0].lanes
    assert [(lane.entry, lane.place) for lane in lanes] == [("Cy Marlow", "=1"), ("Bo Farrow", "=1"), ("", "")]


def test_with_fewer_places_than_asked_for_all_who_have_one_go_on(house: House) -> None:
    plan = plan_cut(house.app.state.hall, {**TYPED, "division": "masters", "most": "9", "lanes": "8"})
    assert plan.words == "3 entries advance of 3: only so many have a place (you asked for 9)."


def test_a_standing_of_its_own_is_a_source_of_its_own(house: House) -> None:
    sources = {choice.value: choice.words for choice in cut_page(house.app.state.hall).sources}
    assert sources["swings/score/scaled"] == "Swings, Scaled" and sources["heavy/lift"] == "Heavy and quick: Deadlift"
    assert planned(house, source="swings/score/scaled") == [(1, "16:00", ["", "Cy Marlow", ""])]
    assert [entry for _, _, lanes in planned(house, source="swings/score") for entry in lanes] == ["Ada Quill", "Bo Farrow", LONG]


def test_heats_are_made_as_they_were_shown(house: House) -> None:
    plan = plan_cut(house.app.state.hall, TYPED)
    assert house.do(make_cut, {**TYPED, "stamp": plan.stamp}) == 2
    roster = house.app.state.hall.database.read(read_roster)
    heats = [heat for heat in roster.heats if heat.event == "final"]
    assert [(heat.number, heat.planned, [(lane.lane, lane.entry) for lane in heat.lanes]) for heat in heats] == [
        (1, "16:00", [(2, "ent_3")]),
        (2, "16:20", [(1, "ent_4"), (2, "ent_2"), (3, "ent_1")]),
    ]


@pytest.mark.parametrize("stamp", ["", "something else"])
def test_heats_that_were_not_looked_at_are_not_made(house: House, stamp: str) -> None:
    with pytest.raises(BadForm, match="not the heats that were shown"):
        house.do(make_cut, {**TYPED, "stamp": stamp})
    assert not any(heat.event == "final" for heat in house.app.state.hall.projection.roster.heats)


def test_nor_those_that_a_mark_has_changed_meanwhile(house: House) -> None:
    looked = plan_cut(house.app.state.hall, {**TYPED, "source": "heavy/reps", "most": "1"})
    more = [a_mark("asg_31/1/lane", 200 + n, "rep", 40_000 + 100 * n, 0) for n in range(9)]
    answer = house.desk().post("/marks", content=sent(*more), headers={"content-type": "application/json"})
    assert answer.json()["refused"] == []
    with pytest.raises(BadForm, match="changed meanwhile"):
        house.do(make_cut, {**TYPED, "source": "heavy/reps", "most": "1", "stamp": looked.stamp})
    assert planned(house, source="heavy/reps", most="1") == [(1, "16:00", ["", "Ada Quill", ""])]


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"source": "x"}, "source", "The standing is one of: overall, Swings"),
        ({"division": ""}, "division", "The division is not chosen"),
        ({"most": "0"}, "most", "How many advance is a whole number from 1 to 1000"),
        ({"most": ""}, "most", "How many advance is missing"),
        ({"event": ""}, "event", "The event to advance to is not chosen"),
        ({"event": "swings", "most": "1"}, "event", "Bo Farrow (heat 1) is already in a heat of this event"),
        ({"lanes": "61"}, "lanes", "The number of lanes is a whole number from 1 to 60"),
        ({"order": "x"}, "order", "The order of heats is one of"),
        ({"seeding": "x"}, "seeding", "The lanes is one of"),
        ({"first": "25:00"}, "first", "is a time of day such as 09:30"),
        ({"every": "-1"}, "every", "The minutes from heat to heat is a whole number"),
        ({"source": "final/score"}, "source", "Nobody has a place in Open, Final yet"),
    ],
)
def test_a_cut_that_will_not_do_is_told_why(house: House, changes: dict[str, str], field: str, sentence: str) -> None:
    assert sentence in refused(house, **changes)[field]


def test_the_form_begins_with_as_many_lanes_as_there_are(house: House) -> None:
    typed = cut_typed(house.app.state.hall)
    assert (typed["source"], typed["lanes"], typed["most"]) == ("overall", "8", "8")


def test_without_an_overall_rule_it_is_no_source(tmp_path: Path) -> None:
    with a_house(tmp_path, file=a_meet()) as plain:
        assert "overall" not in [choice.value for choice in cut_page(plain.app.state.hall).sources]
