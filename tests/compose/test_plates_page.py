"""The desk's pages of plates and what a lane is told of them; who may say what is on a bar."""

import html
import re
from typing import Any

from tests.builders.halls import House, TestClient, a_mark, sent

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
YARD = "/desk/plates/pls_yard"


def post(desk: TestClient, path: str, status: int, typed: dict[str, str]) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return answer.text


def page(desk: TestClient, path: str) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == 200
    return answer.text


def form_of(text: str) -> dict[str, str]:
    """The set's form as a browser would send it back."""
    form = re.search(rf'<form class="stack" method="post" action="{YARD}">(.*?)</form>', text, re.S)
    assert form
    fields = dict(re.findall(r'<input[^>]* name="([^"]*)"[^>]* value="([^"]*)"', form[1]))
    for name, options in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', form[1], re.S):
        fields[name] = "".join(re.findall(r'value="([^"]*)" selected', options))
    return {name: html.unescape(value) for name, value in fields.items()}


def sets(house: House) -> dict[str, Any]:
    roster = house.app.state.hall.projection.roster
    return {one.name: one for one in roster.plate_sets}


def lanes(house: House) -> dict[int, str]:
    return {one.lane: one.plates for one in house.app.state.hall.projection.roster.lane_plates}


def test_a_set_is_begun_from_one_that_is_offered_and_given_to_a_lane(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/plates", 303, {"from": "weightlifting", "name": "Far corner"})
    made = sets(house)["Far corner"]
    assert [plate.colour for plate in made.plates][:3] == ["red", "blue", "yellow"]
    post(desk, "/desk/plates/lanes", 200, {"lane-1": "pls_yard", "lane-2": made.id, "lane-3": "", "lane-4": "pls_yard"})
    assert lanes(house) == {1: "pls_yard", 2: made.id, 4: "pls_yard"}
    packet = house.tablet(2).get("/lane/packet").json()
    assert packet["plates"]["name"] == "Far corner" and packet["plates"]["plates"][0]["weight"] == {"amount": "25", "unit": "kg"}
    assert house.tablet(3).get("/lane/packet").json()["plates"] is None
    post(desk, "/desk/plates/lanes", 303, {"all": made.id, **{f"lane-{lane}": "" for lane in range(1, 5)}})
    assert set(lanes(house).values()) == {made.id} and len(lanes(house)) == 4


def test_a_stored_form_changes_nothing(house: House) -> None:
    desk, before = house.desk(), sets(house)
    post(desk, YARD, 303, form_of(page(desk, YARD)))
    assert sets(house) == before


def test_a_row_more_a_row_less_and_the_heaviest_comes_first(house: House) -> None:
    desk = house.desk()
    form = form_of(page(desk, YARD)) | {"plate-1-weight": "", "order": "any"}
    form |= {"bar-0": "20 kg", "bar-1": "15 kg", "bar-2": "", "sleeve": "415, 320"}
    form |= {
        "plate-9-weight": "100",
        "plate-9-count": "2",
        "plate-9-across": "450",
        "plate-9-thick": "70.5",
        "plate-9-colour": "",
    }
    post(desk, YARD, 303, form)
    kept = sets(house)["Yard plates"]
    assert [plate.weight.text() for plate in kept.plates][:3] == ["100 kg", "25 kg", "15 kg"]
    assert (kept.sleeve_mm, kept.sleeves_mm, form_of(page(desk, YARD))["sleeve"]) == (415, (415, 320), "415, 320")
    assert (kept.heavy_inside, float(kept.plates[0].thick_mm)) == (False, 70.5)


BAD = (
    ("plate-0-weight", "1O5", "is not a load"),
    ("plate-0-weight", "-5", "is not a load"),
    ("plate-0-count", "2.5", "Plate 1's pieces is a whole number from 1 to 40"),
    ("plate-0-count", "", "Plate 1's pieces is missing"),
    ("plate-0-thick", "0", "more than 0 and at most 500 mm thick"),
    ("plate-0-weight", "25.00001", "at most 4 decimals"),
    ("plate-0-weight", "20", "names one kind of plate twice"),
    ("bar-0", "heavy", "is not a load"),
    ("sleeve", "20", "a whole number from 100 to 1000"),
    ("sleeve", "415, 320, 300", "or one for each of the 2 bars"),
    ("sleeve", "415, 32", "or one for each of the 2 bars"),
    ("name", "", "name is missing"),
)


def test_what_can_not_be_is_told_beside_its_field_and_kept(house: House) -> None:
    desk, before = house.desk(), sets(house)
    as_stored = form_of(page(desk, YARD))
    for field, typed, sentence in BAD:
        text = html.unescape(post(desk, YARD, 422, as_stored | {"bar-1": "", "bar-2": "17,5", field: typed}))
        assert sentence in text and 'value="17,5"' in text, (field, typed)
    assert sets(house) == before


def test_a_set_that_a_lane_has_is_not_deleted_and_another_is(house: House) -> None:
    desk = house.desk()
    assert "still have Yard plates" in post(desk, f"{YARD}/delete", 409, {})
    post(desk, f"{YARD}/copy", 303, {})
    copy = sets(house)["Yard plates 2"]
    post(desk, f"/desk/plates/{copy.id}/delete", 200, {})
    assert "Yard plates 2" not in sets(house)


def test_trying_a_load_shows_its_plates_or_the_nearest_loads(house: House) -> None:
    desk = house.desk()
    text = page(desk, f"{YARD}?load=103")
    assert "25 + 15 + 1 + 0.5 kg" in text and "103 kg = about 227.076 lb" in text and text.count('class="bar-plate"') == 4
    text = page(desk, f"{YARD}?load=103.25")
    assert "103.25 kg can&#39;t be made" in text and "103 kg below and 103.5 kg above" in text
    assert "is not a load" in page(desk, f"{YARD}?load=1e3")


def test_a_set_says_which_loads_of_each_event_it_can_not_make(house: House) -> None:
    desk = house.desk()
    text = html.unescape(page(desk, YARD))
    assert "Turn about: from 20 kg by 1 kg every load to 219 kg can be made." in text
    form = form_of(text) | {"plate-8-weight": ""}  # no halves: 0.5 and 1.5 a side are left out, and 3.5 and 4
    post(desk, YARD, 200, form)
    assert "these can't be made: 21 kg, 23 kg, 26 kg, 28 kg and " in html.unescape(page(desk, YARD))


def test_only_the_desk_sees_and_changes_plates(house: House) -> None:
    assert house.browser().get("/desk/plates", headers=PAGE).status_code == 303
    assert house.tablet(1).post(YARD, data={"name": "Mine"}).status_code == 401


def loaded(seq: int, **body: Any) -> dict[str, Any]:
    load = {"amount": "70", "unit": "kg"}
    side = [{"amount": "25", "unit": "kg"}]
    return a_mark(seq, kind="loaded", win=6, body={"load": load, "by": "loader", "side": side, **body})


def refused(tablet: TestClient, *marks: dict[str, Any]) -> list[int]:
    device = tablet.get("/lane/packet").json()["device"]["id"]
    answer = tablet.post("/marks", content=sent(*({**mark, "device": device} for mark in marks)), headers=JSON)
    assert answer.status_code == 200, answer.text
    return [one["seq"] for one in answer.json()["refused"]]


def test_the_call_screen_says_what_is_on_the_bar_and_may_take_that_back(house: House) -> None:
    phone = house.tablet(1, "lifter")
    first = loaded(1)
    assert refused(phone, first, a_mark(2, kind="strike", body={"mark": first["id"]})) == []
    assert refused(phone, loaded(3, by="judge"), a_mark(4), a_mark(5, kind="strike", body={"mark": "f" * 32})) == [3, 4, 5]
    assert [mark.body["side"] for mark in house.marks() if mark.kind == "loaded"] == [[{"amount": "25", "unit": "kg"}]]


def test_the_call_screen_takes_nothing_back_that_another_said(house: House) -> None:
    judge, phone = house.tablet(1), house.tablet(1, "lifter")
    told = loaded(1, by="judge")
    assert refused(judge, told) == []
    assert refused(phone, a_mark(7, kind="strike", body={"mark": told["id"]})) == [7]
