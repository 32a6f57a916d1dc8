"""The demo's round over HTTP: it begins at a button, and is played from each seat until somebody is invited."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.request import urlopen

import pytest

from app.demo.round.cast import ENTRIES, EVENT, GYMS, number_of, squats_of
from app.demo.round.filling import LEFT, LEFT_MS, MINUTE
from app.demo.round.films import GO_MS, KIND, address_of, film_of
from app.demo.round.your_gym import Laptop, laptop_of, start_laptop, what_is_there
from app.laptop import Begins, fill
from app.round.headquarters import Headquarters
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.proving import proven
from tests.builders import gym_house
from tests.builders.gym_house import GymHouse, lay_line
from tests.builders.halls import ON_THE_LAN, PASSWORD, House, TestClient, a_house
from tests.builders.round_house import RoundHouse

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


def test_a_visitor_hands_in_as_a_gym_and_goes_on_as_headquarters(
    demo: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor = demo.browser()
    assert visitor.post("/demo/round/begin-open").status_code == 303
    assert "Start the gym's laptop" in visitor.get("/demo/round", headers=PAGE).text
    monkeypatch.setattr("app.demo.round.seats.laptop_of", lambda _: Laptop(None, 1234))  # type: ignore[arg-type]
    page = visitor.get("/demo/round", headers=PAGE).text
    codes = re.findall(r'round-long">([A-Z0-9-]+)</strong>', page)
    assert "http://127.0.0.1:1234/desk/round/gym" in page and codes[0].startswith("G7-")
    there = RoundHouse(demo, demo.app.state.hall.settings.data, {})
    monkeypatch.setattr(gym_house, "ADDRESS", "http://localhost")
    lay_line(monkeypatch, there)
    begins = Begins.model_validate(what_is_there(demo.app.state.hall) | {"password": PASSWORD})
    with a_house(begins.data, competition=False, clocks=demo.clocks) as house:
        house.do(fill, begins)
        gym = GymHouse(house, begins.data)
        assert gym.open(visitor.get("/demo/round/round.kit").content, slip=codes[0]) == 303, gym.said
        assert gym.post("word", {"word": codes[1]}) == 303
        shown = gym.page("/hand-in")
        assert "Lines that can be handed in: 3. Without a line: 1." in shown and "Lines without a film's address: 1." in shown
        assert gym.post("hand-in/make") == 303
        digest = re.search(r'name="digest" value="(\w+)"', gym.said)
        address = re.search(r'name="address" type="url" value="([^"]+)"', gym.said)
        assert digest is not None and address is not None and address[1] == "http://localhost"
        assert gym.post("hand-in/send", {"digest": digest[1], "address": address[1], "do": "all"}) == 303, gym.said
        assert "Headquarters has its file: receipt" in gym.said
    assert "It has not bound its key" not in demo_desk(demo).get("/desk/round", headers=PAGE).text
    headquarters(demo).check_here(digest[1], demo.clocks.wall)
    demo.clocks.pass_ms(LEFT_MS + MINUTE)
    desk = demo_desk(demo)
    for form in ({"do": "roll"}, {"do": "draw", "dice": "1234561234", "witnesses": "Perrin Vale"}):
        assert desk.post("/desk/round/step", data=form).status_code == 303
    assert visitor.post("/demo/round/others").status_code == 303
    state = headquarters(demo).state
    assert {key[0] for key in state.lines if key[0] > 7000} == {7001, 7002, 7003} and state.tickets()[7]
    assert any(look.state == "sealed" for look in state.looks.values())


def test_the_gyms_laptop_runs_until_the_demo_is_gone(demo: House) -> None:
    demo.browser().post("/demo/round/begin-open")
    assert demo.browser(ON_THE_LAN).post("/demo/round/laptop").status_code == 409, "it is on this computer alone"
    hall = demo.app.state.hall
    laptop = start_laptop(hall)
    assert start_laptop(hall) is laptop is laptop_of(hall)
    with urlopen(f"{laptop.address('127.0.0.1')}/desk/enter", timeout=60) as answer:
        assert answer.status == 200 and answer.url.startswith("http://localhost:")
    laptop.end()
    assert laptop_of(hall) is None and laptop.process.returncode == 0


def demo_desk(demo: House) -> TestClient:
    desk = demo.browser()
    assert desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password}).status_code == 303
    return desk
