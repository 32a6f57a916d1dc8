"""An event's markings: usual sizes that can be changed and put back, sheets, and what the lane is told and tells."""

import html
import re

import pytest

from app.store.roster import read_roster
from tests.builders.halls import House, TestClient, a_mark, sent

PAGE = {"accept": "text/html"}
HERE = "/desk/events/evt_mirror/markings"


def page(desk: TestClient, path: str = HERE, status: int = 200) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == status
    return html.unescape(answer.text)


def fields(text: str) -> dict[str, str]:
    """The form as it stands on the page."""
    found = dict(re.findall(r'<input id="(\w+)" name="\w+" type="text" value="([^"]*)"', text))
    ticks = dict.fromkeys(re.findall(r'<input id="(\w+)" type="checkbox"[^>]*checked', text), "on")
    return {**found, **ticks, "unit": "in"}


def post(desk: TestClient, form: dict[str, str], status: int = 200) -> str:
    answer = desk.post(HERE, data=form, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def test_the_usual_sizes_are_shown_stored_changed_and_put_back(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    text = page(desk)
    assert "These are the usual sizes" in text and "Floor box 36 in × 24 in" in text
    assert "4 lanes side by side take 522 in (1325.9 cm) along the wall" in text
    text = post(desk, {**fields(text), "drop": "10 cm", "box_width": "1 m", "unit": "cm"})
    assert hall.projection.roster.markings["evt_mirror"].drop.text() == "10 cm"
    undo = re.search(r'<form class="notice row"[^>]*>(.*?)</form>', text, re.S)
    assert undo
    post(desk, dict(re.findall(r'name="([^"]*)" value="([^"]*)"', undo[1])))
    assert hall.projection.roster.markings["evt_mirror"].drop.text() == "3 in"


def test_saving_the_event_leaves_its_markings_alone(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    post(desk, {**fields(page(desk)), "drop": "4 in"})
    desk.post("/desk/divisions/div_open", data={"name": "Open"})
    before = hall.projection.roster.markings
    assert before["evt_mirror"].drop.text() == "4 in"
    assert hall.database.read(read_roster).markings == before


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [("drop", "three", "is not a length"), ("gap", "90 m", "at most 20 m"), ("unit", "ell", "The tape")],
)
def test_a_bad_size_gets_a_sentence_and_keeps_the_form(house: House, field: str, typed: str, words: str) -> None:
    desk = house.desk()
    text = post(desk, {**fields(page(desk)), field: typed}, 422)
    assert words in text and house.app.state.hall.projection.roster.markings == {}


def test_sheets_are_made_for_lanes_and_for_athletes(house: House) -> None:
    desk = house.desk()
    lanes, athletes = page(desk, f"{HERE}/sheets"), page(desk, f"{HERE}/sheets?per=athlete")
    assert lanes.count('class="marking-sheet"') == 12 and athletes.count('class="marking-sheet"') == 24
    assert "The venue's plan" in lanes and "The line is 3 in (7.6 cm) under the wrists." in lanes
    assert page(desk, "/desk/events/gone/markings/sheets", 404)


def test_the_lane_is_told_its_wall_lines_and_a_new_reach_makes_a_new_packet(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    before = tablet.get("/lane/packet").json()
    told = before["heats"][0]["assignment"]["markings"]
    assert (told["unit"], told["lines"], told["tasks"]) == ("in", [None, None], ["presses"])
    desk.post("/desk/checkin/ath_1a", data={"reach": "79 1/2 in"})
    after = tablet.get("/lane/packet").json()
    assert after["heats"][0]["assignment"]["markings"]["lines"][0] == {"mm": "19431/10", "text": "76 1/2 in (194.3 cm)"}
    assert after["version"] != before["version"]


def remeasure(desk: TestClient, seq: int, value: str, what: str = "line", member: int = 1, lane: int = 2) -> None:
    body = {"what": what, "value": value, "unit": "in", "member": member}
    mark = a_mark(seq, f"asg_1_{lane}/1/lane", kind="remeasure", win=None, at=0, body=body)
    assert desk.post("/marks", content=sent(mark), headers={"content-type": "application/json"}).status_code == 200


def test_a_line_that_differs_beyond_the_tolerance_needs_a_person_at_the_desk(house: House) -> None:
    desk = house.desk()
    desk.post("/desk/checkin/ath_2a", data={"reach": "80 in"})
    remeasure(desk, 1, "77.5")
    assert "wall line:" not in page(desk, "/desk/floor")
    remeasure(desk, 2, "77.6")
    assert "Cy Marlow's wall line: 77 5/8 in (197.1 cm) measured on the lane, 77 in (195.6 cm) by check-in." in page(
        desk, "/desk/floor"
    )
    remeasure(desk, 3, "77")
    assert "wall line:" not in page(desk, "/desk/floor")


def test_wrists_that_only_the_judge_measured_are_told_to_the_desk(house: House) -> None:
    desk = house.desk()
    remeasure(desk, 1, "80", what="reach", lane=1)
    assert "Ada Quill's wrists are at 80 in (203.2 cm), measured on the lane; none was taken at check-in." in page(
        desk, "/desk/floor"
    )


@pytest.mark.parametrize("value", ["-5", "1e3", "79.12345", "99999", ""])
def test_a_measurement_that_is_none_is_refused_at_the_door(house: House, value: str) -> None:
    desk = house.desk()
    mark = a_mark(1, kind="remeasure", win=None, body={"what": "line", "value": value, "unit": "in"})
    answer = desk.post("/marks", content=sent(mark), headers={"content-type": "application/json"})
    assert answer.status_code == 422 or "refused" in answer.text
    page(desk, "/desk/floor")
