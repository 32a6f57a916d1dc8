"""A browser paired anew: what it marked before is taken from it, unless the desk had ended that pairing; then it waits."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from app.store.devices import welcome_devices
from tests.builders.halls import ON_THE_LAN, House, TestClient, a_mark, sent
from tests.builders.ledger_doors import both_ways, by_request

JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}
SOCKET = "ws://localhost/lane/socket"
HOUR_MS = 3_600_000
LANE_2 = "asg_1_2/1/lane"


def device_of(browser: TestClient) -> str:
    return str(browser.get("/lane/packet").json()["device"]["id"])


def post(browser: TestClient, *marks: object) -> dict[str, Any]:
    answer = both_ways(browser, *marks)
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def reasons(answer: dict[str, Any]) -> list[str]:
    return [one["sentence"] for one in answer["refused"]]


def anew(house: House, browser: TestClient, lane: int, role: str = "lane") -> str:
    """Pairs a browser anew, which shows the key that it has; returns the new device."""
    assert browser.post("/pair", json={"token": house.invitation(lane, role).token}).status_code == 200
    return device_of(browser)


def seats(house: House) -> list[tuple[str, str]]:
    return [(mark.device, mark.receipt.seat) for mark in house.marks()]


@pytest.mark.parametrize(("lane", "role"), [(1, "lane"), (4, "lane"), (2, "lifter"), (1, "second")])
def test_what_a_browser_marked_under_a_pairing_before_is_taken_from_it_in_the_seat_it_was_made_in(
    house: House, lane: int, role: str
) -> None:
    tablet = house.tablet(2)
    before = device_of(tablet)
    marks = [a_mark(n, LANE_2, device=before) for n in range(1, 8)]
    post(tablet, marks[0])
    now = anew(house, tablet, lane, role)
    answer = post(tablet, *marks)
    assert answer["refused"] == [] and seats(house) == [(before, "lane")] * 7
    assert answer["device"] == now and answer["held"] == {} and answer["before"] == {before: {"1": 7}}
    assert tablet.get("/lane/packet").json()["before"] == {before: {"1": 7}}
    assert len(post(tablet, a_mark(8, LANE_2, device=now))["refused"]) == 1 or (lane, role) == (2, "lane")


def test_the_pairings_before_go_on_through_a_chain_and_end_with_one_that_the_desk_ended(house: House) -> None:
    tablet, desk = house.tablet(1), house.desk()
    first = device_of(tablet)
    second = anew(house, tablet, 2)
    third = anew(house, tablet, 3)
    assert post(tablet, a_mark(1, device=first), a_mark(1, LANE_2, device=second, id="e" * 32))["refused"] == []
    desk.post(f"/desk/tablets/{third}/away")
    anew(house, tablet, 4)
    said = reasons(post(tablet, a_mark(2, device=first), a_mark(3, "asg_1_3/1/lane", device=third)))
    assert [one.endswith("The desk can take them in, at Tablets.") for one in said] == [True, True]
    assert len(house.marks()) == 2


def test_a_run_that_began_after_the_pairing_ended_is_none_of_it(house: House) -> None:
    tablet, desk = house.tablet(1), house.desk()
    before = device_of(tablet)
    anew(house, tablet, 4)
    house.clocks.pass_ms(HOUR_MS)
    assert desk.post("/desk/heats/het_1/go", data={}).status_code == 200
    house.clocks.pass_ms(60_000)
    (said,) = reasons(post(tablet, a_mark(1, device=before)))
    assert "This mark is for lane 1; this device is lane 4's." in said and said.endswith("at Tablets.")
    assert post(house.tablet(1), a_mark(2, device="tab")).get("refused") == []


def test_a_browser_whose_answer_was_lost_in_pairing_still_speaks_for_what_it_was(house: House) -> None:
    tablet = house.tablet(1)
    before, cookies = device_of(tablet), dict(tablet.cookies)
    anew(house, tablet, 2)
    tablet.cookies.clear()
    tablet.cookies.update(cookies)  # the answer with the new session never came
    anew(house, tablet, 3)
    assert by_request(tablet, a_mark(1, device=before)).json()["refused"] == []


def test_a_pairing_that_lasted_its_time_is_proved_by_its_key_too(house: House) -> None:
    tablet = house.tablet(1)
    before = device_of(tablet)
    house.clocks.pass_ms(14 * 24 * HOUR_MS)
    assert tablet.get("/lane/packet").status_code == 401
    anew(house, tablet, 2)
    assert post(tablet, a_mark(1, device=before))["refused"] == []


def sent_away(house: House, tablet: TestClient) -> None:
    house.desk().post(f"/desk/tablets/{device_of(tablet)}/away")


def lost_its_key(house: House, tablet: TestClient) -> None:
    tablet.cookies.clear()


@pytest.mark.parametrize("how", [sent_away, lost_its_key])
def test_what_can_not_be_proved_waits_and_the_desk_takes_it_in_with_one_tap(
    house: House, how: Callable[[House, TestClient], None]
) -> None:
    tablet, desk = house.tablet(2), house.desk()
    before = device_of(tablet)
    how(house, tablet)
    now = anew(house, tablet, 4)
    marks = [a_mark(n, LANE_2, device=before) for n in range(1, 8)]
    assert len(post(tablet, *marks)["refused"]) == 7 and house.marks() == []
    with tablet.websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_json({"type": "report", "outbox": 7, "refused": 7, "before": {before: 7}, "screen": "lane"})
        line.send_json({"type": "ping", "t1": 1})
        line.receive_json()
        said = desk.get("/desk/tablets/states").json()[now]
        assert (said["state"], said["words"]) == ("look", "online, 7 marks refused and not here")
        page = desk.get("/desk/tablets", headers=PAGE).text
        assert "7 marks made as “Lane 2 tablet”" in page and said["refused"] in page.replace("&#39;", "'")
        assert "7 marks were refused and are not at the desk" in desk.get("/desk", headers=PAGE).text
        yes = f"/desk/tablets/{now}/before/{before}"
        if how is lost_its_key:
            assert yes not in page and "end that pairing first" in page
            assert "If these marks are from the same browser" in desk.post(yes, headers=PAGE).text
            desk.post(f"/desk/tablets/{before}/away")
            page = desk.get("/desk/tablets", headers=PAGE).text
        assert yes in page and tablet.post(yes).status_code == 401
        assert desk.post(yes, headers=PAGE).status_code == 303
        assert {"type": "packet"} in [line.receive_json() for _ in range(1)]
    assert post(tablet, *marks)["refused"] == [] and seats(house) == [(before, "lane")] * 7


def test_marks_of_a_pairing_that_this_ledger_does_not_know_are_taken_at_their_place_and_elsewhere_by_file_alone(
    house: House,
) -> None:
    """A yes to a pairing of no known seat would let whoever names one write on every lane."""
    tablet, desk = house.tablet(2), house.desk()
    me, unknown = device_of(tablet), "dev_0123456789abcdef"
    assert post(tablet, a_mark(1, LANE_2, device=unknown))["refused"] == [], "an older backup, or a new laptop"
    (said,) = reasons(post(tablet, a_mark(2, device=unknown)))
    assert said.endswith("The desk can take them from the file that a tablet saves.")
    desks = next(one.id for one in house.app.state.hall.database.read(welcome_devices) if one.role == "desk")
    with tablet.websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_json({"type": "report", "outbox": 1, "refused": 2, "before": {unknown: 1, desks: 1}, "screen": "lane"})
        line.send_json({"type": "ping", "t1": 1})
        line.receive_json()
        page = desk.get("/desk/tablets", headers=PAGE).text
        assert "take in its file under Backups" in page and "/before/" not in page
    for maker in (unknown, desks):
        assert "take it in under Backups" in desk.post(f"/desk/tablets/{me}/before/{maker}", headers=PAGE).text
        assert len(post(tablet, a_mark(2, device=maker))["refused"]) == 1


def test_what_the_desk_has_already_is_refused_to_nobody(house: House) -> None:
    tablet, desk = house.tablet(2), house.desk()
    before = device_of(tablet)
    sent_away(house, tablet)
    mark = a_mark(1, LANE_2, device=before)
    anew(house, tablet, 4)
    with tablet.websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_json({"type": "report", "outbox": 1, "refused": 1, "before": {before: 1}, "screen": "lane"})
        line.send_json({"type": "ping", "t1": 1})
        line.receive_json()
        saved = json.dumps({"file": "lane-ledger-marks", "version": 1, "tablet": "Lane 2", "marks": [mark]}).encode()
        answer = desk.post("/desk/backups/marks", files={"file": ("marks.json", saved, "application/json")})
        assert answer.status_code == 200 and len(house.marks()) == 1
        assert line.receive_json() == {"type": "packet"}, "it offers again what was refused"
    assert post(tablet, mark)["refused"] == []
    assert len(post(tablet, mark | {"at": mark["at"] + 1})["refused"]) == 1, "the same id on another mark is not the same"


def test_a_tablet_that_has_not_said_yet_what_it_holds_is_not_said_to_hold_nothing(house: House) -> None:
    tablet, desk = house.browser(ON_THE_LAN), house.desk()
    device = anew(house, tablet, 1)
    with tablet.websocket_connect(SOCKET) as line:
        line.receive_json()
        assert "nothing waits" not in desk.get("/desk/tablets/states").json()[device]["words"]
        line.send_json({"type": "report", "screen": "lane"})
        line.send_json({"type": "ping", "t1": 1})
        line.receive_json()
        assert desk.get("/desk/tablets/states").json()[device]["words"] == "online, nothing waits on it"


def test_a_lane_that_was_changed_since_is_no_reason_to_be_refused_where_the_browser_is_now(house: House) -> None:
    tablet = house.tablet(1)
    before = device_of(tablet)
    anew(house, tablet, 2)
    assert post(tablet, a_mark(1, LANE_2, device=before))["refused"] == [], "it may be taken at the place of either pairing"


def test_who_judges_a_film_sends_what_was_marked_before_logging_in_anew(house: House) -> None:
    desk = house.desk()
    desk.post("/review/password", data={"password": "three other words", "again": "three other words"})
    head = house.browser(ON_THE_LAN)
    film = a_mark(1, "asg_1_1/1/video")
    ids = []
    for _ in range(2):
        assert head.post("/review/enter", data={"password": "three other words"}).status_code == 303
        ids.append(head.get("/review/video/packet?assignment=asg_1_1").json()["device"]["id"])
    assert ids[0] != ids[1]
    sending = {"content": sent(film | {"device": ids[0]}), "headers": JSON}
    assert head.post("/marks?seat=desk", **sending).json()["refused"] == []
    desk.post("/review/password", data={"password": "other words again", "again": "other words again"})
    assert head.post("/review/enter", data={"password": "other words again"}).status_code == 303
    late = {"content": sent(film | {"device": ids[1], "id": "e" * 32}), "headers": JSON}
    (refused,) = head.post("/marks?seat=desk", **late).json()["refused"]
    assert refused["sentence"].endswith("Log in as the desk in this browser to send it.")
    assert desk.post("/marks?seat=desk", **late).json()["refused"] == []
