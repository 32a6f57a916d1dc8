"""The briefs: open to everybody, with all that is needed before a heat, its numbers the rule book's, its gaps told."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.rules.workout.safety import Safety
from tests.builders.halls import ON_THE_LAN, House, a_house
from tests.builders.meets import LONG, a_meet

PAGE = {"accept": "text/html"}
NASTY = '<b onclick="x()">=1+1 "Bo", José</b>'


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[House]:
    file = a_meet()
    events = tuple(event.model_copy(update={"name": NASTY}) if event.id == "errands" else event for event in file.events)
    with a_house(tmp_path, file=file.model_copy(update={"events": events})) as opened:
        yield opened


def text_of(page: str) -> str:
    """The words of a page, as a person reads them."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_a_brief_is_open_to_all_and_says_everything_that_is_asked_before_a_heat(house: House) -> None:
    page = text_of(house.browser(ON_THE_LAN).get("/brief/evt_turns", headers=PAGE).text)
    for words in (
        "For a pair: A and B. 22:00 from GO to the last bell. Heats 1 at 10:00, 2 at 10:30 and 3 at 11:00.",
        "11:00 to 14:00 3:00 B Front squat",
        "One hand leaves the floor and touches the shoulder of its side.",
        "Judge says: No lift, depth.",
        "Worked example: 614 points",
        "Equal scores share a place.",
        "Rack with safety arms 1 4",
        "Medic Noor Fennick",
        "It can be rhabdomyolysis.",
        "A suspected neck injury is not moved.",
        "the mark at the wrists, standing, arms straight up, less 8 cm",
        "4 lanes side by side take",
    ):
        assert words in page, words


def test_every_brief_is_in_the_list_of_what_tablets_keep_and_opens(meet: House) -> None:
    visitor = meet.browser()
    paths = visitor.get("/brief/list.json").json()["paths"]
    assert paths == ["/brief", "/brief/swings", "/brief/errands", "/brief/heavy", "/brief/swings/light", "/brief/swings/scaled"]
    assert [visitor.get(path, headers=PAGE).status_code for path in paths] == [200] * len(paths)
    assert visitor.get("/brief/nowhere", headers=PAGE).status_code == 404
    assert visitor.get("/brief/swings/nowhere", headers=PAGE).status_code == 404


def test_a_variant_is_briefed_with_its_own_movements(meet: House) -> None:
    page = text_of(meet.browser().get("/brief/swings/light", headers=PAGE).text)
    assert "Light swings" in page and "Light bell" in page


def test_gaps_are_told_and_names_are_never_markup(meet: House) -> None:
    raw = meet.browser().get("/brief/errands", headers=PAGE).text
    assert NASTY not in raw and "&lt;b onclick" in raw
    assert "Missing: the emergency number, the medic&#39;s name, where the AED is" in raw
    assert "Add by hand what is needed for: Walks of the hall" in raw
    assert LONG not in raw


def test_what_was_said_at_the_desk_is_on_the_brief_at_once(meet: House) -> None:
    desk = meet.desk()
    facts = Safety(aed="By the doors", aed_route="Left", emergency="112", medic="Noor", first_aid="Desk").model_dump()
    assert desk.post("/desk/competition", data={"name": "Meet", "unit": "kg", **facts}, headers=PAGE).status_code == 303
    page = text_of(meet.browser().get("/brief/swings", headers=PAGE).text)
    assert "Still missing" not in page and "AED By the doors Way to the AED Left" in page


def test_without_a_competition_there_are_no_briefs_and_the_page_says_so(empty_house: House) -> None:
    answer = empty_house.browser().get("/brief", headers=PAGE)
    assert answer.status_code == 200 and "There are no events yet." in answer.text
    assert empty_house.browser().get("/brief/evt", headers=PAGE).status_code == 404
