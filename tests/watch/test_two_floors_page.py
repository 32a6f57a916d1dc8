"""Two platforms at work at once, as the hall's screens show them: each may keep to one, and none hides the other."""

import asyncio
import json
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.watch.bar_turns import keep_turning
from app.watch.pages.board import events
from app.watch.pages.feed import Feed
from tests.builders.halls import House, a_house
from tests.builders.platforms import a_meet, a_platform_file

BESIDE = 6  # lanes between the platforms' first ones


def two_platforms() -> CompetitionFile:
    """Flight 1 on lanes 1 to 3, flight 2 on 7 to 9, flight 3 on 1 to 3 after the first."""
    file = a_platform_file(a_meet(), lifters=9, flight=3)
    lanes = tuple(lane.model_copy(update={"lane": lane.lane + BESIDE}) for lane in file.heats[1].lanes)
    heats = (file.heats[0], file.heats[1].model_copy(update={"lanes": lanes}), file.heats[2])
    return file.model_copy(update={"heats": heats})


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """Both platforms with a flight that has begun: the second after the first."""
    with a_house(tmp_path, file=two_platforms()) as house:
        for heat in ("heat_1", "heat_2"):
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
    assert wall["head"]["beside"] == clock["beside"]
    beside = board.split('id="floor-beside">')[1].split("</p>")[0]
    return {"heat": shown.pop(), "beside": clock["beside"].replace("\u2068", "").replace("\u2069", ""), "links": beside}


def test_a_screen_keeps_to_a_platform_and_says_what_else_is_at_work(house: House) -> None:
    whole, first, second = told(house), told(house, "?lane=2"), told(house, "?lane=7")
    assert (whole["heat"], whole["beside"]) == (2, "Also on the floor: lanes 1 to 3")
    assert '<a href="/board?lane=1">lanes 1 to 3</a>' in whole["links"] and "Only" not in whole["links"]
    assert (first["heat"], first["beside"]) == (1, "Also on the floor: lanes 7 to 9")
    assert "Only lanes 1 to 3 here." in first["links"] and '<a href="/board">Whole hall</a>' in first["links"]
    assert (second["heat"], second["beside"]) == (2, "Also on the floor: lanes 1 to 3")
    assert all(f'href="/{screen}?lane=1"' in page(house, "/board?lane=2") for screen in ("wall", "clock"))
    assert "Next: Heat 3" in page(house, "/board?lane=1") and "Next: Heat" not in page(house, "/board?lane=9")


def test_the_desk_finds_the_screens_of_each_platform(house: House) -> None:
    walls = unescape(house.desk().get("/desk/walls", headers={"accept": "text/html"}).text)
    assert all(f'href="/{screen}?lane={lane}"' in walls for screen in ("wall", "board", "clock") for lane in (1, 7))
    assert 'href="/desk/walls#floors"' in house.desk().get("/desk/tablets", headers={"accept": "text/html"}).text


def test_the_whole_halls_screens_show_what_is_at_work_though_a_later_heat_is_over(house: House) -> None:
    house.desk().post("/desk/heats/heat_2/close", data={"why": "All have lifted", "by": "Kim"})
    assert (told(house)["heat"], told(house)["beside"]) == (1, "")
    assert told(house, "?lane=7")["heat"] == 2, "what keeps to a platform keeps to it"
    house.desk().post("/desk/heats/heat_1/close", data={"why": "All have lifted", "by": "Kim"})
    assert (told(house)["heat"], told(house)["beside"]) == (2, "")


def test_a_lane_that_no_heat_has_is_the_whole_hall_and_makes_no_board_of_its_own(house: House) -> None:
    for lane in range(1, 31):
        house.browser().get(f"/board?lane={lane}")
    assert told(house, "?lane=20") == told(house)
    assert len(house.app.state.board_feeds) == 3, "two floors, and the hall"


def test_the_stream_of_a_platform_hears_its_own(house: House) -> None:

    async def first() -> str:
        stream = events(Feed(house.app.state.hall, 1), "")
        assert await anext(stream) == b": hello\n\n"
        told = await anext(stream)
        await stream.aclose()
        return str(json.loads(told.split(b"data: ")[1])["html"])

    assert house.inside.portal is not None
    assert 'id="lanes-heat_1"' in house.inside.portal.call(first)


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
