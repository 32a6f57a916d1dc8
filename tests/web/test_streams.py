"""Places for event streams: how many there are, who has a share of their own, and what one hears who finds none."""

import asyncio
from collections.abc import Callable
from functools import partial
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from starlette.types import Message

from app.settings import Settings
from app.web.streams import FULL, Places, places
from tests.builders.halls import House
from tests.web.knocking import Caller, knock

READER = Caller("a reader", {}, "reader")


def test_who_finds_no_place_hears_so_plainly_and_when_to_come_again(house: House) -> None:
    house.app.state.places["public"] = Places(0, 0)
    for path in ("/board/stream", "/clock/stream"):
        status, headers, body = knock(house, "GET", path, READER)
        assert status == 503 and FULL.encode() in body and int(headers["retry-after"]) > 0
    assert knock(house, "GET", "/board/parts", READER)[0] == knock(house, "GET", "/clock/now", READER)[0] == 200


def test_no_crowd_of_spectators_keeps_the_desk_from_its_stream(house: House) -> None:
    house.app.state.places["public"] = Places(0, 0)
    desk = Caller("the desk", dict(house.desk().cookies), "desk")
    status, headers, body = knock(house, "GET", "/desk/stream", desk)
    assert status == 200 and headers["content-type"].startswith("text/event-stream") and body.startswith(b"event: desk")


def test_a_watcher_who_goes_leaves_the_place_free(house: House) -> None:
    for _ in range(10):
        assert knock(house, "GET", "/board/stream", READER)[0] == 200
    assert house.app.state.places["public"].taken == 0


def nothing() -> None:
    """Nobody is cut in this test."""


def test_an_address_has_four_and_all_together_a_hundred_and_fifty_unless_set_otherwise(tmp_path: Path) -> None:
    public = places(Settings(data=tmp_path))["public"]
    assert [public.take("a", False, nothing) for _ in range(5)] == [True] * 4 + [False]
    assert all(public.take("laptop", True, nothing) for _ in range(146)) and public.taken == 150
    assert places(Settings(data=tmp_path, streams=1))["public"].take("a", False, nothing)


@given(st.lists(st.tuples(st.sampled_from("abc"), st.booleans())))
def test_as_many_are_taken_as_have_come_and_not_left(story: list[tuple[str, bool]]) -> None:
    some, inside = Places(5, 2), list[tuple[str, Callable[[], None]]]()

    def come(address: str) -> None:
        def cut() -> None:
            inside.remove((address, cut))

        if some.take(address, False, cut):
            inside.append((address, cut))

    for address, comes in story:
        if comes:
            come(address)
        elif mine := [one for one in inside if one[0] == address]:
            inside.remove(mine[0])
            some.leave(*mine[0])
        assert some.taken == len(inside) <= 5 and all(sum(one[0] == name for one in inside) <= 2 for name in "abc")


HALLS = {"one": [f"192.0.2.{n}" for n in range(1, 200)], "other": [f"198.51.100.{n}" for n in range(1, 200)]}


@given(st.lists(st.tuples(st.sampled_from(["one", "other"]), st.integers(0, 60)), max_size=120))
def test_whoever_has_fewer_finds_a_place_and_nobody_is_pushed_to_and_fro(visits: list[tuple[str, int]]) -> None:
    some, cut = Places(20, 4), list[str]()
    for hall, number in visits:
        address = HALLS[hall][number]
        before = some.here()
        shares = {name: sum(before.get(one, 0) for one in HALLS[name]) for name in HALLS}
        full, cut[:] = sum(before.values()) == 20, []
        taken = some.take(address, False, partial(cut.append, address))
        fewest = shares[hall] + 2 <= max(shares.values())
        assert taken or not fewest or before.get(address, 0) == 4, "a hall with fewer is let in"
        if cut:
            assert full and some.here().get(cut[0], 0) + 1 >= max(before[one] for one in before if one in whole(cut[0]))


def whole(address: str) -> list[str]:
    """The hall of an address."""
    return next(hall for hall in HALLS.values() if address in hall)


def test_the_boards_of_a_halls_38_addresses_keep_no_other_hall_out(tmp_path: Path) -> None:
    public = places(Settings(data=tmp_path))["public"]
    for address in HALLS["one"][:38] * 4:
        public.take(address, False, nothing)
    assert public.taken == 150
    assert not public.take(HALLS["one"][37], False, nothing), "its own wait, or ask every few seconds"
    assert sum(public.take(HALLS["other"][n], False, nothing) for n in range(100)) == 75, "the other has half of all places"
    assert sum(public.take(address, False, nothing) for address in HALLS["one"][:38]) == 0, "and keeps them"
    assert public.take("127.0.0.1", True, nothing) and public.taken == 150


def test_a_board_that_gives_its_place_back_is_ended_and_the_other_goes_on(house: House) -> None:
    house.app.state.places["public"] = some = Places(2, 2)
    ended: list[int] = []

    async def followed(address: str) -> None:
        said, asked = list[Message](), list[int]()

        async def receive() -> Message:
            if not asked:
                asked.append(1)
                return {"type": "http.request", "body": b""}
            await asyncio.Event().wait()
            raise AssertionError("it watches on")

        async def send(message: Message) -> None:
            said.append(message)
            if message["type"] == "http.response.body" and not message.get("more_body"):
                ended.append(len(said))

        scope = {
            "type": "http", "method": "GET", "path": "/board/stream", "raw_path": b"/board/stream", "query_string": b"",
            "headers": [(b"host", b"localhost")], "client": (address, 1), "server": ("127.0.0.1", 80), "scheme": "http",
            "http_version": "1.1", "asgi": {"version": "3.0"},
        }  # fmt: skip
        await house.app(scope, receive, send)

    async def played(_: object) -> dict[str, int]:
        boards = [asyncio.create_task(followed(address)) for address in ("192.0.2.1", "192.0.2.1", "198.51.100.1")]
        await asyncio.wait(boards, timeout=10, return_when=asyncio.FIRST_COMPLETED)
        here = some.here()
        for one in boards:
            one.cancel()
        await asyncio.gather(*boards, return_exceptions=True)
        return here

    assert house.do(played) == {"192.0.2.1": 1, "198.51.100.1": 1} and len(ended) == 1, "ended in order, as any stream"
