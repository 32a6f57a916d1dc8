"""Places for event streams: how many there are, who has a share of their own, and what one hears who finds none."""

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

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


def test_an_address_has_four_and_all_together_a_hundred_and_fifty_unless_set_otherwise(tmp_path: Path) -> None:
    public = places(Settings(data=tmp_path))["public"]
    assert [public.take("a", False) for _ in range(5)] == [True] * 4 + [False]
    assert (
        all(public.take("laptop", True) for _ in range(146)) and not public.take("b", False) and not public.take("laptop", True)
    )
    assert places(Settings(data=tmp_path, streams=1))["public"].take("a", False)


@given(st.lists(st.tuples(st.sampled_from("abc"), st.booleans())))
def test_as_many_are_taken_as_have_come_and_not_left(story: list[tuple[str, bool]]) -> None:
    some, inside = Places(5, 2), list[str]()
    for address, comes in story:
        if comes and some.take(address, False):
            inside.append(address)
        elif not comes and address in inside:
            inside.remove(address)
            some.leave(address)
        assert some.taken == len(inside) <= 5 and all(inside.count(one) <= 2 for one in "abc")
