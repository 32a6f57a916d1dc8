"""The board over HTTP: open to all, sent in steps, one rendering for all who watch."""

import asyncio
import json
import re
import threading
from fractions import Fraction
from typing import Any

import pytest

from app.live.slices import Slices
from app.rules.records.overall_rule import OverallRule
from app.rules.records.team_rule import TeamRule
from app.rules.workout.formats import CountTask
from app.watch.board import board
from app.watch.pages import feed as feeding
from app.watch.pages.feed import Feed, Version
from app.web import streams
from app.web.spoken import COOKIE
from tests.builders.cast import a_competition, a_format, reps
from tests.builders.halls import House, a_house, a_mark, sent
from tests.builders.platforms import a_meet, a_platform_file


def feed(house: House) -> Feed:
    """A feed over the hall of the house, as the server has one."""
    return Feed(house.app.state.hall)


def now_of(watched: Feed) -> Version:
    """The newest version of a feed."""
    return asyncio.run(watched.refresh())


def mark(house: House, seq: int, sheet: str, **changes: Any) -> None:
    """A mark sent by the desk."""
    answer = house.marking.post(
        "/marks", content=sent(a_mark(seq, sheet, **changes)), headers={"content-type": "application/json"}
    )  # type: ignore[attr-defined]
    assert answer.status_code == 200 and answer.json()["refused"] == [], answer.text


@pytest.fixture
def live(house: House) -> House:
    """A house whose desk has given the first heat its GO."""
    house.marking = house.desk()  # type: ignore[attr-defined]
    heat = house.app.state.hall.projection.roster.heats[0]
    answer = house.marking.post(f"/desk/heats/{heat.id}/go", data={"seconds": "10"})  # type: ignore[attr-defined]
    assert answer.status_code < 400, answer.text
    return house


def sheets(house: House) -> list[str]:
    return [f"{lane.id}/1/lane" for lane in house.app.state.hall.projection.roster.heats[0].lanes]


@pytest.mark.parametrize("path", ["/", "/board"])
def test_the_board_is_open_to_all(house: House, path: str) -> None:
    answer = house.browser("192.0.2.9").get(path)
    roster = house.app.state.hall.projection.roster
    assert answer.status_code == 200 and roster.competition.name in answer.text
    assert all(division.name in answer.text for division in roster.divisions)


def test_before_there_is_a_competition_the_board_says_so(tmp_path: Any) -> None:
    with a_house(tmp_path, competition=False) as house:
        assert "Nothing to show yet" in house.browser().get("/").text


def test_a_repetition_is_sent_as_the_pieces_it_changed(live: House) -> None:
    live.clocks.pass_ms(20_000)
    watched = feed(live)
    first = now_of(watched)
    mark(live, 1, sheets(live)[0])
    mark(live, 2, sheets(live)[1])
    second = now_of(watched)
    mark(live, 3, sheets(live)[0])
    third = now_of(watched)
    message = told(third.event_for(second.version))
    assert message["from"] == second.version and message["version"] == third.version
    assert len(re.findall("<hx-partial", message["html"])) <= 3
    assert len(third.step) < len(third.whole) / 5
    assert told(third.event_for(first.version))["from"] is None


def test_nobody_is_on_the_floor_once_the_last_bell_has_gone(live: House) -> None:
    hall = live.app.state.hall
    for passed_ms, on_floor in ((20_000, True), (hall.projection.roster.events[0].format.length_ms, False)):
        live.clocks.pass_ms(passed_ms)
        shown = board(hall)
        assert shown is not None and any(row.live for panel in shown.panels for row in panel.rows) == on_floor


def told(event: bytes) -> Any:
    """The message in an event."""
    return json.loads(event.split(b"\ndata: ", 1)[1])


def test_whoever_shows_the_version_before_gets_to_the_same_board(live: House) -> None:
    live.clocks.pass_ms(20_000)
    watched = feed(live)
    for n, sheet in enumerate([*sheets(live), sheets(live)[-1], sheets(live)[-1]], start=1):
        mark(live, n, sheet)
        now = now_of(watched)
        pieces = now.pieces
    for target, html in re.findall(
        r'<hx-partial hx-target="#([^"]+)"[^>]*>(.*?)</hx-partial>', told(now.event_for(now.before))["html"], re.S
    ):
        whole = "".join(pieces.html[i] for i in pieces.lists[target]) if target in pieces.lists else pieces.html[target]
        assert html == whole


def test_one_rendering_serves_all(live: House, monkeypatch: pytest.MonkeyPatch) -> None:
    rendered: list[str] = []
    real = feeding.render
    monkeypatch.setattr(feeding, "render", lambda name, **views: rendered.append(name) or real(name, **views))
    watched = feed(live)
    now_of(watched)
    mark(live, 1, sheets(live)[0])
    rendered.clear()
    versions = {id(now_of(watched)) for _ in range(200)}
    assert len(versions) == 1
    assert rendered.count("watch/row.html") <= 4 and rendered.count("watch/content.html") == 0, "nobody asked for a whole board"
    assert len({id(now_of(watched).whole) for _ in range(200)}) == 1 and rendered.count("watch/content.html") == 1


def test_pieces_that_the_board_no_longer_shows_are_not_kept(live: House) -> None:
    watched = feed(live)
    kept = []
    for seq in range(1, 6):
        mark(live, seq, sheets(live)[0])
        now_of(watched)
        kept.append(len(watched._rendered) + len(watched._shown))
    assert kept[-1] <= kept[1]


def test_a_server_that_starts_again_with_the_same_marks_shows_the_same_version(live: House) -> None:
    mark(live, 1, sheets(live)[0])
    assert now_of(feed(live)).version == now_of(feed(live)).version


def test_nobody_is_shown_a_board_that_was_begun_before_they_asked(live: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(feeding, "BOARD_EVERY_S", 0)
    live.clocks.pass_ms(20_000)
    watched, portal = feed(live), live.inside.portal
    assert portal is not None
    real, begun, may_end = watched._next, threading.Event(), asyncio.Event()

    async def slowly(slices: Slices) -> Version:
        made = await real(slices)
        begun.set()
        await may_end.wait()
        return made

    async def asked_as_the_older_one_ends() -> Version:
        may_end.set()
        return await watched.newest()

    portal.call(watched.refresh)
    mark(live, 1, sheets(live)[0])
    monkeypatch.setattr(watched, "_next", slowly)
    portal.start_task_soon(watched.refresh)
    assert begun.wait(10)
    mark(live, 2, sheets(live)[0])
    assert portal.call(asked_as_the_older_one_ends).version == now_of(feed(live)).version


def test_the_whole_board_can_be_fetched_and_is_not_sent_twice(house: House) -> None:
    visitor = house.browser()
    answer = visitor.get("/board/parts")
    assert answer.json()["from"] is None and "hx-partial" in answer.json()["html"]
    again = visitor.get("/board/parts", headers={"if-none-match": answer.headers["etag"]})
    assert again.status_code == 304 and again.content == b""


def test_the_time_is_given_as_two_stamps_of_the_timeline(house: House) -> None:
    answer = house.browser().get("/board/time").json()
    assert answer == {"boot": "boot-one", "t2": house.clocks.server + 0.25, "t3": house.clocks.server + 0.25}


def test_names_are_text_and_nothing_else(house: House) -> None:
    desk = house.desk()
    assert desk.post("/desk/divisions", data={"name": "<script>alert(1)</script>"}).status_code < 400
    hall = house.app.state.hall
    roster = hall.projection.roster
    entry = roster.entries[0].model_copy(update={"name": '"><img src=x onerror=alert(1)>'})
    hall.projection.roster_changed(roster.model_copy(update={"entries": (entry, *roster.entries[1:])}), hall.projection.runs, ())
    page = house.browser().get("/").text
    assert "<img src=x" not in page and "&lt;img src=x" in page


def test_the_floor_shows_the_heat_that_was_last_given_a_go(live: House) -> None:
    view = board(live.app.state.hall)
    assert view is not None and view.floor is not None
    assert view.floor.number == 1 and view.floor.state == "set"
    assert view.floor.go_server_ms > live.clocks.server
    live.clocks.pass_ms(20_000)
    mark(live, 1, sheets(live)[0])
    view = board(live.app.state.hall)
    assert view is not None and view.floor is not None
    assert json.loads(view.floor.lanes[0].counts)[0] == "1" and view.floor.lanes[0].score == "1"


def test_a_stream_begins_with_what_was_missed_and_ends_with_the_server(live: House) -> None:
    hall = live.app.state.hall
    watched = feed(live)

    async def listen() -> list[bytes]:
        heard = []
        events = feeding.events(lambda: watched, "an older version")
        heard.append(await anext(events))
        heard.append(await anext(events))
        hall.hub.close()
        heard += [event async for event in events]
        return heard

    hello, whole = live.inside.portal.call(listen)  # type: ignore[union-attr]
    assert hello.startswith(b":") and told(whole)["from"] is None


def test_silence_is_filled_with_beats(live: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(streams, "BEAT_S", 0.01)
    watched = feed(live)

    async def listen() -> bytes:
        events = feeding.events(lambda: watched, (await watched.refresh()).version)
        await anext(events)
        beat = await asyncio.wait_for(anext(events), 5)
        await events.aclose()
        return beat

    assert live.inside.portal.call(listen) == streams.BEAT  # type: ignore[union-attr]
    # Whoever looks out for a shared bar's turn follows the board's news too (bar_turns.py), and makes nothing.
    assert [live.app.state.hall.hub.watchers(topic) for topic in ("board", feeding.TOLD)] == [1, 0], "nothing is made for nobody"


def test_teams_stand_on_the_board_where_a_single_score_makes_no_overall_standing_of_its_own(tmp_path: Any) -> None:
    file = a_competition(a_format(CountTask(movement="swing")), {"Open": ["Ana", "Bo"]}, reps(5, lane=1) + reps(3, lane=2))
    rule = OverallRule(teams=TeamRule(of="named", points=(Fraction(12), Fraction(9))))
    named = tuple(one.model_copy(update={"team": team}) for one, team in zip(file.entries, ("Oak", "Elm"), strict=True))
    with a_house(tmp_path, file=file.model_copy(update={"overall": rule, "entries": named})) as opened:
        shown = opened.browser().get("/board", headers={"accept": "text/html"}).text
        german = opened.browser().get("/board", headers={"accept": "text/html", "cookie": f"{COOKIE}=de"}).text
    assert "All divisions · Teams" in shown and "Oak" in shown and "Open · Overall" not in shown
    assert "Mannschaften" in german and "Vorläufig wie die Gesamtwertung" in german


def test_tabs_and_titles_of_several_scores_name_them_in_the_language_of_the_page(tmp_path: Any) -> None:
    file = a_platform_file(a_meet("rising_bar", movements="Power snatch"))
    with a_house(tmp_path, file=file) as opened:
        asked = (opened.browser().get("/board", headers={"cookie": f"{COOKIE}={one}"}).text for one in ("en", "de"))
        named = [re.findall(r">(?:Open ·|The meet:) ([\w ]+)<", page) for page in asked]
    assert named == [["Total", "Power snatch"] * 2, ["Gesamt", "Standreißen"] * 2]


def test_who_did_not_start_is_not_said_to_be_on_the_floor(live: House) -> None:
    lane = live.app.state.hall.projection.roster.heats[0].lanes[0].id
    before = live.browser().get("/board").text.count("on-floor")
    answer = live.marking.post(f"/desk/lanes/{lane}/call", data={"call": "no_show"})  # type: ignore[attr-defined]
    assert answer.status_code < 400
    after = live.browser().get("/board").text
    assert after.count("on-floor") == before - 1 and "did not start" in after
