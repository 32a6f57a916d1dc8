"""Pairing: who becomes what, by which secret, and how it ends."""

from pathlib import Path

import pytest
from argon2 import PasswordHasher
from starlette.testclient import WebSocketDenialResponse, WebSocketDisconnect

from app.doors import logins
from app.live.guesses import HOUR_MS
from tests.builders.halls import ON_THE_LAN, PASSWORD, House, a_house, a_mark, sent

SOCKET = "ws://localhost/lane/socket"
JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}


def test_the_first_visitor_on_the_laptop_sets_the_password_and_is_the_desk(house: House) -> None:
    desk = house.desk()
    assert desk.get("/desk/tablets").status_code == 200


def test_a_spectator_cannot_be_first_to_set_the_password(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    spectator = house.browser(ON_THE_LAN)
    assert "Six digits, shown in the window" in spectator.get("/desk/enter", headers=PAGE).text
    answer = spectator.post("/desk/enter", data={"password": PASSWORD, "again": PASSWORD, "code": "000000"})
    assert answer.status_code == 403
    shown = house.app.state.hall.presence.first_code
    assert f"{shown[:3]} {shown[3:]}" in capsys.readouterr().out
    typed = {"password": PASSWORD, "again": PASSWORD, "code": f" {shown[:3]} {shown[3:]} "}
    assert spectator.post("/desk/enter", data=typed).status_code == 303


def test_the_password_is_set_once(house: House) -> None:
    house.desk()
    other = house.browser()
    answer = other.post("/desk/enter", data={"password": "another one here", "again": "another one here"})
    assert answer.status_code == 403 and answer.json()["sentence"] == "That is not the desk's password."
    assert other.post("/desk/enter", data={"password": PASSWORD}).status_code == 303


@pytest.mark.parametrize(
    ("password", "again", "says"),
    [("short", "short", "8 to 200"), ("long enough", "not the same", "differ"), ("", "", "8 to 200")],
)
def test_a_first_password_that_will_not_do_is_told_why(house: House, password: str, again: str, says: str) -> None:
    answer = house.browser().post("/desk/enter", data={"password": password, "again": again}, headers=PAGE)
    assert answer.status_code == 422 and says in answer.text


def stored_in(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.iterdir() if path.is_file())


def test_the_password_is_kept_as_a_costly_hash_only(house: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logins, "PasswordHasher", PasswordHasher)
    house.desk()
    stored = stored_in(tmp_path)
    assert b"$argon2id$v=19$m=65536,t=3," in stored and PASSWORD.encode() not in stored


def test_the_other_tests_hash_at_a_thousandth_of_the_cost(house: House, tmp_path: Path) -> None:
    house.desk()
    assert b"$argon2id$v=19$m=64,t=1," in stored_in(tmp_path)


def test_a_qr_code_makes_a_tablet_lane_2s_once(house: House) -> None:
    token = house.invitation(2).token
    tablet = house.browser(ON_THE_LAN)
    promise = tablet.post("/pair/look", json={"token": token}).json()
    assert promise["becomes"] == "lane 2's judging screen" and promise["competition"] == "The Slate Day"
    assert tablet.post("/pair", json={"token": token}).json() == {"to": "/lane", "name": "Lane 2 tablet", "word": ""}
    assert tablet.get("/lane/packet").json()["device"]["lane"] == 2
    second = house.browser(ON_THE_LAN).post("/pair", json={"token": token})
    assert second.status_code == 403 and "was used or mistyped" in second.json()["sentence"]


@pytest.mark.parametrize(
    ("seat", "becomes", "name", "sheet"),
    [
        ("lane", "lane 2's judging screen", "Lane 2 tablet", "lane"),
        ("second", "lane 2's second counter, beside its judge", "Lane 2 second counter", "second"),
        ("third", "lane 2's third counter, beside its judge", "Lane 2 third counter", "third"),
        (
            "shadow",
            "lane 2's shadow judge, beside its judge: the sheet is compared and changes no score by itself",
            "Lane 2 shadow judge",
            "shadow",
        ),
        ("lifter", "lane 2's call screen, for the lifter and the loaders", "Lane 2 call screen", "lane"),
    ],
)
def test_a_device_becomes_what_it_was_invited_as(house: House, seat: str, becomes: str, name: str, sheet: str) -> None:
    token = house.invitation(2, seat).token
    tablet = house.browser(ON_THE_LAN)
    assert tablet.post("/pair/look", json={"token": token}).json()["becomes"] == becomes
    assert tablet.post("/pair", json={"token": token}).json()["name"] == name
    assert tablet.get("/lane/packet").json()["device"]["sheet"] == sheet


def test_a_restarted_server_still_knows_which_counter_a_tablet_is(house: House, tmp_path: Path) -> None:
    second = house.tablet(1, "second")
    cookie = second.cookies["ll_device"]
    with a_house(tmp_path, competition=False) as again:  # over the same folder
        tablet = again.browser(ON_THE_LAN)
        tablet.cookies.set("ll_device", cookie)
        assert tablet.get("/lane/packet").json()["device"]["sheet"] == "second"
        refused = tablet.post("/marks", content=sent(a_mark(sheet="asg_1_1/1/lane")), headers=JSON).json()["refused"]
        assert refused[0]["sentence"].startswith("This device is the second counter of lane 1")


def test_the_desk_lists_a_lanes_counters_by_what_they_are(house: House) -> None:
    desk = house.desk()
    for seat in ("third", "lane", "second"):
        house.tablet(1, seat)
    page = desk.get("/desk/tablets", headers=PAGE).text
    names = [
        page.index(f"<strong>{name}</strong>") for name in ("Lane 1 tablet", "Lane 1 second counter", "Lane 1 third counter")
    ]
    assert names == sorted(names) and "Second counter" in page and "Third counter" in page


def test_counters_are_offered_on_each_lane_where_an_event_joins_counts(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    offered = 'value="second">Invite a second counter'
    assert desk.get("/desk/tablets", headers=PAGE).text.count(offered) == 1, "only for another lane, by its number"
    event = hall.projection.roster.events[0].id
    assert desk.post(f"/desk/events/{event}/variants", data={"how": "mean"}).status_code == 303
    assert desk.get("/desk/tablets", headers=PAGE).text.count(offered) == 5
    shown = desk.post("/desk/tablets", data={"lane": "3", "role": "second"}, headers=PAGE).text
    assert "Lane 3, second counter" in shown
    refused = desk.post("/desk/tablets", data={"lane": "3", "role": "fourth"}, headers=PAGE)
    assert refused.status_code == 422 and "judging screen, second counter, third counter" in refused.text


def test_a_short_code_may_be_typed_with_blanks_and_without_a_script(house: House) -> None:
    code = house.invitation(3, "lifter").code
    phone = house.browser(ON_THE_LAN)
    answer = phone.post("/pair", data={"code": f"{code[:3]}  {code[3:]}"}, headers=PAGE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/call")


def test_an_invitation_is_good_for_ten_minutes(house: House) -> None:
    invitation = house.invitation(1)
    house.clocks.pass_ms(10 * 60_000)
    assert house.browser().post("/pair", json={"code": invitation.code}).status_code == 403
    assert house.browser().post("/pair", json={"token": invitation.token}).status_code == 403


def test_secrets_are_stored_as_hashes_only(house: House, tmp_path: Path) -> None:
    invitation = house.invitation(1)
    tablet = house.browser()
    tablet.post("/pair", json={"token": invitation.token})
    stored = b"".join(path.read_bytes() for path in tmp_path.iterdir() if path.is_file())
    secrets = [invitation.token, invitation.code, tablet.cookies["ll_device"]]
    assert [secret for secret in secrets if secret.encode() in stored] == []


def test_after_five_wrong_codes_an_address_waits_but_a_qr_code_and_the_desk_still_work(house: House) -> None:
    desk = house.desk()
    guesser = house.browser(ON_THE_LAN)
    wrong = [guesser.post("/pair", json={"code": f"{n:06}"}).status_code for n in range(5)]
    assert wrong == [403] * 5
    right = house.invitation(1)
    refused = guesser.post("/pair", json={"code": right.code})
    assert refused.status_code == 429 and "60 minutes" in refused.json()["sentence"] and refused.headers["retry-after"] == "3600"
    assert desk.get("/desk/tablets").status_code == 200
    assert guesser.post("/pair", json={"token": right.token}).status_code == 200


def test_after_thirty_wrong_codes_in_all_every_address_waits_an_hour(house: House) -> None:
    for n in range(30):
        house.browser(f"192.0.2.{n + 1}").post("/pair", json={"code": f"{n:06}"})
    fresh = house.browser("192.0.2.200")
    assert fresh.post("/pair", json={"code": house.invitation(1).code}).status_code == 429
    assert house.browser().post("/pair", json={"code": house.invitation(1).code}).status_code == 200, (
        "the laptop itself is not held up"
    )
    house.clocks.pass_ms(HOUR_MS)
    assert fresh.post("/pair", json={"code": house.invitation(1).code}).status_code == 200


def test_right_answers_use_up_no_tries(house: House) -> None:
    house.desk()
    helper = house.browser(ON_THE_LAN)
    statuses = {helper.post("/desk/enter", data={"password": PASSWORD}).status_code for _ in range(10)}
    assert statuses == {303}


def test_a_device_sent_away_is_refused_at_once_and_its_socket_is_told(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    device = tablet.get("/lane/packet").json()["device"]["id"]
    with tablet.websocket_connect(SOCKET) as line:
        assert line.receive_json()["type"] == "hello"
        assert desk.post(f"/desk/tablets/{device}/away").status_code == 303
        farewell = line.receive_json()
        assert farewell["type"] == "bye" and "ended this device's pairing" in farewell["sentence"]
        with pytest.raises(WebSocketDisconnect):
            line.receive_json()
    assert tablet.post("/marks", content=sent(a_mark()), headers=JSON).status_code == 401
    assert tablet.get("/lane/packet").status_code == 401
    assert house.marks() == []


def test_a_stranger_on_the_socket_hears_why_not(house: House) -> None:
    with house.browser().websocket_connect(SOCKET) as line:
        assert line.receive_json() == {"type": "bye", "sentence": "This device isn't paired, or no longer. Pair it at the desk."}


def test_a_tablet_paired_anew_gives_up_its_old_lane(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    old = tablet.get("/lane/packet").json()["device"]["id"]
    token = house.invitation(2).token
    assert tablet.post("/pair/look", json={"token": token}).json()["gives_up"] == "Lane 1 tablet"
    tablet.post("/pair", json={"token": token})
    assert old not in desk.get("/desk/tablets/states").json()
    assert tablet.get("/lane/packet").json()["device"]["lane"] == 2


def test_one_browser_can_be_the_desk_and_judge_a_lane(house: House) -> None:
    desk = house.desk()
    answer = desk.post("/desk/tablets/here", data={"role": "lane", "lane": "4"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/lane")
    assert desk.get("/lane/packet").json()["device"]["lane"] == 4
    assert desk.get("/desk/tablets").status_code == 200


def test_the_desk_sees_what_a_tablet_reports_and_when_it_falls_silent(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    device = tablet.get("/lane/packet").json()["device"]["id"]
    with tablet.websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_json(
            {"type": "report", "outbox": 12, "kept": 40, "bound_ms": 4, "heat": "het_1", "screen": "lane", "clock": "synced"}
        )
        line.send_json({"type": "ping", "t1": 17.5})
        assert line.receive_json() == {"type": "pong", "t1": 17.5, "t2": 5_000_000.25, "t3": 5_000_000.25}
        nothing = {"refused": "", "waits": ""}
        states = desk.get("/desk/tablets/states").json()
        assert states[device] == {"state": "kept", "words": "online, 12 marks still on it", **nothing}
        house.clocks.pass_ms(8_000)
        states = desk.get("/desk/tablets/states").json()
        assert states[device] == {"state": "look", "words": "unreachable, 12 marks on it when last in touch", **nothing}


@pytest.mark.parametrize(
    "said", ["not json", '{"type":"ping"}', '{"type":"ping","t1":1e999}', '{"type":"report","outbox":-1}', "[" * 5000]
)
def test_a_socket_that_talks_nonsense_is_closed(house: House, said: str) -> None:
    with house.tablet(1).websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_text(said)
        with pytest.raises(WebSocketDisconnect) as closed:
            line.receive_json()
        assert closed.value.code == 1007


def test_a_device_gets_a_name_or_hears_what_a_name_is(house: House) -> None:
    desk, tablet = house.desk(), house.tablet(1)
    device = tablet.get("/lane/packet").json()["device"]["id"]
    desk.post(f"/desk/tablets/{device}/name", data={"name": "<b>Blue & co</b>"})
    page = desk.get("/desk/tablets").text
    assert "&lt;b&gt;Blue &amp; co&lt;/b&gt;" in page and "<b>Blue" not in page
    assert tablet.get("/lane/packet").json()["device"]["name"] == "<b>Blue & co</b>"
    refused = desk.post(f"/desk/tablets/{device}/name", data={"name": "a\u202eb"})
    assert refused.status_code == 422 and "control character" in refused.text
    assert desk.post("/desk/tablets/dev_nobody/name", data={"name": "Nobody"}).status_code == 404


def test_the_invitation_page_shows_a_qr_code_a_lan_address_and_a_short_code(house: House) -> None:
    page = house.desk().post("/desk/tablets", data={"role": "lane", "lane": "2"}, headers=PAGE)
    assert page.status_code == 200 and page.headers["cache-control"] == "no-store"
    assert 'src="data:image/svg+xml' in page.text and "/pair</strong>" in page.text and "http://localhost/pair" not in page.text


@pytest.mark.parametrize(
    "typed", [{"role": "lane", "lane": "61"}, {"role": "lane", "lane": "²"}, {"role": "head", "lane": "1"}, {}]
)
def test_an_invitation_that_cannot_be_is_refused_with_a_sentence(house: House, typed: dict[str, str]) -> None:
    answer = house.desk().post("/desk/tablets", data=typed or {"x": ""})
    assert answer.status_code == 422 and answer.json()["sentence"].endswith(".")


def test_only_the_desk_sees_tablets_and_is_led_back_after_logging_in(house: House) -> None:
    stranger = house.browser(ON_THE_LAN)
    assert stranger.get("/desk/tablets").status_code == 401
    led = stranger.get("/desk/tablets", headers=PAGE)
    assert (led.status_code, led.headers["location"]) == (303, "/desk/enter?next=/desk/tablets")
    tablet = house.tablet(1)
    assert tablet.get("/desk/tablets").status_code == 401


@pytest.mark.parametrize(
    "elsewhere", ["https://example.org/desk", "//example.org", "/desk\\example", "/desk//example.org", "/lane", "javascript:1"]
)
def test_the_way_back_never_leads_to_another_site(house: House, elsewhere: str) -> None:
    house.desk()
    answer = house.browser().post("/desk/enter", data={"password": PASSWORD, "next": elsewhere})
    assert answer.headers["location"] == "/desk"


def test_sessions_are_out_of_reach_of_scripts_and_other_sites(house: House) -> None:
    answer = house.browser().post("/desk/enter", data={"password": PASSWORD, "again": PASSWORD})
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=lax" in cookie and "Path=/" in cookie


def test_logging_out_ends_the_session_itself(house: House) -> None:
    desk = house.desk()
    token = desk.cookies["ll_desk"]
    assert desk.post("/desk/leave").status_code == 303
    thief = house.browser()
    thief.cookies.set("ll_desk", token)
    assert thief.get("/desk/tablets").status_code == 401


def test_a_session_outlives_a_restart_and_a_step_of_the_clock(tmp_path: Path) -> None:
    with a_house(tmp_path) as before:
        cookie = before.tablet(1).cookies["ll_device"]
    with a_house(tmp_path, competition=False) as after:
        after.clocks.wall -= HOUR_MS
        tablet = after.browser(ON_THE_LAN)
        tablet.cookies.set("ll_device", cookie)
        assert tablet.get("/lane/packet").status_code == 200


@pytest.mark.parametrize(
    ("body", "headers", "status"),
    [
        (b"{", JSON, 400),
        (b"\xff", JSON, 400),
        (b"[" * 4_000, JSON, 400),
        (b'{"code": 5}', JSON, 400),
        (b'{"code": "\\ud800"}', JSON, 403),
        (b'{"token": "' + b"a" * 4_000 + b'"}', JSON, 403),
        (b"code=123456", {"content-type": "text/plain"}, 415),
        (b"x", {"content-type": "multipart/form-data; boundary=y"}, 400),
        (b"x", {"content-type": "multipart/form-data"}, 400),
        (b"code=%ff%fe%00", {"content-type": "application/x-www-form-urlencoded"}, 403),
        (b"a" * 300_000, JSON, 413),
    ],
)
def test_a_pairing_request_that_makes_no_sense_gets_a_sentence(
    house: House, body: bytes, headers: dict[str, str], status: int
) -> None:
    answer = house.browser().post("/pair", content=body, headers=headers)
    assert answer.status_code == status and answer.json()["sentence"].endswith(".")


def test_a_foreign_page_opens_no_socket(house: House) -> None:
    tablet = house.tablet(1)
    with (
        pytest.raises((WebSocketDisconnect, WebSocketDenialResponse)),
        tablet.websocket_connect(SOCKET, headers={"origin": "http://evil.example"}),
    ):
        pass
