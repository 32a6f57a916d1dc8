"""The demo as it goes on: simulated people stand back from whoever takes a seat, and the day begins anew when it is over."""

import asyncio
import logging
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.websockets import WebSocketDisconnect

from app.demo import filling, floor
from app.demo.cast import demo_file
from app.hall.hall import Hall
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.platforms import platforms
from app.server import ANEW
from app.store.roster import put_everything
from tests.builders.halls import House, a_house

SOCKET = "ws://localhost/lane/socket"
LANE = 2


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with pytest.MonkeyPatch.context() as patch, a_house(tmp_path_factory.mktemp("demo"), competition=False, demo=True) as house:
        patch.setattr(floor, "TICK_S", 0.005)
        looks = Looks(house)
        patch.setattr(floor.SimulatedTablets, "show", lambda tablets: looks.look(tablets))
        house.app.state.looks = looks
        yield house


class Looks:
    """When the simulated people looked at the clock last: their tablets are shown at each look, whoever has the seats."""

    def __init__(self, house: House) -> None:
        self.last_ms = 0
        self._time, self._show = house.app.state.hall.time, floor.SimulatedTablets.show

    def look(self, tablets: floor.SimulatedTablets) -> None:
        """Shows them, and notes when."""
        self._show(tablets)
        self.last_ms = self._time.server_ms()


def let_pass(demo: House, seconds: int) -> list[Mark]:
    """Lets so much time of the hall pass, half a second at a time; the marks that came meanwhile."""
    before = {mark.id for mark in demo.marks()}
    for _ in range(2 * seconds):
        demo.clocks.pass_ms(500)
        looked(demo)
    return [mark for mark in demo.marks() if mark.id not in before]


def looked(demo: House) -> None:
    """Waits until the simulated people have looked at the clock as it is now; at most a second, for between heats nobody does."""
    now, until = demo.app.state.hall.time.server_ms(), time.monotonic() + 1
    while demo.app.state.looks.last_ms < now and time.monotonic() < until:
        time.sleep(0.005)


def by_seat(demo: House, marks: list[Mark]) -> set[tuple[int, str, str]]:
    """Lane, sheet and kind of some marks."""
    hall = demo.app.state.hall
    lanes = {mark.sheet: hall.projection.place_of(sheet_key(mark.sheet).assignment).assignment.lane for mark in marks}
    return {(lanes[mark.sheet], sheet_key(mark.sheet).kind, mark.kind) for mark in marks}


def test_the_bar_goes_on_and_every_mark_is_one_that_its_seat_may_make(demo: House, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING, logger="app.demo.floor"):
        found = by_seat(demo, let_pass(demo, 45))
    assert {kind for _, sheet, kind in found if sheet == "lane"} == {"declare", "called", "loaded", "begun", "lift", "racked"}
    assert {sheet for _, sheet, kind in found if kind == "lift"} == {"lane", "second", "third"}
    assert not caplog.records


def test_the_bar_is_one_for_all_lanes_and_whoever_has_the_lightest_load_is_called_to_it(demo: House) -> None:
    hall = demo.app.state.hall
    roster = hall.projection.roster
    heats = [heat for heat in roster.heats if heat.event == "evt_bar"]
    assert platforms(roster) == ((1, 2, 3, 4, 5, 6),)
    for heat in heats:
        marks = sorted(
            (mark for lane in heat.lanes for mark in hall.projection.sheet_marks(f"{lane.id}/1/lane")), key=lambda one: one.at
        )
        loads = {mark.id: float(mark.body["load"]["amount"]) for mark in marks if mark.kind == "declare"}
        lifted = [loads[mark.body["declared"]] for mark in marks if mark.kind == "called"]
        assert len(lifted) >= 3 and lifted == sorted(lifted), "the bar only goes up"
        kinds = [mark.kind for mark in marks if mark.kind in ("called", "begun", "lift", "racked") and mark.at < 420_000]
        assert kinds == (["called", "begun", "lift", "racked"] * len(kinds))[: len(kinds)], "one lift after the other"


def test_whoever_referees_is_left_alone_and_the_lifters_the_loaders_and_the_marshal_go_on(demo: House) -> None:
    judge = demo.browser()
    judge.post("/demo/seat", data={"role": "centre", "lane": str(LANE)})
    with judge.websocket_connect(SOCKET) as line:
        line.receive_json()
        line.send_json({"type": "report", "screen": "platform"})
        let_pass(demo, 8)
        found = by_seat(demo, let_pass(demo, 30))
        own = {kind for _, sheet, kind in found if sheet == "lane"}
        assert own <= {"declare", "called", "loaded"}, "the referee's own marks are a person's to make"
    assert not by_seat(demo, let_pass(demo, 5)) & {(lane, "lane", "begun") for lane in range(1, 7)}, "a reload gives no seat away"


def test_when_the_day_is_over_another_begins_and_whoever_was_paired_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    days = Days()
    monkeypatch.setattr(floor, "play", days.play)
    monkeypatch.setattr(filling, "fill", nothing_judged_yet)
    with a_house(tmp_path, competition=False, demo=True) as demo:
        judge, before = demo.browser(), demo.app.state.hall
        judge.post("/demo/seat", data={"role": "lane", "lane": str(LANE)})
        with judge.websocket_connect(SOCKET) as line:
            line.receive_json()
            days.over.set()
            assert said_last(line) == ANEW
        assert days.another.wait(20)
        now = demo.app.state.hall
        assert now is not before and now.demo_password == before.demo_password
        assert judge.get("/lane/packet").status_code == 401
        assert demo.browser().get("/board", headers={"accept": "text/html"}).status_code == 200
        assert demo.browser().post("/demo/seat", data={"role": "lane", "lane": str(LANE)}).status_code == 303
        assert [path.name for path in tmp_path.glob("*anew*")] == []


async def nothing_judged_yet(hall: Hall) -> None:
    """Another day, quickly."""
    whole = demo_file(["10:00", "10:10", "10:20", "10:30"])
    await hall.database.awrite(lambda session: put_everything(session, whole))
    hall.projection.roster_changed(whole, (), ())


class Days:
    """Plays nothing: the first day is over when a test says so, and the next lasts as long as the test."""

    def __init__(self) -> None:
        self.over, self.another = threading.Event(), threading.Event()

    async def play(self, hall: Any) -> None:
        """A day."""
        if self.over.is_set():
            self.another.set()
            await asyncio.Event().wait()
        await asyncio.to_thread(self.over.wait, 30)


def said_last(line: Any) -> str:
    """The last sentence of a socket before it closes."""
    said = ""
    try:
        while True:
            said = str(line.receive_json().get("sentence", said))
    except WebSocketDisconnect as closed:
        return said or closed.reason
