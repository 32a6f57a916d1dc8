"""The demo's round over HTTP: it begins at a button, and is played from each seat until somebody is invited."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.demo.round.cast import ENTRIES, EVENT, GYMS, number_of, squats_of
from app.demo.round.filling import LEFT, MINUTE
from app.demo.round.films import GO_MS, KIND, address_of, film_of
from app.round.headquarters import Headquarters
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.proving import proven
from tests.builders.halls import House, a_house

PAGE = {"accept": "text/html"}
NEXT = re.compile(r"Next at headquarters: (.*?)</p>")


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, competition=False, demo=True) as house:
        yield house


def headquarters(house: House) -> Headquarters:
    hall = house.app.state.hall
    return Headquarters(hall.database, hall.settings.data)


def a_look_by_a_visitor(house: House, link: str) -> None:
    """Takes the next film, counts what is deep on it, seals."""
    visitor = house.browser()
    assert visitor.post(f"{link}/next").status_code == 303
    page = visitor.get(link, headers=PAGE).text
    look, film = re.search(r'name="look" value="(\w+)"', page), re.search(r"(/demo/round/films/\w+\.json)", page)
    assert look is not None and film is not None
    answer = visitor.get(film[1])
    shown = json.loads(answer.content)
    assert answer.headers["content-type"].startswith(KIND) and len(answer.content) < 10_000
    word = next(card["text"] for card in shown["cards"] if card["text"].startswith("Word")).split()[-1]
    form = {"look": look[1], "word": word, "sure": "on"}
    for number, begins in enumerate((GO_MS, GO_MS + 45_000)):
        deep = [rep for rep in shown["reps"] if rep["far"] == 1 and begins <= rep["start"] < begins + 30_000]
        form[f"count-{number}"] = str(len(deep))
    assert visitor.post(f"{link}/seal", data=form).status_code == 303


def test_a_film_shows_what_its_entry_did() -> None:
    for one in ENTRIES:
        shown = json.loads(film_of(one, "ABCDEF"))
        moving = [rep for rep in shown["reps"] if rep["far"]]
        assert len(moving) == len(squats_of(one)) == sum(one.good) + sum(one.high)
        assert sum(rep["far"] == 1 for rep in moving) == sum(one.good)
        assert all(before["end"] == after["start"] for before, after in zip(shown["reps"], shown["reps"][1:], strict=False))
    assert len({address_of(one) for one in ENTRIES}) == len(ENTRIES) and len(GYMS) == 6


def test_a_round_is_played_from_each_seat(demo: House) -> None:
    visitor = demo.browser()
    assert "Begin the round" in visitor.get("/demo/round", headers=PAGE).text
    assert visitor.post("/demo/round/begin").status_code == 303
    assert "headquarters of a round already" in visitor.post("/demo/round/begin", headers=PAGE).text
    page = visitor.get("/demo/round", headers=PAGE).text
    links = re.findall(r'href="(/look/\w+)"', page)
    waiting = {number_of(one, MOST_OF_A_GYM) for one in ENTRIES if one.name in LEFT}
    assert (
        len(links) == 3 and {key[0] for key, line in headquarters(demo).state.lines.items() if line.state == "asked"} == waiting
    )
    drawn = headquarters(demo).state.lines[5003, EVENT].asks  # by dice: then its gym's error is found already
    assert NEXT.findall(page)[0].startswith("To decide: 1." if drawn else "Films that wait for a look: 3.")
    assert (
        "published once" in visitor.get("/round", headers=PAGE).text
        and visitor.get(f"/round/proof/{EVENT}/1001.json").status_code == 404
    )
    for link in links[:2]:
        a_look_by_a_visitor(demo, link)
    desk = demo.browser()
    assert desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password}).status_code == 303
    for _ in range(20):
        assert visitor.post("/demo/round/others").status_code == 303
        decide = re.search(
            r'name="entry" value="(\d+)"><input type="hidden" name="event"', desk.get("/desk/round", headers=PAGE).text
        )
        if decide is None:
            break
        said = {"entry": decide[1], "event": EVENT, "by": "Quill Amberley"}
        assert desk.post("/desk/round/rule", data=said).status_code == 303
    state = headquarters(demo).state
    assert {key[0]: int(line.value or 0) for key, line in state.lines.items() if line.state == "adjusted"}[3001] == 21
    assert "corrected to 21" in visitor.get("/demo/round", headers=PAGE).text
    (own,) = re.findall(r'href="(/claim/[^"]+)"', visitor.get("/demo/round", headers=PAGE).text)
    told = visitor.get(own, headers=PAGE).text
    assert "Claimed: 26. It counts 21." in told and "Look 1: Window 1: 11" in told and "Appeal, until" in told
    assert desk.post("/desk/round/step", data={"do": "published"}).status_code == 303
    shown = visitor.get("/round", headers=PAGE).text
    assert "unlooked" in shown and "claimed" not in shown, "what was not looked at is published so"
    demo.clocks.pass_ms(4 * MINUTE)
    assert desk.post("/desk/round/step", data={"do": "signed"}).status_code == 303
    shown = visitor.get("/round", headers=PAGE).text
    assert "Entry 1001: invitation offered" in shown and "Entry 2003: invitation offered" in shown
    line = proven(visitor.get(f"/round/proof/{EVENT}/3001.json").content, headquarters(demo).state.roll.root)  # type: ignore[union-attr]
    assert line.parts == ("14", "12"), "what was claimed"
