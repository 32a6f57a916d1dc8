"""The announcer's sheet at a shared bar: it leads with who is up, then who is next, then the rest, and follows by itself."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from app.rules.records.document import CompetitionFile
from tests.builders.bar_floor import Floor
from tests.builders.halls import House, a_house
from tests.builders.platforms import a_meet, a_platform_file, lifter

NAMES = {n: lifter(n) for n in range(1, 7)}


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("announced"), file=a_platform_file(a_meet(), lifters=6, flight=3)) as house:
        yield house


def words(html: str) -> str:
    """What a piece of the page says, as it is read."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def bar(house: House) -> str:
    """All that the page says of the bar."""
    html = house.browser("192.0.2.9").get("/announcer/now").text
    return html.split('class="say-bar"')[1].split('class="say-lanes"')[0] if 'class="say-bar"' in html else ""


def part(house: House, name: str) -> str:
    """What the page says of who is up, or of who is next."""
    found = re.search(rf'<div class="say-{name}">(.*?)</div>', bar(house), re.S)
    return words(found[1]) if found else ""


def test_who_is_up_leads_with_the_load_the_attempt_and_what_a_good_lift_would_come_to(house: House) -> None:
    assert bar(house) == "", "before the GO nobody is called"
    house.desk().post("/desk/heats/heat_1/go", data={})
    house.clocks.pass_ms(60_000)
    assert "Nobody is called: no load is declared." in words(bar(house))
    floor = Floor(house)
    loads = {1: "112.5", 2: "110", 3: "115"}
    said = {n: floor.mark("marshal", "declare", n, load={"amount": load, "unit": "kg"}, by="desk") for n, load in loads.items()}
    assert part(house, "up").startswith(f"To be called now Back squat · lane 2 {NAMES[2]} 110 kg (242.5 lb) attempt 1 of 3")
    floor.mark("marshal", "called", 2, declared=said[2])
    assert part(house, "up").startswith(f"At the bar Back squat · lane 2 {NAMES[2]} 110 kg (242.5 lb) attempt 1 of 3")
    assert "A good lift" not in part(house, "up"), "nobody else has a place yet"
    assert "Deadlift" not in part(house, "up")
    assert part(house, "then").startswith(f"Next · lane 1 {NAMES[1]} 112.5 kg")
    assert words(bar(house).split("say-after")[1].split(">", 1)[1]).startswith(f"{NAMES[3]} 115 kg")

    load = {"amount": "110", "unit": "kg"}
    floor.mark("centre", "lift", 2, load=load, good=True, declared=said[2])
    floor.mark("centre", "racked", 2, declared=said[2])
    assert f"Just now: {NAMES[2]}, 110 kg, good lift" in words(bar(house))
    assert part(house, "up").startswith(f"To be called now Back squat · lane 1 {NAMES[1]} 112.5 kg")
    assert "A good lift: 1 of 2." in part(house, "up")


def test_of_who_must_declare_more_it_says_so_and_calls_nobody(tmp_path: Path) -> None:
    plain = a_platform_file(a_meet("rising_bar"), lifters=2, flight=2).model_dump(mode="json")
    for task in plain["events"][0]["format"]["tasks"].values():
        task["bar_rises"] = True
    with a_house(tmp_path, file=CompetitionFile.model_validate(plain)) as house:
        house.desk().post("/desk/heats/heat_1/go", data={})
        house.clocks.pass_ms(60_000)
        floor = Floor(house)
        for lane, load in ((1, "110"), (2, "100")):
            at = floor.mark("marshal", "declare", lane, load={"amount": load, "unit": "kg"}, by="desk")
            if lane == 1:
                floor.mark("marshal", "called", 1, declared=at)
                floor.mark("centre", "lift", 1, load={"amount": load, "unit": "kg"}, good=True, declared=at)
                floor.mark("centre", "racked", 1, declared=at)
        assert f"{NAMES[2]} declares 110 kg (242.5 lb) or more first" in words(bar(house))
        assert part(house, "up") == ""
