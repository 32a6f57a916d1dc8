"""The wall over HTTP: what a screen is sent, that what did not change is not sent again, and the desk's page about walls."""

import json
import re
from fractions import Fraction
from typing import Any

import pytest

from app.rules.count.tally import fold
from app.rules.records.marks import parse_mark
from app.rules.result.scoring import score
from app.rules.workout.tasks import ListTask, WorkItem
from app.watch.pages.feed import Feed, events
from app.watch.pages.wall_feed import WallFeed, WallVersion
from app.watch.wall_lanes import groups
from app.watch.walls import reach, row_size, walls_page
from tests.builders.halls import House, a_mark, sent
from tests.builders.meets import a_mark as a_meet_mark
from tests.builders.meets import errands, swings


def told(house: House, feed: WallFeed) -> WallVersion:
    """The newest version of the wall."""
    return house.inside.portal.call(feed.newest)  # type: ignore[no-any-return, union-attr]


def wall(house: House) -> WallFeed:
    """A feed over the hall of the house, as the server has one."""
    return WallFeed(Feed(house.app.state.hall))


def pieces(now: WallVersion) -> dict[str, Any]:
    """All that a screen holds."""
    return {name: json.loads(text) for name, text in now.pieces.items()}


@pytest.fixture
def live(house: House) -> House:
    """A house whose desk has given the first heat its GO, twenty seconds ago."""
    desk = house.marking = house.desk()  # type: ignore[attr-defined]
    heat = house.app.state.hall.projection.roster.heats[0]
    assert desk.post(f"/desk/heats/{heat.id}/go", data={"seconds": "10"}).status_code < 400
    house.clocks.pass_ms(20_000)
    return house


def mark(house: House, seq: int, lane: int) -> None:
    """A repetition on a lane of the first heat."""
    heat = house.app.state.hall.projection.roster.heats[0]
    content = sent(a_mark(seq, f"{heat.lanes[lane].id}/1/lane"))
    answer = house.marking.post("/marks", content=content, headers={"content-type": "application/json"})  # type: ignore[attr-defined]
    assert answer.json()["refused"] == []


def test_a_wall_is_open_to_all_and_leads_phones_to_the_board(house: House) -> None:
    page = house.browser("192.0.2.9").get("/wall").text
    assert "data:image/svg+xml" in page and re.search(r"The board on your own phone: [\w.:-]+/board", page)
    assert house.browser("192.0.2.9").get("/wall/now").json()["set"]["head"]["competition"] == "The Slate Day"


def test_a_wall_is_sent_only_what_a_repetition_changed(live: House) -> None:
    feed = wall(live)
    mark(live, 1, 0)
    mark(live, 2, 1)
    first = told(live, feed)
    mark(live, 3, 0)
    second = told(live, feed)
    step = json.loads(second.event_for(first.version).split(b"\ndata: ", 1)[1])
    assert (step["from"], step["version"], step["gone"]) == (first.version, second.version, [])
    changed = {name.partition("-")[0] for name in step["set"]}
    assert changed == {"lane", "row", "race"} and len(step["set"]) <= 4, step["set"].keys()
    assert len(second.step) < len(second.whole()) / 5
    assert {**pieces(first), **step["set"]} == pieces(second)


def test_who_missed_a_version_is_sent_all_of_it(live: House) -> None:
    feed = wall(live)
    told(live, feed)
    mark(live, 1, 0)
    now = told(live, feed)
    for shown in ("", "another"):
        update = json.loads(now.event_for(shown).split(b"\ndata: ", 1)[1])
        assert update["from"] == "" and update["set"] == pieces(now)


def test_nothing_is_made_anew_while_nothing_changes(live: House) -> None:
    feed = wall(live)
    assert told(live, feed) is told(live, feed)


def test_the_wall_says_who_leads_and_by_how_much(live: House) -> None:
    feed = wall(live)
    assert pieces(told(live, feed))["race"]["groups"] == []
    for seq in range(1, 6):
        mark(live, seq, 0)
    mark(live, 6, 1)
    race = pieces(told(live, feed))["race"]
    heat = live.app.state.hall.projection.roster.heats[0]
    order = [[f"lane-{heat.lanes[0].id}"], [f"lane-{heat.lanes[1].id}"]]
    assert race["groups"] == [{"name": "Open pairs", "order": order, "by": "+4", "behind": ["", "−4"]}]


def test_a_lead_is_told_in_what_is_compared() -> None:
    listed = errands()
    rule = listed.scores[0]

    def made(reps: int, finish: int | None) -> Any:
        marks = [a_meet_mark("asg_21/1/lane", n + 1, "rep", 1000 + 600 * n) for n in range(reps)]
        done = [] if finish is None else [a_meet_mark("asg_21/1/lane", 90, "finish", finish)]
        return score(listed, rule, fold(listed, [parse_mark(one) for one in [*marks, *done]]))

    def lead(*scores: Any) -> list[str]:
        return [group.by for group in groups([(f"lane-{n}", "Open", one) for n, one in enumerate(scores)])]

    assert lead(made(9, None), made(5, None)) == ["+4"]
    assert lead(made(12, 40_000), made(12, 43_000)) == ["+0:03"]
    assert lead(made(12, 40_000), made(5, None)) == [""], "a time and work left are not taken from one another"
    assert lead(made(5, None), made(5, None)) == [""] and lead(made(5, None)) == [""]


def test_the_line_of_a_list_under_way() -> None:
    items = (WorkItem(movement="a", reps=3), WorkItem(movement="b", reps=2))
    twice = ListTask(items=items, rounds=2)
    found = [twice.under_way(taps) for taps in (0, 2, 3, 5, 9, 10)]
    said = [None if one is None else (one[0], one[1].movement, one[2]) for one in found]
    assert said == [(1, "a", 3), (1, "a", 1), (1, "b", 2), (2, "a", 3), (2, "b", 1), None]
    endless = ListTask(items=items, rounds=None).under_way(11)
    assert endless is not None and (endless[0], endless[2]) == (3, 2)


def test_only_a_time_counts_up() -> None:
    assert [errands().counts_up(0), swings().counts_up(0)] == [True, False]


def test_the_desk_chooses_a_scene_and_lets_it_go(house: House) -> None:
    desk, feed = house.desk(), wall(house)
    assert pieces(told(house, feed))["head"]["said"] == ""
    for scene in ("podium", ""):
        assert desk.post("/desk/walls", data={"scene": scene}).status_code < 400
        assert pieces(told(house, feed))["head"]["said"] == scene
        page = desk.get("/desk/walls").text
        assert re.findall(r'value="([\w]*)" class="act" aria-pressed="true"', page) == [scene]
    assert desk.post("/desk/walls", data={"scene": "fireworks"}).status_code == 422
    assert house.browser("192.0.2.9").post("/desk/walls", data={"scene": "podium"}).status_code in (303, 401, 403)


def test_how_far_a_wall_reads_follows_from_its_width_and_the_lanes() -> None:
    said = {one.what: float(one.metres.split()[0]) for one in walls_page("", 120, 12).reaches}
    assert said["The clock"] >= 20 and said["Who leads"] >= 20 and said["The podium, with three on it"] >= 20
    assert said["Each of 12 lanes in the heat"] >= 7
    assert reach(row_size(12), 240) == 2 * reach(row_size(12), 120)
    assert row_size(6) > row_size(12) > row_size(20) and row_size(1) == row_size(2)
    assert row_size(24) == row_size(12) / Fraction(2)


def test_a_stream_begins_with_all_of_it(live: House) -> None:
    feed = wall(live)

    async def listen() -> list[bytes]:
        heard = events(lambda: feed, "")
        found = [await anext(heard), await anext(heard)]
        await heard.aclose()
        return found

    hello, whole = live.inside.portal.call(listen)  # type: ignore[union-attr]
    assert hello.startswith(b":") and whole.startswith(b"event: wall\nid: ")
