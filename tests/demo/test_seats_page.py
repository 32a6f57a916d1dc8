"""The demo's seats over HTTP: what is offered, who may see the password, and when a seat is played on."""

import pytest

from app.demo.floor import AWAY_MS, coached, held_by_person
from app.demo.seats import LANE_SEATS, OPEN_SEATS, PLATFORM_SEATS
from app.doors.demo_password import new_demo_password
from tests.builders.halls import LAPTOP, ON_THE_LAN, House

PAGE = {"accept": "text/html"}


def test_every_seat_is_offered_with_a_line_on_what_to_try(demo: House) -> None:
    text = demo.browser().get("/demo", headers=PAGE).text
    placed = [(name, words) for _, name, words in (*LANE_SEATS, *PLATFORM_SEATS)]
    for name, to_try in [*placed, *((one.name, one.to_try) for one in OPEN_SEATS)]:
        assert name in text and to_try.replace("'", "&#39;") in text
    assert "On the floor now: <strong>Rising bar, heat 3</strong>." in text and "Next: Harbour relay, heat 1." in text


@pytest.mark.parametrize("path", ["/demo", "/desk/enter", "/review/enter"])
def test_the_password_is_shown_at_the_computer_itself_and_to_nobody_else(demo: House, path: str) -> None:
    password = demo.app.state.hall.demo_password
    assert len(password) > 12
    assert password in demo.browser(LAPTOP).get(path, headers=PAGE).text
    assert password not in demo.browser(ON_THE_LAN).get(path, headers=PAGE).text


def test_the_password_opens_the_desk_from_wherever_it_is_typed_and_another_start_has_another(demo: House) -> None:
    assert demo.browser(ON_THE_LAN).post("/desk/enter", data={"password": demo.app.state.hall.demo_password}).status_code == 303
    another = new_demo_password()
    assert another != demo.app.state.hall.demo_password
    assert demo.browser(LAPTOP).post("/desk/enter", data={"password": another}).status_code == 403


@pytest.mark.parametrize(
    ("role", "screen"),
    [("lane", "/lane"), ("second", "/lane"), ("lifter", "/call"), ("left", "/platform"), ("loaders", "/platform/call")],
)
def test_a_seat_is_taken_at_once(demo: House, role: str, screen: str) -> None:
    visitor = demo.browser(ON_THE_LAN)
    taken = visitor.post("/demo/seat", data={"role": role, "lane": "4"})
    assert (taken.status_code, taken.headers["location"]) == (303, screen)
    assert len(visitor.get("/lane/packet").json().get("platform", {}).get("lanes", ())) == (6 if "platform" in screen else 0)


def test_a_coach_declares_in_place_of_the_simulated_lifters(demo: House) -> None:
    hall, visitor = demo.app.state.hall, demo.browser()
    assert visitor.post("/demo/seat", data={"role": "coach", "lane": "1"}).headers["location"] == "/coach"
    theirs = {one["id"] for one in visitor.get("/lane/packet").json()["lifters"]}
    assert len(theirs) == 9 and not any(coached(hall, entry) for entry in theirs), "nothing has come from the screen yet"
    with visitor.websocket_connect("ws://localhost/lane/socket") as line:
        line.send_json({"type": "report", "screen": "coach"})
        line.send_json({"type": "ping", "t1": 1})
        while line.receive_json()["type"] != "pong":
            pass
        assert {entry.id for entry in hall.projection.roster.entries if coached(hall, entry.id)} == theirs
    assert "Coach, Lanes 1 to 6, taken" in demo.browser().get("/demo", headers=PAGE).text


@pytest.mark.parametrize("typed", [{"role": "lane", "lane": "x"}, {"role": "desk", "lane": "1"}, {"lane": "1"}])
def test_what_is_no_seat_is_said(demo: House, typed: dict[str, str]) -> None:
    assert demo.browser().post("/demo/seat", data=typed, headers=PAGE).status_code == 422


def test_a_person_keeps_a_seat_over_a_reload_and_gives_it_up_only_after_a_while(demo: House) -> None:
    hall = demo.app.state.hall
    visitor = demo.browser()
    visitor.post("/demo/seat", data={"role": "lane", "lane": "5"})
    assert not held_by_person(hall, 5, "lane"), "nothing has come from the lane screen yet"
    with visitor.websocket_connect("ws://localhost/lane/socket") as line:
        line.receive_json()
        line.send_json({"type": "report", "screen": "lane"})
        line.send_json({"type": "ping", "t1": 1})
        line.receive_json()
        assert held_by_person(hall, 5, "lane") and not held_by_person(hall, 5, "second")
    demo.clocks.pass_ms(AWAY_MS)
    assert held_by_person(hall, 5, "lane"), "the page is loaded again, or the tablet sleeps"
    assert "Judge, lane 5, taken" in demo.browser().get("/demo", headers=PAGE).text
    demo.clocks.pass_ms(1)
    assert not held_by_person(hall, 5, "lane")


def test_the_demos_hall_is_everybodys_until_its_desk_wants_to_be_asked(demo: House) -> None:
    desk = demo.browser()
    assert desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password}).status_code == 303
    assert "Any device with a code is let in at once." in desk.get("/desk/tablets", headers=PAGE).text
    assert desk.post("/desk/tablets/rule", data={"at_once": "no"}).status_code == 303
    assert "It shows a word." in desk.post("/desk/tablets", data={"role": "lane", "lane": "1"}, headers=PAGE).text
