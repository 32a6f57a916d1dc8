"""What would pass, asked by a lane's devices; what a lifter's phone may say."""

from typing import Any

from tests.builders.halls import House, TestClient, a_mark, sent

ASKED = "/lane/ahead?assignment=asg_1_1&window=4&member=1"


def post(browser: TestClient, *marks: object) -> Any:
    return browser.post("/marks", content=sent(*marks), headers={"content-type": "application/json"})


def lifted(number: int, lane: int, member: int, load: str) -> dict[str, object]:
    said = {"load": {"amount": load, "unit": "lb"}, "good": True}
    return a_mark(number, f"asg_1_{lane}/1/lane", kind="lift", at=500_000, win=3 + member, body={**said}, device=f"tab{lane}")


def test_a_lane_hears_what_its_next_lift_must_weigh(house: House) -> None:
    lifter, desk = house.tablet(1, "lifter"), house.desk()
    assert post(desk, lifted(1, 1, 1, "200"), lifted(2, 2, 1, "225")).status_code == 200
    found = lifter.get(ASKED).json()["chase"]
    assert (found["place"], found["more"]) == (2, 0)
    assert found["ahead"] == [{"name": "Chalk & Cheese", "place": 1, "level": False, "load": {"amount": "103", "unit": "kg"}}]


def test_only_lifts_of_ones_own_lane_are_told(house: House) -> None:
    lifter = house.tablet(1, "lifter")
    assert lifter.get("/lane/ahead?assignment=asg_1_2&window=4").status_code == 404
    assert lifter.get("/lane/ahead?assignment=asg_1_1&window=0").json() == {"sentence": "There is no such lift on this lane."}
    assert lifter.get("/lane/ahead?assignment=asg_1_1&window=99").status_code == 404
    assert house.browser().get(ASKED).status_code == 401
    desk = house.desk()
    assert desk.get(ASKED).status_code == 400 and desk.get(f"{ASKED}&lane=1").status_code == 200


def test_a_lifter_s_phone_says_loads_and_plans_and_nothing_else(house: House) -> None:
    lifter = house.tablet(1, "lifter")
    plan = {"loads": [{"amount": "200", "unit": "lb"}, {"amount": "210", "unit": "lb"}], "by": "lifter"}
    taken = post(lifter, a_mark(1, kind="plan", win=4, body=plan)).json()
    assert taken["refused"] == []
    refused = post(lifter, a_mark(2, kind="check", win=None, body={"items": ["Bar"], "name": "Kim"})).json()
    assert "everything else is for the judge" in refused["refused"][0]["sentence"]
    wrong = post(lifter, a_mark(3, kind="plan", win=4, body={**plan, "loads": ["200"]})).json()
    assert wrong["refused"][0]["sentence"] == "A load is an amount and its unit."
