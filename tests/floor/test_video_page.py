"""Judging from a film over HTTP: the shell that anybody may keep, the packet that only the desk gets, marks as the desk."""

from collections.abc import Iterator
from typing import Any

import pytest

from app.floor.judging import record_marks
from app.floor.video_packet import checklist
from app.hall.devices import Who
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import CountTask
from tests.builders.cast import a_competition, a_format, a_lift_task, reps
from tests.builders.halls import PASSWORD, House, a_house, a_mark, sent

JSON = {"content-type": "application/json"}
PACKET = "/review/video/packet?assignment=asg_1"
RUNS = [{"heat": "heat", "number": 1}, {"heat": "heat", "number": 2, "state": "stopped"}]


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    format = a_format(CountTask(movement="swing"))
    file = a_competition(format, {"Open": ["Quay Runners", "Rope Walkers"]}, reps(3), runs=RUNS)
    with a_house(tmp_path_factory.mktemp("house"), file=file) as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(house: House) -> Any:
    return house.desk()


def test_the_shell_holds_nothing_of_the_competition_and_may_play_a_film_of_the_browsers_own(house: House) -> None:
    answer = house.browser().get("/review/video?assignment=asg_1")
    assert answer.status_code == 200 and "Quay" not in answer.text
    policy = answer.headers["content-security-policy"]
    assert "media-src 'self' blob:" in policy and policy.count("blob:") == 1


def test_only_the_desk_gets_the_packet(house: House, desk: Any) -> None:
    assert house.browser().get(PACKET).status_code == 401
    assert desk.get(PACKET).status_code == 200


def test_the_packet_is_of_one_lane_and_of_the_run_that_counts(desk: Any) -> None:
    packet = desk.get(PACKET).json()
    assert [heat["assignment"]["id"] for heat in packet["heats"]] == ["asg_1"]
    assert packet["heats"][0]["run"]["number"] == 1 and packet["device"]["sheet"] == "video"
    assert packet["compare"] == "/review/compare/asg_1?a=lane&b=video"


def signing(seq: int, device: str) -> dict[str, Any]:
    """Whoever judged the film of lane 1 signs."""
    return a_mark(seq, "asg_1/1/video", device=device, kind="sign", win=None, body={"who": "judge", "name": "Ida Moor"})


def test_what_others_counted_leaves_the_laptop_once_the_films_own_sheet_is_signed(house: House, desk: Any) -> None:
    before = desk.get(PACKET).json()
    assert before["marks"] == [] and not before["beside"]
    mark = signing(40, before["device"]["id"])
    assert desk.post("/marks?seat=desk", content=sent(mark), headers=JSON).json()["refused"] == []
    after = desk.get(PACKET).json()
    assert after["beside"] and [one["kind"] for one in after["marks"] if one["sheet"] == "asg_1/1/lane"] == ["rep"] * 3
    taken_back = a_mark(41, "asg_1/1/video", device=mark["device"], kind="strike", win=None, body={"mark": mark["id"]})
    assert desk.post("/marks?seat=desk", content=sent(taken_back), headers=JSON).json()["refused"] == []
    assert not desk.get(PACKET).json()["beside"]


def test_the_packet_says_that_the_event_was_signed_off(house: House, desk: Any) -> None:
    assert desk.get(PACKET).json()["signed_note"] is None
    body = {"state": "signed", "marks": {}, "runs": {}}
    hall, ruling = (
        house.app.state.hall,
        {"id": "s", "kind": "sign_off", "event": "evt", "body": body, "by": "Ruth", "why": "Seen"},
    )
    before = hall.projection.rulings
    hall.projection.roster_changed(hall.projection.roster, hall.projection.runs, (Ruling.model_validate(ruling),))
    note = desk.get(PACKET).json()["signed_note"]
    hall.projection.roster_changed(hall.projection.roster, hall.projection.runs, before)
    assert "is signed off, by Ruth. What is made here is kept, but changes nothing" in note["words"]
    assert note["link"] == "/review/results#event-evt"


def test_a_lane_that_there_is_not_is_told_so(desk: Any) -> None:
    answer = desk.get("/review/video/packet?assignment=../x")
    assert answer.status_code == 404 and "no such lane" in answer.json()["sentence"]


def test_a_browser_that_is_a_lanes_tablet_too_marks_the_film_as_the_desk(house: House) -> None:
    desk = house.browser()
    assert desk.post("/desk/enter", data={"password": PASSWORD}).status_code == 303
    assert desk.post("/pair", json={"token": house.invitation(1).token}).status_code == 200
    mark = a_mark(1, "asg_1/1/video", device=desk.get(PACKET).json()["device"]["id"], win=0)
    refused = desk.post("/marks", content=sent(mark), headers=JSON).json()["refused"]
    assert len(refused) == 1 and "another sheet" in refused[0]["sentence"]
    taken = desk.post("/marks?seat=desk", content=sent(mark), headers=JSON).json()
    assert taken["refused"] == [] and taken["held"] == {"1": 1}


def test_nobody_becomes_the_desk_by_asking(house: House) -> None:
    tablet = house.tablet(1)
    assert tablet.post("/marks?seat=desk", content=sent(a_mark(2)), headers=JSON).status_code == 401


def test_collars_and_plates_are_asked_for_where_there_is_a_bar() -> None:
    assert "collars" in dict(checklist(a_format(a_lift_task(), unit="kg")))
    assert "collars" not in dict(checklist(a_format(CountTask(movement="swing"))))


def test_a_head_judge_with_a_password_of_their_own_marks_on_a_films_sheet_and_on_no_other(house: House) -> None:
    head = Who("dev_head", "review", None, "Head judge")
    marks = [a_mark(7, "asg_2/1/video", device="dev_head", win=0), a_mark(8, "asg_2/1/lane", device="dev_head", win=0)]
    receipt = house.do(record_marks, head, marks)
    assert [refused.seq for refused in receipt.refused] == [8]
