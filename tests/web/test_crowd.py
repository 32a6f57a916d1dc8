"""Judges come first: who is served at a pace, and who is not."""

import asyncio
from dataclasses import dataclass
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from app.hall.devices import token_hash
from app.live.presence import Presence, Who
from app.web import crowd
from app.web.crowd import Crowd, outside_the_gate
from app.web.lines import LINE


@dataclass
class ALine:
    """A connection as the doorkeeper gives it."""

    own: bool = False
    known: bool = False

    def vouch(self) -> None:
        self.known = True


async def nothing_more() -> dict[str, Any]:
    return {"type": "http.disconnect"}


class Hall:
    """An application behind a crowd's pace; counts what comes through, and what was answered instead."""

    def __init__(self, per_second: float = 10) -> None:
        self.served = 0
        self.receive: Any = nothing_more
        self.crowd = Crowd(self._serve, per_second)
        self.presence = Presence()
        self.presence.remember(token_hash("a judge's session"), Who("tab", "lane", 1))

    async def _serve(self, scope: Any, receive: Any, send: Any) -> None:
        self.served += 1

    async def ask(self, line: ALine | None, address: str = "192.0.2.1", path: str = "/board", cookie: str = "") -> Any:
        """Asks once; the refusal, if there was one."""
        scope = {
            "type": "http",
            "path": path,
            "scheme": "http",
            "client": (address, 1),
            "server": ("192.0.2.9", 1),
            "headers": [(b"host", b"localhost"), (b"cookie", cookie.encode())],
            "app": SimpleNamespace(state=SimpleNamespace(hall=SimpleNamespace(presence=self.presence))),
        }
        if line is not None:
            scope["extensions"] = {LINE: line}
        said: list[Any] = []

        async def send(message: Any) -> None:
            said.append(message)

        await self.crowd(scope, self.receive, send)
        return said[0] if said else None


@pytest.fixture(autouse=True)
def _short_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crowd, "MOST_WAIT_S", 0.25)


def test_a_stranger_is_served_at_once_then_waits_and_then_is_refused_late() -> None:
    async def story() -> None:
        hall, loop = Hall(), asyncio.get_running_loop()
        for _ in range(50):
            assert await hall.ask(ALine()) is None
        begun = loop.time()
        assert await hall.ask(ALine()) is None and loop.time() - begun > 0.05, "it waits its turn"
        answers = await asyncio.gather(*(hall.ask(ALine()) for _ in range(20)))
        refused = [answer for answer in answers if answer is not None]
        assert 15 <= len(refused) <= 19 and hall.served == 51 + 20 - len(refused)
        assert refused[0]["status"] == 429 and (b"retry-after", b"1") in refused[0]["headers"]
        assert await hall.ask(ALine(), "192.0.2.2") is None, "another address has a pace of its own"

    asyncio.run(story())


def test_a_tap_waits_for_two_strangers_at_most_however_many_have_come() -> None:
    """Each of them is answered in one go, as most pages are: between any two of them the loop has had a turn."""

    async def story() -> None:
        hall, turns = Hall(per_second=1000), list[int]()

        async def taps() -> None:
            while True:
                turns.append(hall.served)
                await asyncio.sleep(0)

        tapping = asyncio.create_task(taps())
        await asyncio.gather(*(hall.ask(ALine(), f"192.0.2.{number}") for number in range(200)))
        tapping.cancel()
        assert hall.served == 200
        assert max(after - before for before, after in pairwise(turns)) <= crowd.AT_A_TIME

    asyncio.run(story())


def test_who_waits_for_what_is_made_once_for_many_lets_others_in() -> None:
    async def story() -> None:
        hall, made = Hall(per_second=1000), asyncio.Event()

        async def waits(scope: Any, receive: Any, send: Any) -> None:
            if scope["path"] == "/waits":
                async with outside_the_gate():
                    await made.wait()
            hall.served += 1

        hall.crowd.app = waits
        waiting = [asyncio.create_task(hall.ask(ALine(), path="/waits")) for _ in range(5)]
        await asyncio.wait_for(hall.ask(ALine(), "192.0.2.2"), 5)
        assert hall.served == 1
        made.set()
        await asyncio.gather(*waiting)
        assert hall.served == 6

    asyncio.run(story())


def test_who_sends_slowly_holds_nobody_up() -> None:
    async def story() -> None:
        hall = Hall(per_second=1000)

        async def reads(scope: Any, receive: Any, send: Any) -> None:
            await receive()
            hall.served += 1

        hall.crowd.app = reads
        never = asyncio.Event()

        async def slow() -> dict[str, Any]:
            await never.wait()
            return {"type": "http.request"}

        hall.receive = slow
        slow_ones = [asyncio.create_task(hall.ask(ALine())) for _ in range(20)]
        await asyncio.sleep(0.01)
        hall.receive = nothing_more
        await asyncio.wait_for(hall.ask(ALine(), "192.0.2.2"), 5)
        assert hall.served == 1
        never.set()
        await asyncio.gather(*slow_ones)
        assert hall.served == 21

    asyncio.run(story())


def test_a_stream_that_has_nothing_to_tell_holds_no_place() -> None:
    """Its answer begins while it listens for the watcher's going, as an event stream's does."""

    async def story() -> None:
        hall, never, twenty, one_more = Hall(per_second=1000), asyncio.Event(), asyncio.Event(), asyncio.Event()

        async def streams(scope: Any, receive: Any, send: Any) -> None:
            listening = asyncio.create_task(receive())
            await asyncio.sleep(0)
            await send({"type": "http.response.start"})
            await listening
            hall.served += 1
            (twenty if hall.served == 20 else one_more).set()
            await never.wait()

        hall.crowd.app = streams
        following = [asyncio.create_task(hall.ask(ALine(), f"192.0.2.{number}")) for number in range(20)]
        await asyncio.wait_for(twenty.wait(), 5)
        one_more.clear()
        following.append(asyncio.create_task(hall.ask(ALine(), "192.0.2.99")))
        await asyncio.wait_for(one_more.wait(), 5)
        never.set()
        assert await asyncio.gather(*following) == [{"type": "http.response.start"}] * 21

    asyncio.run(story())


def test_parts_of_a_page_cost_less_than_a_page() -> None:
    async def story() -> None:
        hall = Hall()
        for _ in range(240):
            assert await hall.ask(ALine(), path="/static/1/js/screens/lane.js") is None
        assert hall.served == 240

    asyncio.run(asyncio.wait_for(story(), 5))


@pytest.mark.parametrize(
    ("line", "cookie"),
    [
        (ALine(own=True), ""),
        (ALine(known=True), ""),
        (ALine(), "ll_device=a judge's session"),
        (None, ""),
    ],
    ids=["this computer", "known already", "shows a session", "no lines are kept"],
)
def test_who_is_not_held_to_the_pace(line: ALine | None, cookie: str) -> None:
    async def story() -> None:
        hall = Hall(per_second=1)
        answers = await asyncio.gather(*(hall.ask(line, cookie=cookie) for _ in range(300)))
        assert answers == [None] * 300 and hall.served == 300
        assert line is None or line.known or line.own

    asyncio.run(story())


@pytest.mark.parametrize("cookie", ["ll_device=made up", "ll_device=" + "x" * 5000, "ll_device", "=;;\x7f=", 'll_device="\\', ""])
def test_no_made_up_session_is_let_past(cookie: str) -> None:
    async def story() -> None:
        line = ALine()
        await Hall().ask(line, cookie=cookie)
        assert not line.known

    asyncio.run(story())


def test_addresses_that_have_been_quiet_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crowd, "MOST_ADDRESSES", 50)

    async def story() -> None:
        hall = Hall(per_second=1000)
        for number in range(500):
            await hall.ask(ALine(), f"192.0.2.{number}")
            await asyncio.sleep(0.002)
        assert len(hall.crowd._paces) <= 50

    asyncio.run(story())
