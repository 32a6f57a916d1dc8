"""The equipment check: what is asked for, what the desk says before a GO, and that nothing waits for it."""

import html
from typing import Any

import pytest

from app.rehearsal.turns import turn_about
from app.rules.count.gear_check import checked, equipment_list
from app.rules.records.marks import parse_mark
from app.rules.workout.formats import Format
from tests.builders.halls import House, TestClient, a_mark, sent
from tests.builders.meets import errands, heavy

USUAL = (
    "Bar: 20 kg (44.1 lb)",
    "Collars on both ends",
    "Plates seen and identified: size and unit",
    "Rack: safeties set and pinned",
    "Clear space behind the lifter, no spare plates in it",
)


def check(seq: int, items: tuple[str, ...] = USUAL, lane: int = 1, run: int = 1, **changes: Any) -> dict[str, Any]:
    body = {"items": list(items), "name": "Kim"}
    return a_mark(seq, f"asg_1_{lane}/{run}/lane", kind="check", at=0, win=None, body=body, device=f"tab{lane}", **changes)


def post(browser: TestClient, *marks: object) -> Any:
    answer = browser.post("/marks", content=sent(*marks), headers={"content-type": "application/json"})
    assert answer.json()["refused"] == []


def said(desk: TestClient) -> str:
    page = html.unescape(desk.get("/desk?heat=het_1", headers={"accept": "text/html"}).text)
    return page.partition('id="unchecked">')[2].partition("</p>")[0]


def test_the_usual_list_of_a_lift_is_its_bar_its_collars_its_plates_its_rack_and_the_space() -> None:
    assert equipment_list(turn_about()) == USUAL
    assert equipment_list(errands()) == ()


def test_a_movement_may_have_a_list_of_its_own_whatever_the_task() -> None:
    own = {"walk": {"name": "Walks", "checks": ["Turning line taped", "Floor dry"]}, "swing": {"name": "Swings"}}
    format = Format.model_validate({**errands().model_dump(mode="json"), "movements": own})
    assert equipment_list(format) == ("Turning line taped", "Floor dry")
    lifted = heavy().model_dump(mode="json")
    lifted["movements"]["pull"]["checks"] = ["Straps off"]
    assert equipment_list(Format.model_validate(lifted)) == ("Straps off",)


def test_the_newest_check_that_stands_counts_and_says_what_it_left_out() -> None:
    first, second = parse_mark(check(1)), parse_mark(check(2, USUAL[:3]))
    assert checked(USUAL, [second, first], []) is not None
    found = checked(USUAL, [second, first], [])
    assert found is not None and (found.name, found.missing) == ("Kim", USUAL[3:])
    back = checked(USUAL, [first, second], [second.id])
    assert back is not None and back.missing == ()
    assert checked(USUAL, [first], [first.id]) is None


def test_the_desk_hears_which_lanes_are_not_checked_and_may_start_them_all_the_same(house: House) -> None:
    desk = house.desk()
    assert said(desk) == "Equipment: lanes 1 to 4 not checked. You can still press GO."
    post(house.tablet(1), check(1))
    post(house.tablet(2), check(2, USUAL[:4], lane=2))
    post(desk, check(3, lane=3))
    assert said(desk) == f"Equipment: lane 4 not checked; lane 2 signed by Kim without “{USUAL[4]}”. You can still press GO."
    assert desk.post("/desk/heats/het_1/go", data={"lead": "8"}).status_code in (200, 303)
    assert said(desk) == "", "it runs"


def test_a_check_that_is_taken_back_is_none(house: House) -> None:
    desk = house.desk()
    post(desk, *(check(lane, lane=lane) for lane in (1, 2, 3, 4)))
    assert said(desk) == ""
    post(desk, a_mark(9, kind="strike", win=None, body={"mark": check(1)["id"]}))
    assert said(desk) == "Equipment: lane 1 not checked. You can still press GO."


def test_a_check_is_no_work_whoever_signs_and_does_not_start_stays_unjudged(house: House) -> None:
    post(house.tablet(1), check(1))
    hall = house.app.state.hall
    tally = hall.projection.sheet_tally("asg_1_1/1/lane")
    assert not tally.any_marks and tally.flags == ()


def test_the_lane_is_told_its_list(house: House) -> None:
    events = house.tablet(1).get("/lane/packet").json()["events"]
    assert events["evt_turns"]["checks"] == list(USUAL)


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ({"items": [], "name": "Kim"}, "The items of a mark are a list of 1 to 40."),
        ({"items": "Bar", "name": "Kim"}, "The items of a mark are a list of 1 to 40."),
        ({"items": ["Bar"]}, "A check mark must say its name."),
        ({"items": ["Bar\u202e"], "name": "Kim"}, "The item of a mark holds control characters."),
    ],
)
def test_a_check_that_says_nothing_is_refused(house: House, body: dict[str, Any], sentence: str) -> None:
    mark = {**check(1), "body": body}
    answer = house.tablet(1).post("/marks", content=sent(mark), headers={"content-type": "application/json"})
    assert answer.json()["refused"][0]["sentence"] == sentence
