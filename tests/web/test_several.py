"""Two real server processes behind one port: which one a device meets is chance, and makes no difference to it."""

import asyncio
import http.client
import json
import re
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from websockets.sync.client import ClientConnection, connect

from app.live import relay
from app.live.servertime import this_machine
from app.rehearsal.hall import HEAT, make_hall
from app.rehearsal.serving import PATIENCE_S, free_port
from app.rehearsal.tablet import Seat
from app.rules.records.marks import mark_plain
from app.store.database import Database
from app.store.news import News
from app.store.roster import put_everything
from app.web.fresh import Fresh, NotCaughtUp
from app.web.rows import Page
from tests.builders.halls import SLATE_DAY, a_house
from tests.builders.halls import House as Hall
from tests.postgres import needed_cluster
from tests.several import Several
from tests.store.making import a_mark
from tests.web.knocking import Caller, knock

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="several processes need Linux or macOS")
SOCKET, OURS = "ws://localhost/lane/socket", {"origin": "http://localhost"}
LANES = 8  # sockets enough that both processes have some


@dataclass
class House:
    """The running server, a tablet's seat for each lane, and the desk's session."""

    port: int
    seats: list[Seat]
    desk: str

    def ask(
        self, method: str, path: str, cookie: str = "", form: dict[str, str] | None = None, body: Any = None
    ) -> tuple[int, Any]:
        """One request over a connection of its own: chance says which process has it."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        kind = "application/json" if body is not None else "application/x-www-form-urlencoded"
        sent = json.dumps(body) if body is not None else urlencode(form or {})
        headers = {
            "Origin": f"http://127.0.0.1:{self.port}",
            "Content-Type": kind,
            "Cookie": cookie,
            "Accept": "application/json",
        }
        line.request(method, path, sent if method == "POST" else None, headers)
        answer = line.getresponse()
        said = answer.status, answer.read().decode()
        line.close()
        return said

    def socket(self, seat: Seat) -> ClientConnection:
        """A tablet's line."""
        origin = f"http://127.0.0.1:{self.port}"
        return connect(
            f"ws://127.0.0.1:{self.port}/lane/socket",
            additional_headers={"Cookie": f"ll_device={seat.token}", "Origin": origin},
            open_timeout=PATIENCE_S,
        )


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """Two processes over a hall whose heat waits for its GO."""
    url, data = needed_cluster().ready_store(), tmp_path_factory.mktemp("data")
    seats, desk = make_hall(Path(data), LANES, this_machine(), gone=False, url=url)
    several = Several(url, Path(data), free_port())
    yield House(several.port, seats, f"ll_desk={desk}")
    several.close()


def heard(socket: ClientConnection, kind: str) -> dict[str, Any]:
    """The next message of a kind."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        said = json.loads(socket.recv(timeout=PATIENCE_S))
        if said["type"] == kind:
            return dict(said)
    raise TimeoutError(kind)


def test_one_day_at_a_server_of_two_processes(house: House) -> None:
    with ExitStack() as open_lines:
        play_a_day(house, [open_lines.enter_context(house.socket(seat)) for seat in house.seats])


def play_a_day(house: House, sockets: list[ClientConnection]) -> None:
    """A GO, marks, a device sent away."""
    for socket in sockets:
        assert heard(socket, "hello")["held"] == {}

    status, said = house.ask("POST", f"/desk/heats/{HEAT}/go", house.desk, {"lead": "3"})
    assert status == 200, said
    started = [heard(socket, "run") for socket in sockets]
    assert len({one["go_server_ms"] for one in started}) == 1, "every lane starts at the same instant"

    for seat, socket in zip(house.seats, sockets, strict=True):
        mark = {**plain(seat), "device": seat.device}
        if seat.lane % 2:  # by the line that is open, whichever process holds it
            socket.send(json.dumps({"type": "marks", "n": 1, "marks": [mark]}))
            status, answer = 200, heard(socket, "answer")
        else:
            status, said = house.ask("POST", "/marks", f"ll_device={seat.token}", body={"marks": [mark]})
            answer = json.loads(said)
        assert status == 200 and answer["held"] == {"1": 1}, answer
    for _ in range(6):  # whichever process answers
        for seat in house.seats[:2]:
            status, said = house.ask("GET", "/lane/packet", f"ll_device={seat.token}")
            assert [mark["seq"] for mark in json.loads(said)["marks"]] == [1]
        assert house.ask("GET", "/health")[0] == 200

    gone = house.seats[0]
    status, said = house.ask("POST", f"/desk/tablets/{gone.device}/away", house.desk)
    assert status in (200, 303), said
    assert "ended" in heard(sockets[0], "bye")["sentence"]
    assert {house.ask("GET", "/lane/packet", f"ll_device={gone.token}")[0] for _ in range(8)} == {401}


def plain(seat: Seat) -> dict[str, Any]:
    """A repetition on a seat's sheet, as JSON."""
    mark = a_mark(1)
    return {
        "id": f"{seat.lane:032x}",
        "sheet": seat.sheet,
        "epoch": 1,
        "seq": 1,
        "kind": mark.kind,
        "at": mark.at,
        "err": mark.err,
        "win": mark.win,
        "body": {},
    }


def test_what_the_desk_saves_it_sees_on_the_next_page_whichever_process_shows_it(house: House) -> None:
    for number in range(12):
        name = f"Cup {number}"
        form = {"name": name, "place": "", "day": "", "unit": "lb"}
        status, said = house.ask("POST", "/desk/competition", house.desk, form)
        assert status in (200, 303), said
        assert name in house.ask("GET", "/desk/competition", house.desk)[1]


def test_a_process_that_lacks_marks_sends_no_packet_signs_nothing_off_and_shows_its_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A tablet that misses its marks in a packet takes them for lost, though another process has them."""
    url = needed_cluster().ready_store()
    database = Database(url)
    database.write(lambda session: put_everything(session, SLATE_DAY, (), ()))
    database.close()
    with (
        a_house(tmp_path / "one", competition=False, url=url) as one,
        a_house(tmp_path / "other", competition=False, url=url) as other,
    ):
        tablet, desk = one.tablet(1), one.desk()
        lagging, at_lagging = (other.browser() for _ in range(2))
        lagging.cookies, at_lagging.cookies = tablet.cookies, desk.cookies
        known = lagging.get("/lane/packet").json()
        sheet = f"{known['heats'][0]['assignment']['id']}/1/lane"
        with lagging_behind(other, monkeypatch):
            mark = {**mark_plain(a_mark(1, sheet=sheet)), "device": known["device"]["id"]}
            assert tablet.post("/marks", json={"marks": [mark]}).json()["held"] == {"1": 1}
            signing = at_lagging.post("/review/events/evt_1/sign-off", data={"by": "Ines"})
            for answer in (lagging.get("/lane/packet"), at_lagging.get("/desk/competition.json"), signing):
                assert (answer.status_code, answer.headers["retry-after"]) == (503, "2")
                assert answer.json()["sentence"] == str(NotCaughtUp())
            with lagging.websocket_connect(SOCKET, headers=OURS) as line:
                assert "held" not in line.receive_json(), "what it does not know it does not say"
            assert {at_lagging.get(path).status_code for path in ("/board", "/results", "/desk")} == {200}
            assert "not heard of everything yet" in at_lagging.get("/desk").text
        assert [mark["seq"] for mark in lagging.get("/lane/packet").json()["marks"]] == [1]
        assert "not heard of everything yet" not in at_lagging.get("/desk").text


@contextmanager
def lagging_behind(hall: Hall, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A process that takes over nothing of what the others do, and for which nobody waits long."""
    ears = hall.app.state.hall.relay._ears
    take, lags = ears.take_news, threading.Event()

    async def late(found: Sequence[News]) -> None:
        while lags.is_set():  # noqa: ASYNC110  it is cleared by another thread
            await asyncio.sleep(0.01)
        await take(found)

    lags.set()
    with monkeypatch.context() as patched:
        patched.setattr(relay, "CATCH_UP_S", 0.05)
        patched.setattr(ears, "take_news", late)
        yield
        lags.clear()


TAKES_IN_OR_STOPS = {
    "/claim/{token}/answer",
    "/claim/{token}/appeal",
    "/claim/{token}/send",
    "/desk/heats/{heat_id}/abort",
    "/desk/heats/{heat_id}/hold",
    "/desk/lanes/{assignment}/call",
    "/desk/leave",
    "/desk/tablets/{device_id}/away",
    "/protest/{token}",
    "/review/leave",
    "/round/binding",
    "/round/hand-in/{digest}",
    "/round/hand-in/{digest}/films",
    "/round/promise",
}
TAKEN_FOR_ALL_THERE_IS = {
    "/desk/paper/{event}/heats",
    "/desk/paper/{event}/sheets",
    "/announcer/{event}/sheet",
    "/halls.json",
    "/lane/packet",
    "/podium",
    "/results.json",
    "/results/{event}",
    "/review/video/packet",
}


def test_what_is_kept_for_good_taken_along_or_taken_for_all_there_is_comes_from_no_process_that_may_lack_something(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every row of the application is knocked at; that each act and each file that leaves the desk is on record, is held to in
    tests/keep/test_done_page.py."""

    async def in_vain() -> bool:
        return False

    with a_house(tmp_path) as hall:
        monkeypatch.setattr(hall.app.state.hall.relay, "caught_up", in_vain)
        rows = [row for row in hall.app.routes if isinstance(row, Page) and isinstance(row.app, Fresh)]
        refused = {(method, row.path) for row in rows for method in row.methods if is_refused(hall, method, row.path)}
        on_record = {(method, row.path) for row in rows for method in row.methods if row.says.record is not None}
    expected = on_record - {("POST", path) for path in TAKES_IN_OR_STOPS} | {("GET", path) for path in TAKEN_FOR_ALL_THERE_IS}
    assert sorted(refused) == sorted(expected) and len(refused) > 150
    assert {("POST", "/review/events/{event}/sign-off"), ("POST", "/desk/backups/now"), ("GET", "/desk/results.csv")} <= refused


def is_refused(hall: Hall, method: str, address: str) -> bool:
    """Whether a page answers that it can't be sure to know everything."""
    status, headers, body = knock(hall, method, re.sub(r"{[^}]+}", "x", address), Caller("anybody", {}, "reader"))
    return status == 503 and headers.get("retry-after") == "2" and str(NotCaughtUp()) in body.decode()
