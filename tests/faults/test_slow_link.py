"""Tablets behind a slow, lossy link (delays, stalls, a narrow channel, broken lines): everything arrives, once.

The link is a proxy in this process; `python3 -m app bench faults` also takes two network namespaces with real packet loss where
the machine allows that.
"""

import asyncio
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import ServerProcess, free_port
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.wire import Wire
from tests.faults.ground import acked
from tests.faults.imitated import ToldHall
from tests.faults.link import Passed, Weather, bad_link
from tests.faults.table import TellOf

pytestmark = pytest.mark.paced

TABLETS, MARKS = 4, 40


async def _judge(seat: Seat, port: int, chance: random.Random) -> Tablet:
    tablet = Tablet(Outbox(seat, 7, chance), Wire("127.0.0.1", port, f"ll_device={seat.token}"), chance)
    for number in range(MARKS):
        tablet.outbox.add("rep", 500 * number, 1_750_000_000_000 + number)
        if chance.random() < 0.3:
            await tablet.send_some()
    async with asyncio.timeout(60):
        await tablet.send_all()
    return tablet


async def _all(seats: list[Seat], port: int, listen: Callable[[list[Tablet]], None]) -> tuple[list[Tablet], Passed]:
    chance = random.Random(20)
    async with bad_link(port, Weather(breaks=0.02), chance) as (link, passed):
        tablets = list(await asyncio.gather(*(_judge(seat, link, random.Random(chance.random())) for seat in seats)))
        there = [{mark.id for mark in await marks_there(tablet, port)} for tablet in tablets]
        listen(tablets)
        for tablet in tablets:
            tablet.wire.cut()
    assert there == [set(tablet.outbox.marks) for tablet in tablets]
    return tablets, passed


async def marks_there(tablet: Tablet, port: int) -> list[object]:
    """What the server has of a tablet's sheet, asked past the bad link."""
    straight = Tablet(tablet.outbox, Wire("127.0.0.1", port, f"ll_device={tablet.outbox.seat.token}"), random.Random(1))
    try:
        return list(await straight.there())
    finally:
        straight.wire.cut()


def test_everything_arrives_once_through_a_slow_and_lossy_link(tmp_path: Path, tell_of: TellOf) -> None:
    seats, token = make_hall(tmp_path, TABLETS, this_machine())
    told = ToldHall(tell_of, "a slow link that stalls and breaks", tmp_path)
    server = ServerProcess(tmp_path, free_port())

    def listen(tablets: list[Tablet]) -> None:
        told.listen([acked(one.outbox) for one in tablets], server.port, token)

    server.start()
    try:
        tablets, passed = asyncio.run(_all(seats, server.port, listen))
    finally:
        server.stop()
    assert passed.stalls > 5 and passed.broken > 0 and passed.lines > TABLETS, "the link was bad"
    assert sum(len(tablet.counted.taken_back) for tablet in tablets) == 0
    assert [tablet.counted.refused for tablet in tablets] == [[]] * TABLETS
