"""The .local name in the network: taken, kept apart from another laptop's, moved; and quiet where multicast does not work."""

import asyncio

import pytest

from app.lan.addresses import lan_addresses
from app.lan.announce import Announcer

OUR_TEST_NAME = "lane-ledger-test-of-the-name.local"

needs_a_network = pytest.mark.skipif(not lan_addresses(), reason="this machine has no network")


@needs_a_network
def test_a_name_is_answered_to_and_moves_with_the_laptop() -> None:
    assert asyncio.run(_take_and_move()) == ({"192.0.2.11"}, {"192.0.2.12"})


@needs_a_network
def test_another_laptop_in_the_hall_leaves_the_name_alone() -> None:
    assert asyncio.run(_two_laptops()) == (OUR_TEST_NAME, "")


def test_where_multicast_does_not_work_nothing_is_announced_and_nothing_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> None:
        raise OSError("no multicast here")

    monkeypatch.setattr("app.lan.announce._library", broken)

    async def try_it() -> str:
        announcer = Announcer(OUR_TEST_NAME)
        await announcer.open(["192.0.2.11"], 8765)
        await announcer.move(["192.0.2.12"])
        await announcer.close()
        return announcer.name

    assert asyncio.run(try_it()) == ""


async def _take_and_move() -> tuple[set[str], set[str]]:
    announcer = Announcer(OUR_TEST_NAME)
    await announcer.open(["192.0.2.11"], 8765)
    try:
        before = await _asked()
        await announcer.move(["192.0.2.12"])
        await asyncio.sleep(1.2)  # a second answer within a second is held back (RFC 6762, 6)
        return before, await _asked()
    finally:
        await announcer.close()


async def _two_laptops() -> tuple[str, str]:
    first, second = Announcer(OUR_TEST_NAME), Announcer(OUR_TEST_NAME)
    await first.open(["192.0.2.11"], 8765)
    await second.open(["192.0.2.99"], 8765)
    names = first.name, second.name
    await second.close()
    await first.close()
    return names


async def _asked() -> set[str]:
    from zeroconf import AddressResolver
    from zeroconf.asyncio import AsyncZeroconf

    line = AsyncZeroconf()
    asked = AddressResolver(f"{OUR_TEST_NAME}.")
    await asked.async_request(line.zeroconf, 2000)
    await line.async_close()
    return set(asked.parsed_addresses())
