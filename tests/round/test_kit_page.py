"""Headquarters begins a round on its page: what was typed is shown before, and the kit then opens in a gym."""

import html
import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from hashlib import sha256
from pathlib import Path

import pytest

from app.hall.changing import change_roster
from app.hall.hall import Hall
from app.round.checking import read_checked
from app.rules.round.kit import Kit, said_in
from app.rules.round.rule import HOUR
from app.store.kinds import EVENTS
from tests.builders.gym_house import a_gym_house
from tests.builders.halls import House, a_house
from tests.builders.round_house import DIVISION, EVENT, PAGE, the_day

GYMS = "Number, Name, Region\r\n1, Slate Barn, North\r\n2, Mill Row\r\n"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path / "headquarters", file=the_day()) as found:
        yield found


def clock_time(house: House, hours: int, offset: int = 1) -> str:
    at = datetime.fromtimestamp(house.clocks.wall / 1000, UTC) + timedelta(hours=hours)
    return f"{at.astimezone(timezone(timedelta(hours=offset))):%Y-%m-%dT%H:%M}"


def a_form(house: House, **other: str) -> dict[str, str]:
    form = {"name": "Squats at home", "deadline": clock_time(house, 100), "zone": "+01:00", "gyms": GYMS, "film_word": "6"}
    return form | {"looks": "7", f"places-{DIVISION}": "12", "address": "https://round.example/"} | other


async def rename(hall: Hall, name: str) -> None:
    """Gives the event another name."""
    assert hall.projection.roster is not None
    event = hall.projection.roster.events[0].model_copy(update={"name": name})
    await change_roster(hall, lambda session: EVENTS.put(session, event))


def test_a_round_is_shown_before_it_begins_and_its_kit_opens_in_a_gym(house: House, tmp_path: Path) -> None:
    desk = house.desk()
    assert "/desk/round/kit" in desk.get("/desk/round", headers=PAGE).text
    assert 'value="' in desk.get("/desk/round/kit", headers=PAGE).text
    form = a_form(house)
    shown = desk.post("/desk/round/kit/look", data=form, headers=PAGE)
    for words in ("Squats at home", "UTC+01:00 at headquarters", "12 to be invited", "1 Slate Barn, North", "6 letters"):
        assert words in shown.text, words
    assert "No round was begun" in desk.get("/desk/round", headers=PAGE).text, "looking begins nothing"
    carried = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', shown.text))
    assert carried.keys() == {*form, "shown"}
    for seen in (form, form | {"shown": "0" * 64}):
        assert desk.post("/desk/round/kit/make", data=seen, headers=PAGE).status_code == 409
    house.do(rename, "Deep squats")
    again = desk.post("/desk/round/kit/make", data=form | {"shown": carried["shown"]}, headers=PAGE)
    assert (
        again.status_code == 409
        and "changed since this was shown, so nothing has begun." in again.text
        and "Deep squats" in again.text
    )
    assert "No round was begun" in desk.get("/desk/round", headers=PAGE).text
    house.clocks.wall += 5_000
    form = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', again.text))
    assert desk.post("/desk/round/kit/make", data=form, headers=PAGE).status_code == 303
    page, made = desk.get("/desk/round", headers=PAGE).text, desk.get("/desk/round/round.kit").content
    kit = said_in(read_checked(made, "kit").says, Kit)
    assert sha256(made).hexdigest() in page and f"{round(len(made) / 1000)} kB" in page
    assert kit.rule.deadline_ms == (house.clocks.wall + 100 * HOUR) // 60_000 * 60_000 and kit.rule.zone == "UTC+01:00"
    assert (kit.rule.film_word, kit.rule.most_looks, kit.address) == (6, 7, "https://round.example")
    assert {one.id: one.places for one in kit.rule.divisions}[DIVISION] == 12 and [one.id for one in kit.rule.events] == [EVENT]
    slips = desk.get("/desk/round/slips.html").text
    codes = re.findall(r"<p>(G\d-[A-Z2-7-]+)</p>", slips)
    assert [one.split("-")[0] for one in codes] == ["G1", "G2"] and all(code.endswith(code_end(page)) for code in codes)
    with a_gym_house(tmp_path / "gym") as gym:
        assert gym.open(made, slip=codes[1]) == 303 and "This is gym <strong>2</strong>" in gym.page()
    assert desk.post("/desk/round/kit/make", data=form, headers=PAGE).status_code == 409, "a second round does not begin here"
    assert desk.get("/desk/round/round.kit").content == made
    for path in ("/desk/round/kit", "/desk/round/round.kit", "/desk/round/slips.html"):
        assert house.browser().get(path).status_code in (303, 401), "who has no session of the desk gets none of it"


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of this process can't be set here")
def test_a_zone_is_read_as_it_is_printed_whatever_this_computers_is(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "XXX-05:00")  # five hours east
    time.tzset()
    try:
        for zone, offset, said in (("UTC", 0, "UTC"), ("utc", 0, "UTC"), ("UTC+02:00", 2, "UTC+02:00"), ("", 5, "UTC+05:00")):
            deadline = clock_time(house, 100, offset)
            shown = house.desk().post("/desk/round/kit/look", data=a_form(house, zone=zone, deadline=deadline), headers=PAGE)
            assert f"Deadline: <strong>{deadline.replace('T', ' ')} {said}" in shown.text and "in 4 d " in shown.text, zone
    finally:
        monkeypatch.undo()
        time.tzset()


def code_end(page: str) -> str:
    found = re.search(r'<strong class="round-letters">([A-Z2-7]{8})</strong>', page)
    assert found is not None
    return found[1]


def test_what_a_round_can_not_be_begun_with_is_said_and_nothing_begins(house: House) -> None:
    desk = house.desk()
    for other, sentence in (
        ({"name": ""}, "The round's name is missing."),
        ({"deadline": ""}, "The deadline is a day and a time"),
        ({"deadline": clock_time(house, -1)}, "The deadline is past. Give a later one."),
        ({"opens": clock_time(house, 101)}, "The deadline must be after the opening."),
        ({"zone": "Mars"}, "The deadline is a day and a time"),
        ({"gyms": ""}, "Give at least one gym"),
        ({"gyms": "1,Slate Barn\n1,Mill Row"}, "and each another number"),
        ({"gyms": "one,Slate Barn\ntwo,Mill Row"}, "Line 2 of the gyms needs a number and a name."),
        ({f"places-{DIVISION}": "many"}, "is a whole number from 0"),
        ({"film_word": "99"}, "Letters of the film word is a whole number"),
        ({"looks": "4"}, "is one of: 3, 5, 7, 9."),
        ({"address": "round.example"}, "The address of a server is such as"),
    ):
        for act in ("look", "make"):
            answer = desk.post(f"/desk/round/kit/{act}", data=a_form(house, **other), headers=PAGE)
            assert answer.status_code == 422 and sentence in html.unescape(answer.text), sentence
    assert "No round was begun" in desk.get("/desk/round", headers=PAGE).text


def test_a_hall_without_an_event_is_told_what_a_round_needs(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as empty:
        desk = empty.desk()
        assert "A round needs a competition" in desk.get("/desk/round/kit", headers=PAGE).text
        assert desk.post("/desk/round/kit/make", data=a_form(empty), headers=PAGE).status_code == 409
