"""Openers: entered by lifter or for a whole event, asked about once, kept in the file, told to the lanes."""

import html
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.hall.forms import BadForm
from app.people.entering import remove_entry, save_entry
from app.people.openers import lifters_of, planned_texts
from app.people.openers_page import save_openers
from app.results.competition_file import make_file, read_file, write_file
from app.rules.values.units import Load
from app.rules.workout.openers import Opener
from app.store.refusals import NotThere
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet

PAGE = {"accept": "text/html"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path) as opened:
        yield opened


def call(house: House, what: Any, *args: Any, **named: Any) -> Any:
    assert house.inside.portal is not None
    return house.inside.portal.call(partial(what, house.app.state.hall, *args, **named))


def enter(house: House, text: str, then: str = "", *, sure: bool = False, who: str = "ent_1-1") -> Opener | None:
    """Types one lifter's opener and the plan after it, `sure` as one who was asked about it. Answers what is stored then."""
    fields = {f"load-squat-{who}": text, f"then-squat-{who}": then}
    asked = {f"asked-{field}": typed for field, typed in fields.items()} if sure else {}
    call(house, save_openers, "evt_turns", fields | asked)
    return next((one for one in stored(house) if f"{one.entry}-{one.member}" == who), None)


def stored(house: House) -> tuple[Opener, ...]:
    found: tuple[Opener, ...] = house.app.state.hall.projection.roster.openers
    return found


def test_who_lifts_is_each_member_with_a_window_of_the_lift(house: House) -> None:
    roster = house.app.state.hall.projection.roster
    lifters = [(one.entry.id, one.member, one.task) for one in lifters_of(roster, roster.events[0])]
    assert lifters[:3] == [("ent_1", 1, "squat"), ("ent_1", 2, "squat"), ("ent_2", 1, "squat")]
    assert len(lifters) == 24


def test_an_opener_is_stored_replaced_and_forgotten_and_its_lane_is_told(house: House) -> None:
    lane = house.tablet(1)
    made = enter(house, "85", "95 100,5", sure=True, who="ent_1-2")
    assert made is not None and made.loads == (Load("85", "kg"), Load("95", "kg"), Load("100.5", "kg"))
    openers = lane.get("/lane/packet").json()["heats"][0]["assignment"]["openers"]
    assert [(one["member"], one["loads"][0]) for one in openers] == [(2, {"amount": "85", "unit": "kg"})]
    enter(house, "90", "95 100,5", sure=True, who="ent_1-2")
    assert [one.loads for one in stored(house)] == [(Load("90", "kg"), Load("95", "kg"), Load("100.5", "kg"))]
    assert enter(house, "", who="ent_1-2") is None
    assert stored(house) == ()


@pytest.mark.parametrize(
    ("text", "then", "field", "sentence"),
    [
        ("1O5", "", "load", "type 105"),
        ("-5", "", "load", "has no sign"),
        ("1e3", "", "load", "without the e"),
        ("2,000", "", "load", "could mean two loads"),
        ("15", "", "load", "The bar alone weighs 20 kg (44.1 lb)"),
        ("2000", "", "load", "more than anybody lifts"),
        ("", "92", "load", "a plan but no opener"),
        ("85", "heavy", "then", "is not a load"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(house: House, text: str, then: str, field: str, sentence: str) -> None:
    with pytest.raises(BadForm) as wrong:
        enter(house, text, then, sure=True)
    assert wrong.value.problems[0].field == f"{field}-squat-ent_1-1"
    assert sentence in wrong.value.problems[0].sentence
    assert stored(house) == ()


def test_what_may_be_a_slip_is_refused_once_and_taken_when_sure(house: House) -> None:
    with pytest.raises(BadForm, match=r"The nearest: 85 kg \(187.4 lb\) or 86 kg \(189.6 lb\). Save again"):
        enter(house, "85.5")
    made = enter(house, "85.5", sure=True)
    assert made is not None and made.load == Load("85.5", "kg")


def test_only_a_member_who_lifts_has_one(house: House) -> None:
    for nobody in ("ent_1-3", "ent_x-1"):
        assert enter(house, "85", who=nobody) is None
    with pytest.raises(NotThere):
        call(house, save_openers, "evt_x", {"load-squat-ent_1-1": "85"})
    assert stored(house) == ()


def test_a_plan_is_read_as_people_write_one() -> None:
    assert planned_texts("105 110; 112,5/115 kg,  120kg ") == ["105", "110", "112,5", "115 kg", "120kg"]


def test_openers_go_into_the_competition_file_and_back(house: House) -> None:
    enter(house, "85", "92", who="ent_3-1")
    projection = house.app.state.hall.projection
    file = read_file(write_file(make_file(projection.roster, projection.runs, projection.rulings, house.marks(), 0)))
    assert file.openers == stored(house) and len(file.openers) == 1


def test_an_entry_put_back_under_its_id_finds_its_openers(tmp_path: Path) -> None:
    meet = a_meet(events=0).model_copy(update={"heats": (), "runs": ()})
    with a_house(tmp_path, file=meet) as house:
        call(house, save_openers, "heavy", {"load-pulls-ent_1-1": "100"})
        call(house, remove_entry, "ent_1")
        assert stored(house) == ()
        call(house, save_entry, {"name": "Ada Quill", "division": "open", "member-0-name": "Ada Quill"}, "ent_1")
        assert [opener.load.text() for opener in stored(house)] == ["100 kg"]


def test_the_page_takes_a_whole_event_or_nothing_and_keeps_what_was_typed(house: House) -> None:
    desk = house.desk()
    path = "/desk/events/evt_turns/openers"
    empty = html.unescape(desk.get(path, headers=PAGE).text)
    assert "24 still have no opener" in empty and "heat 1, lane 1" in empty
    one, two = "load-squat-ent_1-1", "load-squat-ent_1-2"
    refused = desk.post(path, data={one: "85", two: "1O5", "then-squat-ent_1-1": "95"}, headers=PAGE)
    assert refused.status_code == 422 and stored(house) == ()
    assert 'value="85"' in refused.text and 'value="1O5"' in refused.text and f'href="#{two}"' in refused.text
    assert desk.post(path, data={one: "85", two: "70"}, headers=PAGE).headers["location"] == f"{path}"
    assert "85 kg (187.4 lb)" in desk.get(path, headers=PAGE).text
    assert [opener.load.text() for opener in stored(house)] == ["85 kg", "70 kg"]


def test_the_page_asks_once_about_a_slip(house: House) -> None:
    desk = house.desk()
    path, field = "/desk/events/evt_turns/openers", "load-squat-ent_1-1"
    asked = desk.post(path, data={field: "85.5"}, headers=PAGE)
    assert asked.status_code == 422 and f'name="asked-{field}" value="85.5"' in asked.text
    assert desk.post(path, data={field: "86.5", f"asked-{field}": "85.5"}, headers=PAGE).status_code == 422, "another slip"
    assert desk.post(path, data={field: "85.5", f"asked-{field}": "85.5"}, headers=PAGE).status_code == 303
    assert [opener.load.text() for opener in stored(house)] == ["85.5 kg"]


def test_replaced_openers_can_be_put_back(house: House) -> None:
    desk = house.desk()
    path, field = "/desk/events/evt_turns/openers", "load-squat-ent_1-1"
    desk.post(path, data={field: "85"}, headers=PAGE)
    page = desk.post(path, data={field: ""}, headers=PAGE)
    assert stored(house) == () and "1 opener has changed." in page.text
    assert f'<input type="hidden" name="{field}" value="85">' in page.text, "the form that puts it back"


def test_openers_are_the_desk_s(house: House) -> None:
    assert house.browser().get("/desk/events/evt_turns/openers").status_code == 401
    assert house.desk().get("/desk/events/nothing/openers", headers=PAGE).status_code == 404
