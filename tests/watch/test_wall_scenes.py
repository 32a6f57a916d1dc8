"""Which scene a wall shows, and what it makes of what it was sent: tables that its scripts are held to."""

from typing import Any

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

FOLDER = "/static/js/screens/watch/wall"
OPEN, MASTERS = {"key": "panel-open", "pages": 2}, {"key": "panel-masters", "pages": 1}
NOBODY: dict[str, Any] = {
    "purpose": "all",
    "said": "",
    "heat": "",
    "since_ms": None,
    "lifting": False,
    "waiting": 0,
    "clock_ms": 0,
    "panels": [],
    "fresh": [],
    "heats": [],
    "podiums": [],
}
DAY = NOBODY | {"waiting": 2, "panels": [OPEN, MASTERS], "heats": [{"key": "heat-3", "pages": 1}, {"key": "heat-4", "pages": 1}]}
DONE = DAY | {"waiting": 0, "heats": [], "podiums": [{"key": "podium-0", "pages": 1}, {"key": "podium-1", "pages": 1}]}
ENDED = DAY | {"heat": "over", "fresh": [OPEN]}

# What is known, and the scene, of what, which page.
TABLE: tuple[tuple[str, dict[str, Any], tuple[str, str, int]], ...] = (
    ("no competition", NOBODY, ("empty", "", 0)),
    ("before the first GO, the standings first", DAY, ("standing", "panel-open", 0)),
    ("then their next page", DAY | {"clock_ms": 12_000}, ("standing", "panel-open", 1)),
    ("then the next standing", DAY | {"clock_ms": 24_000}, ("standing", "panel-masters", 0)),
    ("then who comes next", DAY | {"clock_ms": 36_000}, ("next", "heat-3", 0)),
    ("and round again", DAY | {"clock_ms": 48_000}, ("standing", "panel-open", 0)),
    ("nothing to rank yet", DAY | {"panels": []}, ("next", "heat-3", 0)),
    ("a GO is set", DAY | {"heat": "set"}, ("lineup", "", 0)),
    ("it runs", DAY | {"heat": "running"}, ("race", "", 0)),
    ("a bar is lifted", DAY | {"heat": "running", "lifting": True}, ("lift", "", 0)),
    ("it is held", DAY | {"heat": "held"}, ("race", "", 0)),
    ("it goes on in a moment", DAY | {"heat": "going-on", "lifting": True}, ("lift", "", 0)),
    ("it was stopped", DAY | {"heat": "stopped"}, ("lineup", "", 0)),
    ("the last bell", ENDED | {"since_ms": 0}, ("result", "", 0)),
    ("it settles into the standing", ENDED | {"since_ms": 12_000}, ("result", "panel-open", 0)),
    ("with all its pages", ENDED | {"since_ms": 24_000}, ("result", "panel-open", 1)),
    ("a result that is in no standing", ENDED | {"since_ms": 20_000, "fresh": []}, ("result", "", 0)),
    ("a minute later", ENDED | {"since_ms": 60_000}, ("standing", "panel-open", 0)),
    ("over, and nobody knows since when", ENDED, ("standing", "panel-open", 0)),
    ("the last heat of the day has just ended", DONE | {"heat": "over", "since_ms": 1_000}, ("result", "", 0)),
    ("the day is done", DONE | {"heat": "over", "since_ms": 60_000}, ("podium", "podium-0", 0)),
    ("the next podium", DONE | {"heat": "over", "since_ms": 60_000, "clock_ms": 12_000}, ("podium", "podium-1", 0)),
    ("done, and nobody on the podium", DONE | {"podiums": []}, ("standing", "panel-open", 0)),
    ("the desk wants the podium", DONE | {"said": "podium", "heat": "running"}, ("podium", "podium-0", 0)),
    ("which is not known yet", DAY | {"said": "podium", "heat": "running"}, ("race", "", 0)),
    ("the desk wants the standings", DAY | {"said": "standing", "heat": "running"}, ("standing", "panel-open", 0)),
    ("the next heats", DAY | {"said": "next", "heat": "running", "clock_ms": 12_000}, ("next", "heat-4", 0)),
    ("the line-up, before GO", DAY | {"said": "lineup", "heat": "set"}, ("lineup", "", 0)),
    ("the line-up, between heats", DAY | {"said": "lineup"}, ("next", "heat-3", 0)),
    ("the line-up of the last heat", DONE | {"said": "lineup", "heat": "over"}, ("lineup", "", 0)),
    ("the heat, long after its bell", DAY | {"said": "race", "heat": "over"}, ("race", "", 0)),
    ("the heat, before there was one", DAY | {"said": "race"}, ("standing", "panel-open", 0)),
    ("the result", DAY | {"said": "result", "heat": "over"}, ("result", "", 0)),
    ("a screen for the next heats", DAY | {"purpose": "next", "heat": "running"}, ("next", "heat-3", 0)),
    ("keeps to it whatever the desk wants", DAY | {"purpose": "next", "said": "podium"}, ("next", "heat-3", 0)),
    ("and has none to show at the end", DONE | {"purpose": "next"}, ("standing", "panel-open", 0)),
    ("a screen for the standings", DAY | {"purpose": "standings", "heat": "running"}, ("standing", "panel-open", 0)),
    ("a screen for the podium", DONE | {"purpose": "podium", "heat": "running"}, ("podium", "podium-0", 0)),
    ("a screen for a block of lanes", DAY | {"purpose": "lanes", "heat": "running"}, ("race", "", 0)),
    ("shows how its heat ended", ENDED | {"purpose": "lanes", "since_ms": 30_000}, ("result", "", 0)),
    ("then who comes next on it", ENDED | {"purpose": "lanes", "since_ms": 60_000}, ("next", "heat-3", 0)),
    ("a screen for what nobody knows", DAY | {"purpose": "fishes"}, ("standing", "panel-open", 0)),
)


def test_the_scene_follows_from_what_is_known(scripts: Page) -> None:
    asked = f"async (table) => {{ const {{ sceneOf }} = await import('{FOLDER}/scene.js'); return table.map(sceneOf); }}"
    shown = scripts.evaluate(asked, [known for _, known, _ in TABLE])
    found = {name: tuple(one.values()) for (name, _, _), one in zip(TABLE, shown, strict=True)}
    assert found == {name: scene for name, _, scene in TABLE}


def test_who_came_in_moves_the_others_down_and_ties_move_together(scripts: Page) -> None:
    places = ["1", "=2", "=2", "4", "5", "6", ""]  # the second and the fifth came in, the last has no place
    rows = [{"id": f"r{n}", "place": place} for n, place in enumerate(places)]
    asked = f"""async (rows) => {{ const {{ moved }} = await import('{FOLDER}/facts.js');
        return Object.fromEntries(moved(rows, new Set(['r1', 'r4']))); }}"""
    assert scripts.evaluate(asked, rows) == {"r0": 0, "r2": 0, "r3": -1, "r5": -2}


# Of each lane: since when its attempt is judged, when one was decided, what is declared. What is looked at, and whether for its
# verdict.
LOOKED_AT = (
    ("nobody has declared", [(None, None, "")], None),
    ("one has declared", [(None, None, ""), (None, None, "70 kg")], ("lane-1", False)),
    ("a bar is out of its rack", [(5000, None, "70 kg"), (None, 1000, "75 kg")], ("lane-0", False)),
    ("of two the later", [(5000, None, "70 kg"), (6000, None, "75 kg")], ("lane-1", False)),
    ("a verdict that has just come", [(5000, None, "70 kg"), (None, 8000, "75 kg")], ("lane-1", True)),
    ("one of long ago", [(None, 1000, "70 kg"), (None, 2500, "")], ("lane-0", False)),
    ("decided long ago, and its bar still out", [(900, 1000, "70 kg"), (None, None, "75 kg")], ("lane-0", True)),
    ("a second try under way", [(1100, 1000, "70 kg"), (None, None, "75 kg")], ("lane-0", False)),
)


def test_the_lift_that_is_looked_at(scripts: Page) -> None:
    asked = f"""async ([lanes, called]) => {{ const {{ looked }} = await import('{FOLDER}/facts.js');
        const found = looked(lanes, called, 0, 10000); return found && [found.lane.id, found.fresh]; }}"""

    def lanes(of: list[tuple[int | None, int | None, str]]) -> list[dict[str, Any]]:
        lifts = [
            {"judged_since": begun, "decided_at": done, "shown": {"window": 0, "declared": said}} for begun, done, said in of
        ]
        return [{"id": f"lane-{n}", "lifts": [one]} for n, one in enumerate(lifts)]

    found = {name: scripts.evaluate(asked, [lanes(of), ""]) for name, of, _ in LOOKED_AT}
    assert found == {name: None if one is None else list(one) for name, _, one in LOOKED_AT}
    two = lanes([(None, None, "70 kg"), (None, None, "75 kg")])
    assert scripts.evaluate(asked, [two, "lane-1"]) == ["lane-1", False], "where the lanes share a bar, who is called"
    two = lanes([(2000, None, "70 kg"), (None, None, "75 kg")])
    assert scripts.evaluate(asked, [two, "lane-1"]) == ["lane-0", False], "but not before the attempt that is judged is decided"


@pytest.mark.parametrize(
    ("fresh", "lights", "called", "told"),
    [
        (False, [], "lane-0", "after"),
        (False, [], "lane-1", "order"),
        (False, ["in", "open"], "lane-0", "order"),
        (True, ["good"], "lane-0", "order"),
    ],
)
def test_who_comes_next_is_told_beside_the_lift_that_is_looked_at(
    scripts: Page, fresh: bool, lights: list[str], called: str, told: str
) -> None:
    asked = f"""async ([found, race]) => (await import('{FOLDER}/facts.js')).besides(found, race)"""
    found = {"lane": {"id": "lane-0"}, "lifts": {"shown": {"lights": [{"kind": one} for one in lights]}}, "fresh": fresh}
    assert scripts.evaluate(asked, [found, {"order": "order", "after": "after", "called": called}]) == told
    assert scripts.evaluate(asked, [None, {"order": "order", "after": "after", "called": called}]) == "order"


def test_a_clock_counts_up_only_where_the_score_is_a_time(scripts: Page) -> None:
    asked = """async (asked) => { const { bigNumber } = await import('/static/js/parts/big_number.js');
        return asked.map(([window, ms]) => { const { minutes, tenths, cap, hurry } = bigNumber(window, ms);
            return [minutes + tenths, cap, hurry]; }); }"""
    down, up = {"start": 60, "seconds": 120}, {"start": 60, "seconds": 120, "up": True}
    moments = [(down, 60_000), (down, 119_001), (down, 172_650), (up, 60_000), (up, 119_999), (up, 172_650), (up, 180_000)]
    assert scripts.evaluate(asked, moments) == [
        ["2:00", "", False],
        ["1:01", "", False],
        ["0:07.4", "", True],
        ["0:00", "2:00", False],
        ["0:59", "2:00", False],
        ["1:52.6", "2:00", True],
        ["2:00.0", "2:00", True],
    ]
