"""A shared bar as the hall's screens show it: who was called, whose attempt is judged, its clock, who has done nothing yet."""

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from app.watch.board import board as the_board
from app.watch.pages.feed import Feed
from app.watch.pages.wall_feed import WallFeed
from tests.builders.halls import a_house
from tests.builders.platform_meets import Meet, Size
from tests.builders.platforms import a_meet, a_platform_file, lifter

ADA, BO, CY = (lifter(n) for n in (1, 2, 3))


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[Meet]:
    """Three lifters at one bar, with three referees; nobody has declared."""
    with a_house(tmp_path, file=a_platform_file(a_meet(), lifters=3)) as house:
        house.desk().post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(10_000)
        meet = Meet(house, 1, Size(3, 3, 3, (0,)))
        yield meet


def declared(meet: Meet, who: int, amount: str) -> str:
    """What a lifter declares at the desk."""
    return meet.mark("marshal", "lane", "declare", who, 0, load={"amount": amount, "unit": "kg"}, by="desk")


def wall(meet: Meet) -> dict[str, Any]:
    """All that a wall holds."""
    feed = WallFeed(Feed(meet.house.app.state.hall))
    assert meet.house.inside.portal is not None
    return {name: json.loads(text) for name, text in meet.house.inside.portal.call(feed.newest).pieces.items()}


def told(meet: Meet) -> dict[str, Any]:
    """What it holds of the bar, without the signs that keep names apart from the words around them."""
    race: dict[str, Any] = wall(meet)["race"]
    return race | {name: re.sub("[\u2066-\u2069]", "", race[name]) for name in ("order", "after")}


def board(meet: Meet) -> str:
    """The board's page."""
    return unescape(meet.house.browser().get("/board", headers={"accept": "text/html"}).text)


def test_whoever_was_called_stays_so_and_those_after_are_told_apart(meet: Meet) -> None:
    said = declared(meet, 2, "110")
    declared(meet, 3, "115")
    race = told(meet)
    assert (race["called"], race["attempt"]) == ("lane-asg_2", None)
    assert race["order"] == f"Next: {BO}, 110 kg (242.5 lb). Then {CY}, 115 kg."
    meet.mark("marshal", "lane", "called", 2, 0, declared=said)
    declared(meet, 1, "105")
    race = told(meet)
    assert race["called"] == "lane-asg_2", "though another's load is lighter by now"
    assert race["order"] == f"Called: {BO}, 110 kg (242.5 lb). Then {ADA}, 105 kg; {CY}, 115 kg."
    assert race["after"] == f"Next: {ADA}, 105 kg (231.5 lb). Then {CY}, 115 kg."
    assert race["attempt"]["who"] == BO
    assert json.loads(re.findall(r'data-attempt="(\{.*?\})"', board(meet))[0]) == race["attempt"]


def test_an_attempt_is_judged_until_the_last_referee_has_decided(meet: Meet) -> None:
    load, said = {"amount": "110", "unit": "kg"}, {who: declared(meet, who, "110") for who in (1, 2)}

    def lifts() -> tuple[int | None, int | None]:
        (lift,) = (one for one in wall(meet)["lane-asg_2"]["lifts"] if one["shown"]["window"] == 0)
        return lift["judged_since"], lift["decided_at"]

    meet.mark("marshal", "lane", "called", 2, 0, declared=said[2])
    assert lifts() == (None, None)
    meet.mark("centre", "lane", "lift", 2, 0, load=load, good=True, declared=said[2])
    first = meet.at_ms
    meet.mark("left", "second", "lift", 2, 0, load=load, good=True, declared=said[2])
    meet.mark("marshal", "lane", "called", 1, 0, declared=said[1])
    assert (lifts(), wall(meet)["race"]["called"]) == ((first, None), "lane-asg_1"), "the next one waits for the third light"
    assert wall(meet)["lane-asg_2"]["score"] == "", "what they decide is not told before"
    meet.mark("right", "third", "lift", 2, 0, load=load, good=True, declared=said[2])
    assert lifts() == (None, meet.at_ms), "told from when all three are there"


def test_who_has_not_lifted_is_no_zero_and_has_no_place(meet: Meet) -> None:
    load, said = {"amount": "110", "unit": "kg"}, {who: declared(meet, who, "110") for who in (1, 2)}
    meet.mark("centre", "lane", "begun", 1, 0, declared=said[1])
    now = wall(meet)
    assert [now[f"lane-asg_{who}"]["score"] for who in (1, 2, 3)] == ["", "", ""] and now["race"]["groups"] == []
    assert {(row["place"], row["score"], row["note"]) for name, row in now.items() if name.startswith("row-evt")} == {
        ("", "", "not judged yet")
    }
    assert board(meet).count('<span class="visually-hidden">total </span>–') == 3
    for seat, sheet in (("centre", "lane"), ("left", "second"), ("right", "third")):
        meet.mark(seat, sheet, "lift", 1, 0, load=load, good=False, declared=said[1])
    now = wall(meet)
    assert [now[f"lane-asg_{who}"]["score"] for who in (1, 2, 3)] == ["0", "", ""], "no lift is a result"
    row = next(row for name, row in now.items() if name.startswith("row-evt") and row["entry"] == ADA)
    assert (row["place"], row["score"]) == ("1", "0"), "shared with nobody who is still to lift"
    assert "1 of 3 judged" in board(meet)
    shown = the_board(meet.house.app.state.hall)
    assert shown is not None
    parts = {row.entry: [part.value for part in row.parts] for row in shown.panels[0].rows}
    assert parts == {ADA: ["0 kg", "–", "–"], BO: ["", "", ""], CY: ["", "", ""]}, "two lifts are still to come"


def test_an_attempts_clock_that_was_started_by_an_unsure_tablet_says_by_how_much(meet: Meet) -> None:
    said = declared(meet, 2, "110")
    meet.mark("marshal", "lane", "called", 2, 0, err=4_000, declared=said)
    told = meet.house.browser().get("/clock/now").json()["heat"]["attempt"]
    assert told["bound"] == wall(meet)["race"]["attempt"]["bound"] == 4_000
