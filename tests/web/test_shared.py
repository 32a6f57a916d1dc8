"""Pages that are the same for everybody: made once for all who ask meanwhile, as new as their asking, and the same for all."""

import asyncio
import gzip
import time
from collections.abc import Callable, Coroutine
from typing import cast

import pytest

from app.hall.hall import Hall
from app.live.hub import BOARD_EVERY_S
from app.live.slices import Slices
from app.web import shared
from app.web.shared import Shared

ASKING = 20
NO_HALL = cast(Hall, None)


class Counter:
    """A page that says how often it was made; making takes a while, and meanwhile things may change."""

    def __init__(self) -> None:
        self.state = self.made = 0

    async def make(self, slices: Slices) -> bytes:
        self.made += 1
        said = self.state
        await asyncio.sleep(0.01)
        return str(said).encode()

    def now(self) -> int:
        return self.state


def within(work: Callable[[Shared, Counter], Coroutine[None, None, None]]) -> Counter:
    counter = Counter()
    asyncio.run(work(Shared(NO_HALL), counter))
    return counter


def test_all_who_ask_at_once_are_given_one_page_and_while_nothing_changes_it_stays() -> None:
    async def work(pages: Shared, counter: Counter) -> None:
        sent = await asyncio.gather(*(pages.newest("/a", counter.now, counter.make) for _ in range(ASKING)))
        assert len({one.tag for one in sent}) == 1
        assert await pages.newest("/a", counter.now, counter.make) is sent[0]

    assert within(work).made == 1


def test_a_page_is_no_older_than_the_question_however_fast_things_change() -> None:
    async def work(pages: Shared, counter: Counter) -> None:
        async def ask() -> None:
            asked = counter.state
            said = await pages.newest("/a", counter.now, counter.make)
            assert int(gzip.decompress(said.packed)) >= asked

        begun, asking = time.monotonic(), []
        for _ in range(5 * ASKING):
            counter.state += 1
            asking.append(asyncio.create_task(ask()))
            await asyncio.sleep(0.002)
        await asyncio.gather(*asking)
        assert counter.made <= 2 + (time.monotonic() - begun) / BOARD_EVERY_S

    assert within(work).made >= 2


def test_what_can_not_be_made_is_told_to_all_who_wait_and_is_not_kept() -> None:
    async def work(pages: Shared, counter: Counter) -> None:
        async def fail(slices: Slices) -> bytes:
            await counter.make(slices)
            raise LookupError("no such page")

        told = await asyncio.gather(*(pages.newest("/no", counter.now, fail) for _ in range(3)), return_exceptions=True)
        assert [str(one) for one in told] == ["no such page"] * 3 and counter.made == 1
        await pages.newest("/no", counter.now, counter.make)

    assert within(work).made == 2


def test_no_more_is_kept_than_a_bound_and_the_page_asked_for_last_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shared, "MOST_BYTES", 100)

    async def work(pages: Shared, counter: Counter) -> None:
        for address in "abcdef":
            await pages.newest(address, counter.now, counter.make)
        assert counter.made == 6 and (await pages.newest("f", counter.now, counter.make)) and counter.made == 6
        await pages.newest("a", counter.now, counter.make)

    assert within(work).made == 7
