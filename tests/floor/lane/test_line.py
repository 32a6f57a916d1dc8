"""A tablet's own line as a door of the ledger: its law stands in test_marks_page.py and test_authority_page.py, for both doors.

Here is what a line alone can do: outlast a session, bring frames that are none, and be flooded.
"""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from starlette.websockets import WebSocketDisconnect

from app.floor import pacing
from app.floor.pages.line import NOT_UNDERSTOOD, SENT_AWAY
from app.store.devices import revoke_device
from app.store.writer import StoreAway
from app.web.who import NOT_PAIRED
from tests.builders.halls import House, TestClient, a_mark
from tests.builders.ledger_doors import SOCKET, by_request, framed, on_the_line

HOUR_MS = 3_600_000


def frame(*marks: object, number: int = 1) -> dict[str, Any]:
    return {"type": "marks", "n": number, "marks": marks}


def heard(line: Any, kind: str) -> dict[str, Any]:
    """The next message of a kind."""
    while (said := line.receive_json())["type"] != kind:
        pass
    return dict(said)


def device_of(tablet: TestClient) -> str:
    return str(tablet.get("/lane/packet").json()["device"]["id"])


def sent_away(house: House, tablet: TestClient) -> None:
    assert house.desk().post(f"/desk/tablets/{device_of(tablet)}/away").status_code == 303


def paired_anew(house: House, tablet: TestClient) -> None:
    assert tablet.post("/pair", json={"token": house.invitation(2).token}).status_code == 200


@pytest.mark.parametrize("ends", [sent_away, paired_anew])
def test_what_ends_a_pairing_closes_its_line_with_a_sentence(house: House, ends: Callable[[House, TestClient], None]) -> None:
    tablet = house.tablet(1)
    with tablet.websocket_connect(SOCKET) as line:
        line.send_json(frame(a_mark(1)))
        assert heard(line, "answer")["status"] == 200
        ends(house, tablet)
        assert heard(line, "bye")["sentence"].endswith(".")
        with pytest.raises(WebSocketDisconnect) as closed:
            line.receive_json()
        assert closed.value.code == SENT_AWAY
    assert [mark.seq for mark in house.marks()] == [1]


def test_a_session_that_has_lasted_its_time_takes_nothing_more_by_the_line_that_it_opened(house: House) -> None:
    tablet = house.tablet(1)
    with tablet.websocket_connect(SOCKET) as line:
        heard(line, "hello")
        house.clocks.pass_ms(14 * 24 * HOUR_MS)
        line.send_json(frame(a_mark(1)))
        assert "pairing has expired" in heard(line, "bye")["sentence"]
    assert house.marks() == []


def test_a_process_that_may_not_have_heard_who_was_sent_away_trusts_no_line_that_is_open(house: House) -> None:
    tablet, hall = house.tablet(1), house.app.state.hall
    device, wall_ms = device_of(tablet), house.clocks.wall
    with tablet.websocket_connect(SOCKET) as line:
        line.send_json(frame(a_mark(1)))
        heard(line, "answer")
        hall.presence.trusts = lambda: False
        house.do(lambda of: of.database.awrite_quietly(lambda session: revoke_device(session, device, wall_ms, "Gone.", "desk")))
        line.send_json(frame(a_mark(2)))
        assert heard(line, "bye")["sentence"] == NOT_PAIRED
    assert [mark.seq for mark in house.marks()] == [1]


def test_a_line_says_so_while_nobody_can_tell_whose_it_is_and_goes_on(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    async def away(work: object) -> None:
        raise StoreAway

    tablet, hall = house.tablet(1), house.app.state.hall
    with tablet.websocket_connect(SOCKET) as line:
        line.send_json(frame(a_mark(1)))
        heard(line, "answer")
        monkeypatch.setattr(hall.presence, "trusts", lambda: False)
        with monkeypatch.context() as patched:
            patched.setattr(hall.database, "aread", away)
            line.send_json(frame(a_mark(2)) | {"n": 7})
            told = heard(line, "answer")
            assert (told["n"], told["status"], told["sentence"]) == (7, 503, str(StoreAway()))
            with tablet.websocket_connect(SOCKET) as another, pytest.raises(WebSocketDisconnect) as closed:
                another.receive_json()
            assert (closed.value.code, closed.value.reason) == (1013, str(StoreAway()))
        line.send_json(frame(a_mark(2)))
        assert heard(line, "answer")["status"] == 200
    assert [mark.seq for mark in house.marks()] == [1, 2]


@pytest.mark.parametrize("said", ["", "[]", "{", '{"type":"mark","n":1}', '{"type":"marks"', "9" * 5_000, "[" * 50_000, b"\x00"])
def test_a_frame_that_is_none_closes_its_line_with_one_sentence_and_loses_nothing(house: House, said: str | bytes) -> None:
    tablet = house.tablet(1)
    with tablet.websocket_connect(SOCKET) as line:
        line.send_json(frame(a_mark(1)))
        assert heard(line, "answer")["status"] == 200
        line.send({"type": "websocket.receive", "bytes" if isinstance(said, bytes) else "text": said})
        with pytest.raises(WebSocketDisconnect) as closed:
            heard(line, "nothing")
        assert (closed.value.code, closed.value.reason) == (1007, NOT_UNDERSTOOD)
    assert [mark.seq for mark in house.marks()] == [1] and by_request(tablet, a_mark(2)).status_code == 200


@pytest.mark.parametrize("marks", ["5", "{}", "null", '"x"'])
def test_a_frame_whose_marks_are_no_list_is_told_so_on_a_line_that_stays(house: House, marks: str) -> None:
    told = framed(house.tablet(1), f'{{"type":"marks","n":7,"marks":{marks}}}')
    assert told["status"] == 400 and "could not be read" in told["sentence"]


def test_more_than_hands_make_waits_on_its_device_by_the_line_too(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pacing, "REFUSED_LATE_S", 0)
    tablet = house.tablet(1)
    answers = [on_the_line(tablet, *(a_mark(200 * n + m, at=1) for m in range(1, 201))) for n in range(5)]
    late = [one for one in answers if one["status"] == 429]
    assert late and all(one["retry_s"] > 0 and "None is lost" in one["sentence"] for one in late)
    assert len(house.marks()) == 200 * (len(answers) - len(late))


@dataclass
class HeldUp:
    """A disk that takes its time: `begun` once something is to be stored, which is done when the `gate` opens."""

    house: House
    begun: asyncio.Event
    gate: asyncio.Event

    def wait_until_begun(self) -> None:
        self.house.inside.portal.call(self.begun.wait)  # type: ignore[union-attr]

    def open(self) -> None:
        self.house.inside.portal.call(self.gate.set)  # type: ignore[union-attr]


@pytest.fixture
def disk(house: House, monkeypatch: pytest.MonkeyPatch) -> HeldUp:
    ledger, held = house.app.state.hall.ledger, HeldUp(house, asyncio.Event(), asyncio.Event())
    append = ledger.append

    async def slowly(marks: Any, wall_ms: int) -> None:
        held.begun.set()
        await held.gate.wait()
        await append(marks, wall_ms)

    monkeypatch.setattr(ledger, "append", slowly)
    return held


def test_pings_are_answered_while_marks_wait_for_the_disk_and_no_mark_is(house: House, disk: HeldUp) -> None:
    with house.tablet(1).websocket_connect(SOCKET) as line:
        line.send_json(frame(a_mark(1)))
        line.send_json({"type": "ping", "t1": 5})
        kinds = [line.receive_json()["type"]]
        while kinds[-1] != "pong":
            kinds.append(line.receive_json()["type"])
        assert "answer" not in kinds and house.marks() == []
        disk.open()
        assert heard(line, "answer")["status"] == 200 and len(house.marks()) == 1


def test_what_was_begun_when_a_line_broke_is_told_to_the_lanes_other_devices(house: House, disk: HeldUp) -> None:
    tablet, phone = house.tablet(1), house.tablet(1, "lifter")
    with phone.websocket_connect(SOCKET) as other:
        heard(other, "hello")
        with tablet.websocket_connect(SOCKET) as line:
            line.send_json(frame(a_mark(1, device=device_of(tablet))))
            disk.wait_until_begun()
            line.close()
            disk.open()
        assert [mark["seq"] for mark in heard(other, "marks")["marks"]] == [1]


def test_frames_that_can_not_be_read_at_once_wait_for_their_device_s_turn(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """To read them leniently takes long: a device that sends nothing else is told to wait, and its frames are read no more."""
    monkeypatch.setattr(pacing, "REFUSED_LATE_S", 0)
    with house.tablet(1).websocket_connect(SOCKET) as line:
        told = []
        for _ in range(40):
            line.send_text('{"type":"marks","n":1,"marks":[NaN]}')
            told.append(heard(line, "answer")["status"])
        assert told[0] == 200 and told[-1] == 429
        line.send_json({"type": "ping", "t1": 5})
        assert heard(line, "pong")["t1"] == 5
