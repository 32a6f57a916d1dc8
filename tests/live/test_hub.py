"""The hub: everybody hears, nobody waits for the slow, and a board is not told more often than it can be read."""

import asyncio
import threading
from typing import Any

import pytest

from app.live.hub import RESYNC, Closed, Hub


def test_each_subscriber_of_a_topic_hears_each_message_in_order() -> None:
    async def play() -> list[Any]:
        hub = Hub()
        with hub.subscribe("lane:1") as one, hub.subscribe("lane:1") as two, hub.subscribe("lane:2") as other:
            hub.publish("lane:1", "a")
            hub.publish("lane:1", "b")
            hub.publish("lane:2", "c")
            return [await one.next(), await one.next(), await two.next(), await two.next(), await other.next()]

    assert asyncio.run(play()) == ["a", "b", "a", "b", "c"]


def test_a_slow_subscriber_is_told_to_start_afresh_and_holds_up_nobody() -> None:
    async def play() -> tuple[list[Any], list[Any]]:
        hub = Hub()
        with hub.subscribe("desk", most=3) as slow, hub.subscribe("desk") as quick:
            for n in range(5):
                hub.publish("desk", n)
            return [await slow.next() for _ in range(2)], [await quick.next() for _ in range(5)]

    slow, quick = asyncio.run(play())
    assert slow == [RESYNC, 4] and quick == [0, 1, 2, 3, 4]


def test_a_paced_topic_sends_the_first_at_once_and_merges_those_that_follow_too_soon() -> None:
    async def play() -> list[tuple[Any, float]]:
        hub = Hub(paced={"board": 0.1})
        loop = asyncio.get_running_loop()
        heard = []
        with hub.subscribe("board") as news:
            start = loop.time()
            for n in range(50):
                hub.publish("board", n)
            heard.append((await news.next(), loop.time() - start))
            heard.append((await news.next(), loop.time() - start))
            with pytest.raises(TimeoutError):
                await news.next(0.15)
        return heard

    (first, at_once), (last, later) = asyncio.run(play())
    assert first == 0 and last == 49
    assert at_once < 0.09 <= later


def test_silence_ends_in_a_timeout_and_a_closed_hub_in_closed() -> None:
    async def play() -> None:
        hub = Hub()
        with hub.subscribe("board") as news:
            with pytest.raises(TimeoutError):
                await news.next(0.01)
            asyncio.get_running_loop().call_later(0.01, hub.close)
            with pytest.raises(Closed):
                await news.next(5)
        with hub.subscribe("board") as late, pytest.raises(Closed):
            await late.next(5)

    asyncio.run(play())


def test_who_leaves_is_forgotten() -> None:
    async def play() -> tuple[int, int]:
        hub = Hub()
        with hub.subscribe("board"):
            during = hub.watchers("board")
        return during, hub.watchers("board")

    assert asyncio.run(play()) == (1, 0)


def test_another_thread_may_publish() -> None:
    async def play() -> Any:
        hub = Hub()
        with hub.subscribe("desk") as news:
            threading.Thread(target=hub.publish, args=("desk", "from afar")).start()
            return await news.next(5)

    assert asyncio.run(play()) == "from afar"


def test_publishing_before_anybody_listens_is_no_matter() -> None:
    Hub().publish("board", 1)
