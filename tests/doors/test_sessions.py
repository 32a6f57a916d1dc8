"""Sessions: a new one at every login, one for each seat, ended by a new password, by time, by one tap at the desk."""

import asyncio
import json
import re
from pathlib import Path

import anyio
import anyio.lowlevel
import pytest
from starlette.testclient import WebSocketDisconnect

from app.floor.pages.desk import _news
from app.live.servertime import go_on_this_timeline
from app.settings import Settings
from app.web.who import Who
from tests.builders.halls import ON_THE_LAN, PASSWORD, House, TestClient, a_house, a_mark
from tests.builders.ledger_doors import both_ways

JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}
HOUR_MS = 3_600_000
NEW = "four other odd words"


def as_before(house: House, cookie: str, token: str) -> TestClient:
    """A browser that holds an earlier session."""
    browser = house.browser(ON_THE_LAN)
    browser.cookies.set(cookie, token)
    return browser


def test_each_login_has_a_session_of_its_own_and_the_browsers_earlier_one_ends(house: House) -> None:
    desk = house.desk()
    first = desk.cookies["ll_desk"]
    assert desk.post("/desk/enter", data={"password": PASSWORD}).status_code == 303
    assert desk.cookies["ll_desk"] != first and desk.get("/desk/tablets").status_code == 200
    assert as_before(house, "ll_desk", first).get("/desk/tablets").status_code == 401
    other = house.desk()
    assert desk.get("/desk/tablets").status_code == other.get("/desk/tablets").status_code == 200, "two laptops, two desks"


def test_each_pairing_has_a_session_of_its_own_and_the_earlier_one_ends(house: House) -> None:
    tablet = house.tablet(1)
    first = tablet.cookies["ll_device"]
    assert tablet.post("/pair", json={"token": house.invitation(1).token}).status_code == 200
    assert tablet.cookies["ll_device"] != first
    assert as_before(house, "ll_device", first).get("/lane/packet").status_code == 401


def test_the_head_judges_login_is_renewed_too(house: House) -> None:
    desk, head = house.desk(), house.browser(ON_THE_LAN)
    desk.post("/review/password", data={"password": NEW, "again": NEW})
    head.post("/review/enter", data={"password": NEW})
    first = head.cookies["ll_review"]
    head.post("/review/enter", data={"password": NEW})
    assert as_before(house, "ll_review", first).get("/review").status_code == 401 and head.get("/review").status_code == 200


def test_a_new_password_ends_every_other_login_of_the_desk_and_no_lanes(house: House) -> None:
    desk, other, tablet = house.desk(), house.desk(), house.tablet(1)
    mine = desk.cookies["ll_desk"]
    answer = desk.post("/desk/password", data={"now": PASSWORD, "password": NEW, "again": NEW})
    assert (answer.status_code, answer.headers["location"]) == (303, "/desk/password")
    assert desk.get("/desk/tablets").status_code == 200 and other.get("/desk/tablets").status_code == 401
    assert as_before(house, "ll_desk", mine).get("/desk/tablets").status_code == 401, "this browser got another session"
    assert tablet.get("/lane/packet").status_code == 200
    assert other.post("/desk/enter", data={"password": PASSWORD}).status_code == 403
    assert other.post("/desk/enter", data={"password": NEW}).status_code == 303


@pytest.mark.parametrize(
    ("typed", "status", "says"),
    [
        ({"now": "not this one", "password": NEW, "again": NEW}, 403, "not the desk&#39;s password"),
        ({"now": PASSWORD, "password": "short", "again": "short"}, 422, "8 to 200"),
        ({"now": PASSWORD, "password": NEW, "again": PASSWORD}, 422, "differ"),
    ],
)
def test_a_new_password_that_will_not_do_changes_nothing(house: House, typed: dict[str, str], status: int, says: str) -> None:
    desk, other = house.desk(), house.desk()
    answer = desk.post("/desk/password", data=typed, headers=PAGE)
    assert answer.status_code == status and says in answer.text and NEW not in answer.text
    assert other.get("/desk/tablets").status_code == 200


def test_a_new_password_of_the_head_judge_ends_the_logins_made_with_the_old_one(house: House) -> None:
    desk, head = house.desk(), house.browser(ON_THE_LAN)
    desk.post("/review/password", data={"password": NEW, "again": NEW})
    head.post("/review/enter", data={"password": NEW})
    assert head.get("/review").status_code == 200
    desk.post("/review/password", data={"password": PASSWORD, "again": PASSWORD})
    assert head.get("/review").status_code == 401 and desk.get("/review").status_code == 200


def test_a_login_ends_after_hours_unused_and_in_any_case_after_three_days(house: House) -> None:
    desk = house.desk()
    house.clocks.pass_ms(12 * HOUR_MS - 1)
    assert desk.get("/desk/tablets").status_code == 200
    for _ in range(5):
        house.clocks.pass_ms(11 * HOUR_MS)
        assert desk.get("/desk/tablets").status_code == 200
    house.clocks.pass_ms(6 * HOUR_MS)
    assert desk.get("/desk/tablets").status_code == 401, "three days, however much it was used"
    idle = house.desk()
    house.clocks.pass_ms(12 * HOUR_MS)
    assert idle.get("/desk/tablets").status_code == 401
    assert idle.get("/desk", headers=PAGE).headers["location"] == "/desk/enter?next=/desk"


def test_a_session_is_as_old_after_a_restart_as_before(tmp_path: Path) -> None:
    with a_house(tmp_path) as before:
        desk, tablet = before.desk().cookies["ll_desk"], before.tablet(1).cookies["ll_device"]
    with a_house(tmp_path, competition=False) as after:
        after.clocks.wall += 13 * HOUR_MS
        assert as_before(after, "ll_desk", desk).get("/desk/tablets").status_code == 401
        assert as_before(after, "ll_device", tablet).get("/lane/packet").status_code == 200


def test_a_step_of_the_wall_clock_logs_nobody_out(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    assert desk.get("/desk/tablets").status_code == tablet.get("/lane/packet").status_code == 200
    for step in (400 * 24 * HOUR_MS, -800 * 24 * HOUR_MS):
        house.clocks.wall += step
        assert desk.get("/desk/tablets").status_code == tablet.get("/lane/packet").status_code == 200


def test_a_lane_is_not_logged_out_while_its_heat_is_under_way(house: House) -> None:
    desk, tablet, other = house.desk(), house.tablet(1), house.tablet(4)
    house.clocks.pass_ms(14 * 24 * HOUR_MS)
    desk = house.desk()
    heat = house.app.state.hall.projection.roster.heats[0]
    lanes = {one.lane for one in heat.lanes}
    assert desk.post(f"/desk/heats/{heat.id}/go", data={"lead": "5"}).status_code == 200
    run = house.app.state.hall.projection.runs[-1]
    assert go_on_this_timeline(run, house.app.state.hall.time) > house.clocks.server
    assert post(tablet, a_mark(1)).json()["refused"] == []
    assert desk.post(f"/desk/heats/{heat.id}/abort", data={"why": "Over"}).status_code == 200
    assert post(tablet, a_mark(2)).status_code == 401 and (4 not in lanes or other.get("/lane/packet").status_code == 401)


def post(browser: TestClient, *marks: object):  # type: ignore[no-untyped-def]
    return both_ways(browser, *marks)


def test_a_lost_tablet_is_out_at_once_and_its_marks_still_come_by_file(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    device = tablet.get("/lane/packet").json()["device"]["id"]
    with tablet.websocket_connect("ws://localhost/lane/socket") as line:
        assert line.receive_json()["type"] == "hello"
        assert desk.post(f"/desk/tablets/{device}/away").status_code == 303
        assert line.receive_json()["type"] == "bye"
        with pytest.raises(WebSocketDisconnect):
            line.receive_json()
    assert post(tablet, a_mark(1, device=device)).status_code == 401 and house.marks() == []
    assert tablet.post("/ten/count", json={"count": "10"}).status_code == 401
    marks = [a_mark(1, device=device), a_mark(2, device=device)]
    saved = json.dumps({"file": "lane-ledger-marks", "version": 1, "tablet": "Lost", "marks": marks}).encode()
    taken = desk.post("/desk/backups/marks", files={"file": ("marks.json", saved, "application/json")})
    assert taken.status_code == 200 and len(house.marks()) == 2, taken.text[:300]


def test_a_desk_that_is_sent_away_hears_nothing_more_on_its_stream(house: House) -> None:
    desk, other = house.desk(), house.desk()
    hall = house.app.state.hall
    ids = re.findall(r'data-device="(dev_[0-9a-f]+)"', other.get("/desk/tablets", headers=PAGE).text)
    mine = next(one for one in ids if f'"{one}"' in desk.get("/desk/tablets", headers=PAGE).text)

    async def listen() -> str:
        news = _news(hall, Who(mine, "desk", None))
        await anext(news)
        waiting = asyncio.ensure_future(anext(news, b"the end"))
        await anyio.lowlevel.checkpoint()
        hall.presence.forget(mine, "Gone.")
        with anyio.fail_after(1):
            return (await waiting).decode()

    assert house.inside.portal.call(listen) == "the end"  # type: ignore[union-attr]


def test_the_desk_sees_of_each_device_what_it_is_where_and_when_it_was_last_heard_of(house: House) -> None:
    desk, tablet = house.desk(), house.browser(ON_THE_LAN)
    tablet.post("/pair", json={"token": house.invitation(1).token}, headers={"user-agent": "Safari iPad; CPU OS 17"})
    assert f"Safari on an iPad · {ON_THE_LAN} · seen just now" in desk.get("/desk/tablets", headers=PAGE).text
    house.clocks.pass_ms(3 * HOUR_MS)
    assert f"{ON_THE_LAN} · seen 3 h ago" in desk.get("/desk/tablets", headers=PAGE).text


@pytest.mark.parametrize("seat", ["ll_desk", "ll_device"])
def test_cookies_last_as_long_as_the_session_and_are_bound_to_https_where_there_is_https(house: House, seat: str) -> None:
    house.desk()
    for scheme, prefix in (("http", ""), ("https", "__Host-")):
        browser = house.browser(ON_THE_LAN)
        browser.base_url = f"{scheme}://localhost"
        if seat == "ll_desk":
            answer = browser.post("/desk/enter", data={"password": PASSWORD})
        else:
            answer = browser.post("/pair", json={"token": house.invitation(1).token})
        cookie = next(one for one in answer.headers.get_list("set-cookie") if seat in one)
        assert cookie.startswith(f"{prefix}{seat}=") and "HttpOnly" in cookie and "SameSite=lax" in cookie and "Path=/" in cookie
        assert ("Secure" in cookie) is (scheme == "https") and "Domain" not in cookie
        hours = Settings().desk_hours if seat == "ll_desk" else Settings().lane_hours
        assert f"Max-Age={round(hours * 3600)}" in cookie
