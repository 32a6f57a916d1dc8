"""Two real server processes behind one port: which one a device meets is chance, and makes no difference to it."""

import http.client
import json
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from websockets.sync.client import ClientConnection, connect

from app.live.servertime import this_machine
from app.rehearsal.hall import HEAT, make_hall
from app.rehearsal.serving import PATIENCE_S, free_port
from app.rehearsal.tablet import Seat
from tests.builders.halls import a_house
from tests.postgres import needed_cluster
from tests.several import Several
from tests.store.making import a_mark

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="several processes need Linux or macOS")
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


def test_a_process_that_may_lack_marks_sends_no_packet_and_shows_its_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A tablet that misses its marks in a packet takes them for lost, though another process has them."""
    with a_house(tmp_path, competition=False, url=needed_cluster().ready_store()) as house:
        desk = house.desk()
        packets = ("/lane/packet?lane=1", "/review/video/packet?assignment=asg_1")
        assert {desk.get(path).status_code for path in packets} == {404}, "there is no competition yet"

        async def in_vain() -> bool:
            return False

        monkeypatch.setattr(house.app.state.hall.relay, "caught_up", in_vain)
        for path in packets:
            answer = desk.get(path)
            assert (answer.status_code, answer.headers["retry-after"]) == (503, "2") and "could lack" in answer.json()["sentence"]
        assert {desk.get(path).status_code for path in ("/board", "/results", "/desk")} == {200}
