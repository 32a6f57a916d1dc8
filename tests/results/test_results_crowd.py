"""Results while a heat runs and a hall looks on: counted at the pace of boards, as new as the question, the same for all."""

import asyncio
import time
from collections.abc import Iterator
from itertools import count
from typing import Any

import httpx
import pytest

from app.hall.hall import Hall
from app.live.hub import BOARD_EVERY_S
from app.live.projection import Projection
from app.rules.records.marks import parse_mark
from tests.builders.halls import ON_THE_LAN, House, a_house, a_mark
from tests.builders.meets import a_meet

LOOKS = 25
SHEET = "asg_11/1/lane"
PAGES = ("/results", "/results.json", "/podium", "/results/swings/score/ent_1", "/results/swings/score/ent_1.json")


NUMBERS = count(1000)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("meet") / "data", file=a_meet()) as opened:
        yield opened


async def one_more(hall: Hall) -> None:
    """One more repetition of the first entry."""
    number = next(NUMBERS)
    await hall.ledger.append([parse_mark(a_mark(number, SHEET, at=20_000 + number))], 0)


async def looks(hall: Hall, app: Any, path: str) -> list[httpx.Response]:
    """Phones that look one soon after the other, each after one more mark."""
    asking = []
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://localhost") as phones:
        for _ in range(LOOKS):
            await one_more(hall)
            asking.append(asyncio.create_task(phones.get(path)))
            await asyncio.sleep(0)
        return await asyncio.gather(*asking)


@pytest.mark.parametrize("path", PAGES)
def test_a_running_heat_is_ranked_at_the_pace_of_boards_and_not_for_each_who_looks(
    house: House, path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.browser().get(path)
    ranked, ask = list[Any](), Projection.event_results

    def noted(projection: Projection, event: str) -> Any:
        found = ask(projection, event)
        if event == "swings" and all(found is not one for one in ranked):
            ranked.append(found)
        return found

    monkeypatch.setattr(Projection, "event_results", noted)
    begun = time.monotonic()
    answers = house.do(looks, house.app, path)
    assert {answer.status_code for answer in answers} == {200}
    assert len(ranked) <= 2 + (time.monotonic() - begun) / BOARD_EVERY_S


def test_who_looks_sees_what_was_stored_before_the_question(house: House) -> None:
    def reps() -> int:
        return int(house.browser().get("/results/swings/score/ent_1.json").json()["score"].split()[0])

    before = reps()
    for n in range(3):
        house.do(one_more)
        assert reps() == before + 1 + n


def test_the_page_is_the_same_for_all_but_for_how_they_may_keep_it_and_take_it(house: House) -> None:
    desk, reader = house.desk(), house.browser(ON_THE_LAN)
    for path in PAGES:
        theirs, ours = reader.get(path), desk.get(path)
        assert theirs.content == ours.content and theirs.headers["etag"] == ours.headers["etag"]
        assert (theirs.headers["cache-control"], ours.headers["cache-control"]) == ("no-cache", "no-store")
        plain = reader.get(path, headers={"accept-encoding": "identity"})
        assert plain.content == theirs.content and "content-encoding" not in plain.headers
        known = reader.get(path, headers={"if-none-match": theirs.headers["etag"]})
        assert known.status_code == 304 and not known.content
    away = reader.get("/results/swings/score/none", headers={"accept": "text/html"})
    data = reader.get("/results/swings/score/none")
    assert away.status_code == data.status_code == 404 and "<html" in away.text and "sentence" in data.json()


def test_what_is_said_of_how_final_results_are_changes_with_the_time_alone(house: House) -> None:
    said = house.browser().get("/results").text
    house.clocks.wall = 1_900_000_000_000 + 24 * 3_600_000
    later = house.browser().get("/results").text
    assert "the time for protests is over" in later and "the time for protests is over" not in said
    house.clocks.wall = 1_900_000_000_000
    assert house.browser().get("/results").text == said
