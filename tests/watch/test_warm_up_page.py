"""The warm-up area's page: who is at the bar, who comes next by the order, and the flight after that by its openers."""

import json
import re
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from app.floor.turns import turn_of
from app.hall.changing import look_again
from app.hall.heats import heat_ms
from app.rules.records.document import CompetitionFile
from app.watch.bar_turns import turns
from tests.builders.bar_floor import Floor
from tests.builders.halls import House, a_house
from tests.builders.platforms import a_meet, a_platform_file, lifter

PATIENCE_S = 10.0


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("warm"), file=a_platform_file(a_meet(), lifters=6, flight=3)) as house:
        yield house


def shown(house: House) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """Each flight: who is at the bar, and the rows of those who wait: name, load, what stands below."""
    html = house.browser().get("/warm-up/now").text
    found = []
    for section in html.split("<section")[1:]:
        at = re.search(r"At the bar: <strong><bdi>(.*?)</bdi>", section)
        rows = re.findall(
            r'warm-who"><bdi>(.*?)</bdi>.*?warm-load">(.*?)</span>\s*<span class="soft">(.*?)</span>', section, re.S
        )
        found.append((at[1] if at else "", [(unescape(a), unescape(b).split(" (")[0], unescape(c)) for a, b, c in rows]))
    return found


def clocks(house: House) -> list[Any]:
    """The attempt's clock as the hall's clock and as the warm-up page are told of it."""
    told = json.loads(house.browser().get("/clock/now").text)["heat"]["attempt"]
    here = [json.loads(unescape(runs)) for runs in re.findall(r'data-runs="(.*?)"', house.browser().get("/warm-up/now").text)]
    return [told, [{key: one[key] for key in told or one} for one in here]]


def test_the_next_ones_are_said_by_the_order_and_the_next_flight_by_its_openers(house: House) -> None:
    names = {n: lifter(n) for n in range(1, 7)}
    before = shown(house)
    assert [row[0] for row in before[0][1]] == [names[1], names[2], names[3]], "openers of 105, 110 and 115 kg"
    assert len(before) == 1, "one flight at a time is next on a platform"

    house.desk().post("/desk/heats/heat_1/go", data={})
    house.clocks.pass_ms(60_000)
    floor = Floor(house)
    loads = {1: "112.5", 2: "110", 3: "115"}
    said = {n: floor.mark("marshal", "declare", n, load={"amount": load, "unit": "kg"}, by="desk") for n, load in loads.items()}
    assert clocks(house) == [None, []], "nobody is called"
    floor.mark("marshal", "called", 2, declared=said[2])
    called = heat_ms(house.app.state.hall, house.app.state.hall.projection.runs[0])
    runs = {"who": names[2], "since": called, "over": called + 60_000, "hurry": 0, "floor": False, "bound": 3}
    assert clocks(house) == [runs, [runs]], "a minute, on the hall's clock and here, from the same moment"
    (at, rows), (_, coming) = shown(house)
    assert at == names[2]
    assert [(name, load) for name, load, _ in rows] == [(names[2], "110 kg"), (names[1], "112.5 kg"), (names[3], "115 kg")]
    assert [below for _, _, below in rows] == [
        "attempt 1 · called",
        "attempt 1 · 1 lift before theirs",
        "attempt 1 · 2 lifts before theirs",
    ]
    assert [name for name, _, _ in coming] == [names[4], names[5], names[6]], "100, 105 and 110 kg"

    load = {"amount": "110", "unit": "kg"}
    floor.mark("centre", "lift", 2, load=load, good=True, declared=said[2])
    assert clocks(house) == [None, []], "lifted"
    floor.mark("centre", "racked", 2, declared=said[2])
    hall = house.app.state.hall
    assert names[2] in house.browser().get("/warm-up/now").text.split("Nothing declared yet:")[1]
    assert 50_000 in turns(hall).values(), "a minute from the decision, of which racking the bar took ten seconds"
    house.clocks.pass_ms(49_900)
    before = hall.projection.version
    look_again(hall)
    house.clocks.pass_ms(100)
    until = time.monotonic() + PATIENCE_S
    while hall.projection.version == before:  # no mark comes with the end of the minute
        assert time.monotonic() < until
        time.sleep(0.01)
    (_, rows), _ = shown(house)
    assert [name for name, _, _ in rows] == [names[1], names[3], names[2]]
    assert rows[2][1:] == ("111 kg", "attempt 2 · 2 lifts before theirs"), "the minute to declare is over: a step more"
    assert re.search(r"111 kg \([0-9.]+ lb\) by the rule", house.browser().get("/warm-up").text)


def test_a_lifter_who_is_out_is_called_no_more_whatever_stands_declared_and_is_back_once_the_medic_says_so(
    tmp_path: Path,
) -> None:
    with a_house(tmp_path, file=a_platform_file(a_meet(), lifters=6, flight=3)) as house:
        desk, marshal = house.desk(), house.tablet(1, "marshal")
        desk.post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(60_000)
        floor = Floor(house)
        said = {n: floor.mark("marshal", "declare", n, load={"amount": str(105 + n), "unit": "kg"}, by="desk") for n in (1, 2, 3)}
        floor.mark("marshal", "called", 1, declared=said[1])

        def told() -> tuple[list[str], list[bool], list[str]]:
            """Who waits in the flight on the floor, who is out by what tablets are told, and who waits in the one to come."""
            (_, now), (_, then) = shown(house)
            out = [heat["assignment"]["out"] for heat in marshal.get("/lane/packet").json()["heats"]]
            return [name for name, *_ in now], out, [name for name, *_ in then]

        assert told() == ([lifter(n) for n in (1, 2, 3)], [False] * 6, [lifter(n) for n in (4, 5, 6)])
        assert shown(house)[0][0] == lifter(1)
        for lane, what in ((2, "no_show"), (1, "medical"), (5, "no_show")):
            desk.post(f"/desk/lanes/asg_{lane}/call", data={"call": what})
        assert shown(house)[0][0] == "", "called, but nobody comes to the bar"
        assert told() == ([lifter(3)], [True, True, False, False, True, False], [lifter(4), lifter(6)])
        silent = house.browser().get("/warm-up/now").text.split("Nothing declared yet:")[1:]
        assert not any(lifter(n) in names for names in silent for n in (1, 2, 5)), "nobody waits for a word of theirs"
        desk.post("/desk/lanes/asg_1/clear", data={"medic": "Dr Vey"})
        assert told()[0] == [lifter(1), lifter(3)] and shown(house)[0][0] == lifter(1)


def test_whoever_lifts_again_after_a_bar_was_loaded_wrong_is_called_nowhere_until_they_are_called_again(tmp_path: Path) -> None:
    plain = a_platform_file(a_meet(), lifters=2, flight=2).model_dump(mode="json")
    for task in plain["events"][0]["format"]["tasks"].values():
        task |= {"again_when": "at_once", "misload": {"light_good": "again"}}
    with a_house(tmp_path, file=CompetitionFile.model_validate(plain)) as house:
        house.desk().post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(60_000)
        floor = Floor(house)
        said = [floor.mark("marshal", "declare", n, load=kg(load), by="desk") for n, load in ((1, "110"), (2, "115"))]
        of: dict[str, Any] = {"declared": said[0]}
        assert called_on(house) == [False] * 4
        floor.mark("marshal", "called", 1, **of)
        assert called_on(house) == [True] * 4
        floor.mark("centre", "begun", 1, **of)
        floor.mark("centre", "lift", 1, load=kg("105"), good=True, **of)
        assert called_on(house) == [False] * 4
        floor.mark("marshal", "called", 1, **of)
        assert called_on(house) == [True] * 4


def test_a_heat_that_is_run_again_is_told_by_what_was_begun_with_and_the_desk_reads_that_nothing_is_declared(
    tmp_path: Path,
) -> None:
    with a_house(tmp_path, file=a_platform_file(a_meet(), lifters=4, flight=4)) as house:
        desk, names = house.desk(), {n: lifter(n) for n in range(1, 5)}

        def told() -> list[tuple[str, str]]:
            return [(name, load) for name, load, _ in shown(house)[0][1]]

        def notice() -> str:
            found = re.search(r'id="undeclared">(.*?)</p>', desk.get("/desk", headers={"accept": "text/html"}).text)
            return re.sub("[\u2066-\u2069]", "", unescape(found[1])) if found else ""

        desk.post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(60_000)
        floor = Floor(house)
        said = {
            n: floor.mark("marshal", "declare", n, load=kg(load), by="desk") for n, load in ((1, "118"), (2, "90"), (3, "91"))
        }
        floor.mark("marshal", "strike", 3, mark=said[3])
        floor.mark("centre", "begun", 1, declared=said[1])
        floor.mark("marshal", "declare", 1, load=kg("125"), by="desk")  # for the second attempt
        assert notice() == ""
        again = [(names[2], "90 kg"), (names[4], "100 kg"), (names[3], "115 kg"), (names[1], "118 kg")]
        desk.post("/desk/heats/heat_1/abort", data={"why": "The bar was loaded wrong"})
        assert told() == again, "3 took back what was said and 4 said nothing: what the desk was told before the event"
        assert "Run 2:" in notice() and "declared anew: lanes 1, 2." in notice()
        desk.post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(60_000)
        floor.mark("marshal", "declare", 1, load=kg("119"), by="desk")
        assert "declared anew: lane 2." in notice() and told() == [(names[1], "119 kg")]
        desk.post("/desk/lanes/asg_2/call", data={"call": "no_show"})
        assert notice() == "", "of whoever does not come nothing is awaited"
        desk.post("/desk/heats/heat_1/abort", data={"why": "The clock was not seen"})
        assert told() == [*again[1:3], (names[1], "119 kg")], "of the newest run that says it"


def kg(amount: str) -> dict[str, str]:
    return {"amount": amount, "unit": "kg"}


def called_on(house: House) -> list[bool]:
    """Whether the first lifter, who is the next, is called: by their phone, the warm-up area, the announcer and the board."""
    hall = house.app.state.hall
    (heat,) = hall.projection.roster.heats
    turn = turn_of(hall, heat, heat.lanes[0])
    (_, rows) = shown(house)[0]
    sheet = house.browser("192.0.2.9").get("/announcer/now").text.split('class="say-call"')[1]
    board = house.browser().get("/board", headers={"accept": "text/html"}).text.partition('id="floor-order">')[2]
    assert turn and turn["before"] == 0 and rows[0][0] == lifter(1)
    return [turn["called"], rows[0][2].endswith("called"), "At the bar" in sheet.split("</p>")[0], not board.startswith("Next:")]
