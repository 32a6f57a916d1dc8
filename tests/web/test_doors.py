"""The doors: foreign names, foreign pages, large and slow bodies, and the headers on every answer."""

import asyncio
import threading
from collections.abc import AsyncIterator, Iterator
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from app.lan.addresses import is_loopback, lan_addresses, own_hosts
from app.lan.names import machine_name
from app.web import roles
from app.web.doors import KnownHosts, host_name
from app.web.limits import USUAL_BYTES, BodyLimit
from app.web.pages import static_url
from tests.builders.halls import House, TestClient, a_mark, sent

JSON = {"content-type": "application/json"}


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:8765", "127.0.0.1:1", "[::1]:8765", *lan_addresses()[:1]])
def test_the_server_answers_to_its_own_names(house: House, host: str) -> None:
    assert house.browser().get("/pair", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "evil.example:8765", "localhost.", "127.0.0.1.nip.example"]
)
def test_a_foreign_name_is_refused_before_anything_is_done(house: House, host: str) -> None:
    answer = house.browser().post("/desk/enter", data={"password": "x" * 12, "again": "x" * 12}, headers={"host": host})
    assert answer.status_code == 421 and answer.json()["sentence"].startswith("This server does not answer to that name")
    assert "content-security-policy" in answer.headers


@pytest.mark.parametrize(
    "host", ["", "a b", "localhost@evil.example", "localhost/../x", "localhost,evil", "[::1", "localhost:99999999"]
)
def test_a_host_that_is_no_name_is_refused(house: House, host: str) -> None:
    assert house.browser().get("/pair", headers={"host": host}).status_code == 400


def test_two_host_headers_are_one_too_many(house: House) -> None:
    headers = [("host", "localhost"), ("host", "evil.example")]
    assert house.browser().get("/pair", headers=headers).status_code == 400


def test_a_host_name_is_read_without_its_port() -> None:
    assert [host_name(h) for h in ("A.local:80", "[FD00::1]:80", "10.0.0.1")] == ["a.local", "[fd00::1]", "10.0.0.1"]


def test_an_address_that_the_laptop_gets_later_is_known_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    names, now = [frozenset({"localhost"}), frozenset({"localhost", "192.0.2.9"})], [100.0]
    monkeypatch.setattr("app.web.doors.monotonic", lambda: now[0])
    door = KnownHosts(PlainTextResponse("in"), hosts=lambda: names.pop(0))
    assert _status(door, "192.0.2.9") == 421
    now[0] += 6
    assert _status(door, "192.0.2.9") == 200


def test_nobody_waits_for_a_slow_look_at_the_names_but_who_gives_an_unknown_one(monkeypatch: pytest.MonkeyPatch) -> None:
    now, asked, answered = [100.0], list[str](), threading.Event()
    monkeypatch.setattr("app.web.doors.monotonic", lambda: now[0])

    def names() -> frozenset[str]:
        asked.append("")
        assert len(asked) == 1 or answered.wait(20)
        return frozenset({"localhost"}) if len(asked) == 1 else frozenset({"localhost", "192.0.2.9"})

    async def play() -> list[int]:
        door = KnownHosts(PlainTextResponse("in"), hosts=names)
        now[0] += 6
        strangers = [asyncio.create_task(_ask(door, _parts([b""], 0), host)) for host in ("192.0.2.9", "evil.example")]
        await asyncio.sleep(0)
        judge = await _ask(door, _parts([b""], 0), "localhost")
        assert not any(one.done() for one in strangers), "the judge was let in while the names were looked up"
        answered.set()
        return [judge[0], *[(await one)[0] for one in strangers]]

    assert asyncio.run(play()) == [200, 200, 421]
    assert len(asked) == 2, "once for both strangers"


FOREIGN: list[dict[str, str]] = [
    {"origin": "http://evil.example"},
    {"origin": "null"},
    {"origin": "https://localhost"},
    {"origin": "http://localhost:9999"},
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"origin": "http://localhost", "sec-fetch-site": "cross-site"},
]


@pytest.mark.parametrize("headers", FOREIGN)
def test_a_foreign_page_writes_nothing_even_with_the_cookie(house: House, headers: dict[str, str]) -> None:
    tablet = house.tablet(1)
    plain = {"content-type": "text/plain"} | headers
    assert tablet.post("/marks", content=sent(a_mark()), headers=plain).status_code == 403
    answer = tablet.post("/marks", content=sent(a_mark()), headers=JSON | headers)
    assert answer.status_code == 403 and "another site" in answer.json()["sentence"]
    assert house.marks() == []


@pytest.mark.parametrize(
    "headers", [{}, {"origin": "http://localhost"}, {"origin": "http://localhost", "sec-fetch-site": "same-origin"}]
)
def test_our_own_pages_and_programs_write(house: House, headers: dict[str, str]) -> None:
    assert house.tablet(1).post("/marks", content=sent(a_mark()), headers=JSON | headers).status_code == 200


@pytest.mark.parametrize("path", ["/pair", "/no-such-page", "/desk/enter", "/lane/packet"])
def test_every_answer_carries_the_policy(house: House, path: str) -> None:
    headers = house.browser().get(path).headers
    policy = headers["content-security-policy"]
    for part in ("default-src 'self'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"):
        assert part in policy.split("; ")
    assert "unsafe" not in policy and "*" not in policy
    assert headers["x-content-type-options"] == "nosniff" and headers["referrer-policy"] == "same-origin"


def test_parts_of_a_page_carry_what_browsers_read_there_and_the_worker_its_own_policy(house: House) -> None:
    page = house.browser()
    for part in ("js/screens/floor/lane.js", "css/floor/lane.css", "fonts/atkinson-next-400.woff2"):
        headers = page.get(static_url(part)).headers
        assert headers["x-content-type-options"] == "nosniff" and headers["cross-origin-resource-policy"] == "same-origin"
        assert "content-security-policy" not in headers
    for whole in ("/sw.js", static_url("icon.svg"), "/static/0/none.js"):
        assert "content-security-policy" in page.get(whole).headers, whole


PUBLIC = ("/pair", "/pair/look", "/desk/enter", "/review/enter")


@pytest.mark.parametrize("path", PUBLIC)
def test_of_what_anybody_may_send_four_kilobytes_are_read(house: House, path: str) -> None:
    told: list[int] = []

    def endless() -> Iterator[bytes]:
        while len(told) < 100:
            told.append(1)
            yield b"a" * 1024

    for body in (b"a" * 5000, endless()):
        answer = house.browser().post(path, content=body, headers=JSON)
        assert answer.status_code == 413 and answer.json()["sentence"] == "That is too much to send at once. The limit is 4 kB."
    assert house.browser().post(path, content=b'{"code": "1"}', headers=JSON).status_code != 413


def test_whoever_needs_no_session_is_read_a_short_body_only(house: House) -> None:
    app = house.app
    doors = {way.path: way.doors[0] for way in roles.ways(app) if "POST" in way.methods}
    anybody = {path for path, door in doors.items() if door.admits == roles.ALL}
    read_last = {path for path in anybody if path.startswith("/round/hand-in/{digest}")}
    large = {path for path in anybody if not 0 < app.bodies().get(path, 0) <= 16 * 1024}
    assert anybody >= set(PUBLIC) and large == read_last
    for path in read_last:  # who has not promised its digest is not listened to
        read: list[int] = []

        def body(read: list[int] = read) -> Iterator[bytes]:
            for piece in range(64):
                read.append(piece)
                yield b"a" * 64 * 1024

        answer = house.browser().post(path.format(digest="0" * 64), content=body(), headers={"content-type": "application/json"})
        assert answer.status_code == 404 and len(read) <= 1, answer.text


def test_a_body_that_says_it_is_too_large_is_refused_unread(house: House) -> None:
    answer = house.tablet(1).post("/marks", content=b"a" * (USUAL_BYTES + 1), headers=JSON)
    assert answer.status_code == 413 and answer.json()["sentence"] == "That is too much to send at once. The limit is 256 kB."


def test_a_person_whose_form_is_too_large_gets_a_page(house: House) -> None:
    answer = house.desk().post("/desk/divisions", data={"name": "a" * USUAL_BYTES}, headers={"accept": "text/html"})
    assert answer.status_code == 413 and answer.headers["content-type"].startswith("text/html")
    assert "That is too much to send at once. The limit is 256 kB." in answer.text and "To the board" in answer.text


def test_a_body_that_does_not_say_how_large_it_is_is_cut_off(house: House) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(1000):
            yield b"a" * 1024

    assert house.tablet(1).post("/marks", content=endless(), headers=JSON).status_code == 413


def test_how_much_comes_at_an_address_with_a_gap_is_that_addresss_alone() -> None:
    most = {"/sent/{key}/list": 10, "/sent/{key}": 1000, "/sent/all": 20}

    async def read(request: Request) -> PlainTextResponse:
        return PlainTextResponse(str(len(await request.body())))

    asked = TestClient(BodyLimit(Starlette(routes=[Route("/{path:path}", read, methods=["POST"])]), most, usual=100))
    for path, size in (("/sent/a", 1000), ("/sent/a/list", 10), ("/sent/all", 20), ("/sent/a/b", 100), ("/sent/", 100)):
        assert asked.post(path, content=b"a" * size).status_code == 200, path
        assert asked.post(path, content=b"a" * (size + 1)).status_code == 413, path


def test_a_body_that_comes_too_slowly_is_cut_off() -> None:
    async def read(request: Request) -> PlainTextResponse:
        return PlainTextResponse(str(len(await request.body())))

    app = BodyLimit(Starlette(routes=[Route("/", read, methods=["POST"])]), seconds=0.05)
    assert asyncio.run(_ask(app, _parts([b"a", b"b"], pause=0.2))) == (408, b"The request took too long")
    assert asyncio.run(_ask(app, _parts([b"a", b"b"], pause=0)))[0] == 200


def test_a_body_that_trickles_is_cut_off_long_before_its_time_and_a_poor_network_is_not() -> None:
    async def read(request: Request) -> PlainTextResponse:
        return PlainTextResponse(str(len(await request.body())))

    app = BodyLimit(Starlette(routes=[Route("/", read, methods=["POST"])]), seconds=60, grace=0.1)
    assert asyncio.run(_ask(app, _parts([b"a"] * 50, pause=0.02))) == (408, b"The request took too long")
    assert asyncio.run(_ask(app, _parts([b"a" * 400] * 10, pause=0.02)))[0] == 200


def test_pages_are_packed(house: House) -> None:
    page = house.browser().get("/desk/enter", headers={"accept-encoding": "gzip"})
    assert page.headers["content-encoding"] == "gzip" and "Set the desk" in page.text


def test_own_hosts_hold_loopback_the_lan_and_what_was_added() -> None:
    hosts = own_hosts(["Score.Hall.example"])
    assert {"localhost", "127.0.0.1", "[::1]", "score.hall.example", *lan_addresses()} <= hosts
    assert not machine_name() or machine_name() in hosts


@pytest.mark.parametrize(
    ("address", "own"),
    [
        ("127.0.0.1", True),
        ("127.9.9.9", True),
        ("::1", True),
        ("::ffff:127.0.0.1", True),
        ("192.0.2.1", False),
        ("testclient", False),
    ],
)
def test_the_laptop_itself_is_told_from_the_network(address: str, own: bool) -> None:
    assert is_loopback(address) is own


def _scope(host: str = "localhost") -> dict[str, Any]:
    return {"type": "http", "method": "POST", "path": "/", "query_string": b"", "headers": [(b"host", host.encode())]}


async def _parts(parts: list[bytes], pause: float) -> AsyncIterator[dict[str, Any]]:
    for number, part in enumerate(parts):
        await asyncio.sleep(pause)
        yield {"type": "http.request", "body": part, "more_body": number < len(parts) - 1}


async def _ask(app: Any, messages: AsyncIterator[dict[str, Any]], host: str = "localhost") -> tuple[int, bytes]:
    answer: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return await anext(messages)

    async def send(message: Any) -> None:
        answer.append(message)

    await app(_scope(host), receive, send)
    return answer[0]["status"], answer[1]["body"].removeprefix(b'{"sentence":"')[:25]


def _status(app: Any, host: str) -> int:
    return asyncio.run(_ask(app, _parts([b""], 0), host))[0]
