"""A photographed QR code is worth nothing: whoever takes an invitation can do nothing until the desk has seen the same word."""

import re
from pathlib import Path

import pytest

from app.doors.letting_in import WAITING_MS
from tests.builders.halls import ON_THE_LAN, SLATE_DAY, House, TestClient, a_house, a_mark, sent

JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}
TABLET = "Mozilla/5.0 (Linux; Android 13; SM-X200) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/120.0.0.0 Safari/537.36"


def asking(house: House, lane: int = 2, role: str = "lane", browser: TestClient | None = None) -> tuple[TestClient, str]:
    """A browser that has taken an invitation, and the word it shows."""
    tablet = browser or house.browser(ON_THE_LAN)
    answer = tablet.post("/pair", json={"token": house.invitation(lane, role, sure=False).token}, headers={"user-agent": TABLET})
    assert answer.status_code == 200 and answer.json()["to"] == "/pair"
    return tablet, answer.json()["word"]


def waiting(desk: TestClient) -> dict[str, str]:
    """Who waits at the desk: the word, and the id to answer by."""
    text = desk.get("/desk/tablets/asking", headers=PAGE).text
    found = re.findall(r'data-asking="([^"]+)">\s*<strong class="word">([^<]+)<', text)
    return {word: key for key, word in found}


def test_a_tablet_shows_a_word_and_can_do_nothing_until_the_desk_has_let_it_in(house: House) -> None:
    desk = house.desk()
    tablet, word = asking(house)
    assert re.fullmatch(r"[A-Z]{4,8} [1-9]", word)
    assert tablet.get("/pair/waiting").json() == {"state": "wait", "word": word, "sentence": "", "to": ""}
    assert tablet.get("/lane/packet").status_code == 401
    assert tablet.post("/marks", content=sent(a_mark(1, "asg_1_2/1/lane")), headers=JSON).status_code == 401
    page = desk.get("/desk/tablets", headers=PAGE).text
    assert word in page and "Lane 2, judging screen" in page and f"Chrome on Android at {ON_THE_LAN}" in page
    assert desk.post(f"/desk/tablets/asking/{waiting(desk)[word]}/in").status_code == 303
    arrived = tablet.get("/pair/waiting")
    assert arrived.json()["state"] == "in" and arrived.json()["to"] == "/lane"
    assert tablet.get("/lane/packet").json()["device"]["lane"] == 2
    assert waiting(desk) == {} and "Lane 2 tablet" in desk.get("/desk/tablets", headers=PAGE).text


def test_a_device_that_is_not_ours_is_told_so_and_its_code_is_used_up(house: House) -> None:
    desk, token = house.desk(), house.invitation(1, sure=False).token
    stranger = house.browser("192.0.2.66")
    word = stranger.post("/pair", json={"token": token}).json()["word"]
    assert house.browser(ON_THE_LAN).post("/pair", json={"token": token}).status_code == 403, "the code is used up already"
    assert desk.post(f"/desk/tablets/asking/{waiting(desk)[word]}/no").status_code == 303
    told = stranger.get("/pair/waiting").json()
    assert told["state"] == "no" and "did not let this device in" in told["sentence"]
    assert stranger.get("/pair/waiting").json()["state"] == "none"
    assert stranger.get("/lane/packet").status_code == 401
    late = desk.post("/desk/tablets/asking/inv_nobody/in", headers=PAGE)
    assert late.status_code == 409 and "That device is no longer waiting" in late.text


def test_what_a_browser_waits_with_is_no_session_even_as_the_lanes_cookie(house: House) -> None:
    tablet, _ = asking(house)
    thief = house.browser()
    for cookie in ("ll_device", "ll_desk", "ll_review"):
        thief.cookies.set(cookie, tablet.cookies["ll_waits"])
    assert [thief.get(path).status_code for path in ("/lane/packet", "/desk/tablets", "/review")] == [401, 401, 401]


def test_who_is_not_answered_within_ten_minutes_starts_again(house: House) -> None:
    desk = house.desk()
    tablet, word = asking(house)
    key = waiting(desk)[word]
    house.clocks.pass_ms(WAITING_MS + 1)
    assert waiting(desk) == {} and desk.post(f"/desk/tablets/asking/{key}/in").status_code == 409
    assert "not answered" in tablet.get("/pair/waiting").json()["sentence"]


def test_two_who_wait_show_two_words_and_each_is_answered_by_itself(house: House) -> None:
    desk = house.desk()
    (first, one), (second, two) = asking(house, 1), asking(house, 2, "lifter")
    there = waiting(desk)
    assert one != two and list(there) == [one, two]
    desk.post(f"/desk/tablets/asking/{there[two]}/in")
    assert first.get("/pair/waiting").json()["state"] == "wait"
    assert second.get("/pair/waiting").json()["to"] == "/call"


def test_a_tablet_keeps_its_lane_until_the_desk_has_let_it_into_another(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    old = tablet.get("/lane/packet").json()["device"]["id"]
    _, word = asking(house, 3, browser=tablet)
    assert tablet.get("/lane/packet").json()["device"]["id"] == old
    desk.post(f"/desk/tablets/asking/{waiting(desk)[word]}/in")
    assert tablet.get("/lane/packet").status_code == 401, "what it was ends in the same moment"
    tablet.get("/pair/waiting")
    assert tablet.get("/lane/packet").json()["device"]["lane"] == 3
    assert old not in desk.get("/desk/tablets/states").json()


def test_a_browser_without_scripts_waits_too(house: House) -> None:
    desk, phone = house.desk(), house.browser(ON_THE_LAN)
    answer = phone.post("/pair", data={"code": house.invitation(4, "lifter", sure=False).code}, headers=PAGE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/pair")
    page = phone.get("/pair", headers=PAGE)
    (word,) = waiting(desk)
    assert word in page.text and page.headers["refresh"] == "3; url=/pair"
    desk.post(f"/desk/tablets/asking/{waiting(desk)[word]}/in")
    arrived = phone.get("/pair", headers=PAGE)
    assert (arrived.status_code, arrived.headers["location"]) == (303, "/call")
    assert phone.get("/lane/packet").json()["device"]["role"] == "lifter"


def test_the_desk_is_asked_unless_it_has_said_otherwise(house: House) -> None:
    desk = house.desk()
    shown = desk.post("/desk/tablets", data={"role": "lane", "lane": "1"}, headers=PAGE).text
    assert "It shows a word." in shown
    assert desk.post("/desk/tablets/rule", data={"at_once": "yes"}).status_code == 303
    shown = desk.post("/desk/tablets", data={"role": "lane", "lane": "1"}, headers=PAGE).text
    assert "It shows a word." not in shown and "Any device with a code is let in at once." in shown
    code = re.search(r'short-code">([\d ]+)<', shown)
    assert code is not None
    tablet = house.browser(ON_THE_LAN)
    assert tablet.post("/pair", json={"code": code[1]}).json()["to"] == "/lane"
    assert desk.post("/desk/tablets/rule", data={"at_once": "no"}).status_code == 303
    assert "The desk confirms each device." in desk.get("/desk/tablets", headers=PAGE).text


def test_who_waits_is_still_there_after_a_restart(tmp_path: Path) -> None:
    with a_house(tmp_path, file=SLATE_DAY) as before:
        before.desk()
        tablet, word = asking(before)
        cookie = tablet.cookies["ll_waits"]
    with a_house(tmp_path, competition=False) as after:
        desk = after.desk()
        again = after.browser(ON_THE_LAN)
        again.cookies.set("ll_waits", cookie)
        desk.post(f"/desk/tablets/asking/{waiting(desk)[word]}/in")
        assert again.get("/pair/waiting").json()["state"] == "in"


def test_the_desks_page_of_the_day_says_that_somebody_waits(house: House) -> None:
    desk = house.desk()
    _, word = asking(house)
    assert f"shows {word}" in desk.get("/desk", headers=PAGE).text


@pytest.mark.parametrize("role", ["lane", "second", "third", "shadow", "lifter"])
def test_a_seat_in_this_very_browser_needs_no_asking(house: House, role: str) -> None:
    desk = house.desk()
    assert desk.post("/desk/tablets/here", data={"role": role, "lane": "2"}).status_code == 303
    assert desk.get("/lane/packet").status_code == 200 and waiting(desk) == {}
