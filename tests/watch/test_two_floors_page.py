"""Two platforms at work at once, as the hall's screens show them: each may keep to one, and none hides the other."""

import asyncio
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from app.floor import timing
from app.hall.changing import change_roster
from app.store.heats import put_heat
from app.watch.bar_turns import keep_turning
from app.watch.pages.feed import Feed, events
from app.watch.shown import floor_of
from tests.builders.halls import House, a_house
from tests.builders.platforms import two_platforms


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """Flights 1 and 3 at work on two platforms, the third after the first; flight 2 waits for the first one's lanes."""
    with a_house(tmp_path, file=two_platforms(3)) as house:
        for heat in ("heat_1", "heat_3"):
            assert house.desk().post(f"/desk/heats/{heat}/go", data={"lead": "5"}).status_code == 200
            house.clocks.pass_ms(10_000)
        yield house


def page(house: House, path: str) -> str:
    """A page as it is read, without the signs that keep names apart from the words around them."""
    answer = house.browser().get(path, headers={"accept": "text/html"})
    assert answer.status_code == 200
    return unescape(answer.text).replace("\u2068", "").replace("\u2069", "")


def told(house: House, query: str = "") -> dict[str, Any]:
    """Which heat each screen shows, and what it says is beside it."""
    board, wall = page(house, f"/board{query}"), house.browser().get(f"/wall/now{query}").json()["set"]
    clock, parts = house.browser().get(f"/clock/now{query}").json(), house.browser().get(f"/board/parts{query}").json()["html"]
    shown = {n for n in (1, 2, 3) if f'id="lanes-heat_{n}"' in board}
    assert [f'id="lanes-heat_{n}"' in parts for n in (1, 2, 3)] == [n in shown for n in (1, 2, 3)]
    assert {wall["floor"]["number"]} == {clock["heat"]["number"]} == shown
    named = ", ".join(one["words"] for one in clock["beside"]["working"])
    assert wall["head"]["beside"] == (f"Also on the floor: {named}" if named else "")
    beside = board.split('id="floor-beside">')[1].split("</p>")[0]
    return {"heat": shown.pop(), "beside": wall["head"]["beside"].replace("\u2068", "").replace("\u2069", ""), "links": beside}


def test_a_screen_keeps_to_a_platform_and_says_what_else_is_at_work(house: House) -> None:
    whole, first, second = told(house), told(house, "?lane=2"), told(house, "?lane=9")
    assert (whole["heat"], whole["beside"]) == (3, "Also on the floor: lanes 1 to 3")
    assert '<a href="/board?lane=1">lanes 1 to 3</a>' in whole["links"] and "Only" not in whole["links"]
    assert (first["heat"], first["beside"]) == (1, "Also on the floor: lanes 9 to 11")
    assert "Only lanes 1 to 3 here." in first["links"] and '<a href="/board">Whole hall</a>' in first["links"]
    assert (second["heat"], second["beside"]) == (3, "Also on the floor: lanes 1 to 3")
    assert all(f'href="/{screen}?lane=1"' in page(house, "/board?lane=2") for screen in ("wall", "clock"))
    assert "Next: Heat 2" in page(house, "/board?lane=1") and "Next: Heat" not in page(house, "/board?lane=11")


def test_the_desk_finds_the_screens_of_each_platform(house: House) -> None:
    walls = unescape(house.desk().get("/desk/walls", headers={"accept": "text/html"}).text)
    assert all(f'href="/{screen}?lane={lane}"' in walls for screen in ("wall", "board", "clock") for lane in (1, 9))
    assert 'href="/desk/walls#floors"' in house.desk().get("/desk/tablets", headers={"accept": "text/html"}).text


def test_the_whole_halls_screens_show_what_is_at_work_though_a_later_heat_is_over(house: House) -> None:
    house.desk().post("/desk/heats/heat_3/close", data={"why": "All have lifted", "by": "Kim"})
    assert (told(house)["heat"], told(house)["beside"]) == (1, "")
    assert told(house, "?lane=9")["heat"] == 3, "what keeps to a platform keeps to it"
    house.desk().post("/desk/heats/heat_1/close", data={"why": "All have lifted", "by": "Kim"})
    assert (told(house)["heat"], told(house)["beside"]) == (3, "")


def test_a_lane_that_no_heat_has_shows_none_and_makes_no_board_of_its_own(house: House) -> None:
    for lane in range(1, 61):
        house.browser().get(f"/board?lane={lane}")
    board, wall = page(house, "/board?lane=20"), house.browser().get("/wall/now?lane=20").json()["set"]
    assert "No heat on the floor" in board and "floor" not in wall
    assert all(f'<a href="/board?lane={lane}">' in board for lane in (1, 9)), "what is at work is named"
    house.browser().get("/board")
    assert len(house.app.state.board_feeds) == 4, "two floors, nowhere, and the hall"


def test_the_stream_of_a_lane_hears_its_own_floor_though_that_comes_to_be_later(house: House) -> None:
    hall, feeds = house.app.state.hall, dict[int | None, Feed]()
    heat = hall.projection.roster.heats[1]
    lanes = tuple(lane.model_copy(update={"lane": lane.lane + 19}) for lane in heat.lanes)

    def feed() -> Feed:
        floor = floor_of(hall.projection.roster, 20)
        return feeds.setdefault(floor, Feed(hall, floor))

    async def heard() -> tuple[str, str]:
        stream = events(feed, "")
        assert await anext(stream) == b": hello\n\n"
        first = last = (await anext(stream)).decode()
        await change_roster(hall, lambda session: put_heat(session, heat.model_copy(update={"lanes": lanes})))
        await timing.go(hall, heat.id, {"lead": "5"})
        while "lanes-heat_2" not in last:
            last = (await anext(stream)).decode()
        await stream.aclose()
        return first, last

    assert house.inside.portal is not None
    first, last = house.inside.portal.call(heard)
    assert "No heat on the floor" in first and "lanes-heat_3" not in first + last


def test_a_heats_last_bell_has_the_pages_made_anew_though_no_mark_comes_with_it(house: House) -> None:
    hall = house.app.state.hall

    async def rung() -> None:
        turning = asyncio.create_task(keep_turning(lambda: hall))
        await asyncio.sleep(0)  # it has looked at the heats that are at work
        house.clocks.pass_ms(max(one.format.length_ms for one in hall.projection.roster.events))
        before = hall.projection.version
        with hall.hub.subscribe("board", most=1) as news:
            hall.hub.publish("board", {"version": before})  # any news: nobody need wait for a real day
            while hall.projection.version == before:
                await news.next(20)
        turning.cancel()

    assert house.inside.portal is not None
    house.inside.portal.call(rung)
    assert told(house)["beside"] == ""
