"""An event's markings: sizes that are its own, asked for before a GO, sheets, and what the lane is told and tells."""

import html
import re
from pathlib import Path

import pytest

from app.compose.markings import EVERY_SIZE as SIZES
from app.rehearsal.turns import MARKINGS
from app.store.roster import read_roster
from app.web.spoken import COOKIE
from tests.builders.halls import SLATE_DAY, House, TestClient, a_house, a_mark, sent

PAGE = {"accept": "text/html"}
EVERY_SIZE = [size.name for size in SIZES]
HERE = "/desk/events/evt_turns/markings"


def page(desk: TestClient, path: str = HERE, status: int = 200) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == status
    return html.unescape(answer.text)


def fields(text: str) -> dict[str, str]:
    """The form as it stands on the page."""
    found = dict(re.findall(r'<input id="(\w+)" name="\w+" type="text" value="([^"]*)"', text))
    ticks = dict.fromkeys(re.findall(r'<input id="(\w+)" type="checkbox"[^>]*checked', text), "on")
    return {**found, **ticks, "unit": "cm"}


def post(desk: TestClient, form: dict[str, str], status: int = 200) -> str:
    answer = desk.post(HERE, data=form, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def test_sizes_are_shown_stored_changed_and_put_back(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    text = page(desk)
    assert "Floor box 80 cm × 55 cm" in text and "Missing" not in text
    # The bar's 260 cm with 40 to each side are a lane's 340; four lanes share the 40 between them: 4 x 300 + 40 = 1240.
    assert "4 lanes side by side take 1240 cm (488.2 in) along the wall" in text
    text = post(desk, {**fields(text), "drop": "10 cm", "box_width": "1 m"})
    assert hall.projection.roster.markings["evt_turns"].drop.text() == "10 cm"
    undo = re.search(r'<form class="notice row"[^>]*>(.*?)</form>', text, re.S)
    assert undo
    post(desk, dict(re.findall(r'name="([^"]*)" value="([^"]*)"', undo[1])))
    assert hall.projection.roster.markings["evt_turns"] == MARKINGS


def test_how_a_line_is_measured_is_the_events_and_told_on_brief_card_and_lane_in_the_language_of_each(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    usual = [
        "Shoes on, as in the event.",
        "until there are 2 readings",
        "differ by more than 2 cm",
        "the lower counts",
        "8 cm (3.1 in)",
    ]
    usual += ["its lower edge is the line", "A second person reads the tape too"]
    ways = ("/brief/evt_turns", "/desk/checkin/ath_1a")
    for path in ways:
        assert [step for step in usual if step not in page(desk, path)] == []
    form = {**fields(page(desk)), "how_shoes": "off", "how_faces": "room", "how_readings": "1", "how_edge": "upper"}
    del form["how_second"]
    post(desk, form)
    assert "The readings is a whole number from 1 to 5" in post(desk, {**form, "how_readings": "6"}, 422)
    for path in ways:
        told = page(desk, path)
        assert "Shoes off." in told and "back and heels against the wall" in told and "its upper edge" in told
        assert "readings" not in told and "A second person" not in told
    steps = [one["text"] for one in tablet.get("/lane/packet").json()["events"]["evt_turns"]["measuring"]]
    assert len(steps) == 6 and steps[0] == "Shoes off." and "8 cm (3.1 in) under that" in steps[-1]
    tablet.cookies.set(COOKIE, "de")
    german = tablet.get("/lane/packet").json()["events"]["evt_turns"]["measuring"]
    assert german[0]["text"] == "Schuhe aus." and "Die Oberkante des Bands ist die Linie." in german[-1]["text"]


def test_saving_the_event_leaves_its_markings_alone(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    post(desk, {**fields(page(desk)), "drop": "4 in"})
    desk.post("/desk/divisions/div_open", data={"name": "Open"})
    before = hall.projection.roster.markings
    assert before["evt_turns"].drop.text() == "4 in"
    assert hall.database.read(read_roster).markings == before


def test_what_an_event_asks_for_has_no_size_until_somebody_says_it_and_no_go_before(tmp_path: Path) -> None:
    with a_house(tmp_path, file=SLATE_DAY.model_copy(update={"markings": {}})) as house:
        desk = house.desk()
        text = page(desk)
        assert "From the wrists down to the line" in text and "Type the sizes that the event's rules give" in text
        assert re.search(r'<input id="wall" type="checkbox"[^>]* checked', text)
        assert [value for name, value in fields(text).items() if name in EVERY_SIZE] == [""] * len(EVERY_SIZE)
        lacks = "Turn about has a wall line, but these are missing: from the wrists down to the line;"
        for path in (HERE, "/desk", "/desk/floor"):
            assert lacks in page(desk, path), path
        assert "Still missing: from the wrists down to the line;" in page(desk, "/brief/evt_turns")
        assert "No line can be taped until then." in page(desk, f"{HERE}/sheets")
        told = house.tablet(1).get("/lane/packet").json()["heats"][0]["assignment"]["markings"]
        assert (told["drop_mm"], told["tolerance_mm"], told["lines"]) == (None, None, [None, None])
        refused = desk.post("/desk/heats/het_1/go", headers=PAGE)
        assert refused.status_code == 409 and lacks in html.unescape(refused.text)
        said = {"drop": "6 cm", "tolerance": "1 cm", "box_width": "90 cm", "box_depth": "0"}
        assert lacks not in post(desk, {**fields(text), **said})
        assert desk.post("/desk/heats/het_1/go", headers=PAGE).status_code == 303


def test_an_event_without_its_line_is_run_when_somebody_takes_the_line_off(tmp_path: Path) -> None:
    with a_house(tmp_path, file=SLATE_DAY.model_copy(update={"markings": {}})) as house:
        desk = house.desk()
        form = fields(page(desk))
        del form["wall"]
        post(desk, form)
        assert desk.post("/desk/heats/het_1/go", headers=PAGE).status_code == 303


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("drop", "three", "is not a length"),
        ("drop", "240 cm", "less than 120 cm (47.2 in) under the wrists"),
        ("gap", "90 m", "at most 20 m"),
        ("unit", "ell", "The tape"),
    ],
)
def test_a_bad_size_gets_a_sentence_and_keeps_the_form(house: House, field: str, typed: str, words: str) -> None:
    desk = house.desk()
    text = post(desk, {**fields(page(desk)), field: typed}, 422)
    assert words in text and house.app.state.hall.projection.roster.markings == {"evt_turns": MARKINGS}


def test_sheets_are_made_for_lanes_and_for_athletes(house: House) -> None:
    desk = house.desk()
    lanes, athletes = page(desk, f"{HERE}/sheets"), page(desk, f"{HERE}/sheets?per=athlete")
    assert lanes.count('class="marking-sheet"') == 12 and athletes.count('class="marking-sheet"') == 24
    assert "The venue's plan" in lanes and "The line is 8 cm (3.1 in) under the wrists." in lanes
    assert page(desk, "/desk/events/gone/markings/sheets", 404)


def test_the_lane_is_told_its_wall_lines_and_a_new_reach_makes_a_new_packet(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    before = tablet.get("/lane/packet").json()
    told = before["heats"][0]["assignment"]["markings"]
    assert (told["unit"], told["lines"], told["tasks"]) == ("cm", [None, None], ["handtaps"])
    desk.post("/desk/checkin/ath_1a", data={"reach": "201.5 cm"})
    after = tablet.get("/lane/packet").json()
    assert after["heats"][0]["assignment"]["markings"]["lines"][0] == {"mm": "1935", "text": "193.5 cm (76.2 in)"}
    assert after["version"] != before["version"]


def remeasure(desk: TestClient, seq: int, value: str, what: str = "line", member: int = 1, lane: int = 2) -> None:
    body = {"what": what, "value": value, "unit": "cm", "member": member}
    mark = a_mark(seq, f"asg_1_{lane}/1/lane", kind="remeasure", win=None, at=0, body=body)
    assert desk.post("/marks", content=sent(mark), headers={"content-type": "application/json"}).status_code == 200


def test_a_line_that_differs_beyond_the_tolerance_needs_a_person_at_the_desk(house: House) -> None:
    desk = house.desk()
    desk.post("/desk/checkin/ath_2a", data={"reach": "204 cm"})
    remeasure(desk, 1, "198")
    assert "wall line:" not in page(desk, "/desk/floor")
    remeasure(desk, 2, "198.1")
    assert "Cy Marlow's wall line: 198.1 cm (78 in) measured on the lane, 196 cm (77.2 in) by check-in." in page(
        desk, "/desk/floor"
    )
    remeasure(desk, 3, "196")
    assert "wall line:" not in page(desk, "/desk/floor")


def test_wrists_that_only_the_judge_measured_are_told_to_the_desk(house: House) -> None:
    desk = house.desk()
    remeasure(desk, 1, "203", what="reach", lane=1)
    assert "Ada Quill's wrists are at 203 cm (79.9 in), measured on the lane; none was taken at check-in." in page(
        desk, "/desk/floor"
    )


@pytest.mark.parametrize("value", ["-5", "1e3", "79.12345", "99999", ""])
def test_a_measurement_that_is_none_is_refused_at_the_door(house: House, value: str) -> None:
    desk = house.desk()
    mark = a_mark(1, kind="remeasure", win=None, body={"what": "line", "value": value, "unit": "in"})
    answer = desk.post("/marks", content=sent(mark), headers={"content-type": "application/json"})
    assert answer.status_code == 422 or "refused" in answer.text
    page(desk, "/desk/floor")
