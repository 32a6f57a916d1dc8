"""Another language: with every word of the catalogue marked, pages say none of these beside it; plurals follow its rule."""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from html import unescape
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from app.rules.values.words import Catalogue, hand_in, say
from app.web.spoken import COOKIE
from app.wording import catalogue
from tests.browser.hall_server import served
from tests.browser.people import TABLET, a_hall, agree
from tests.builders.halls import House
from tests.faults.test_faults_in_hall import competition

OPEN, SHUT = "⟦", "⟧"
HOLE = re.compile(r"\{\w+\}")
PAGE = {"accept": "text/html"}
DESK_PAGES = (
    *("/desk", "/desk/setup", "/desk/divisions", "/desk/people", "/desk/entries", "/desk/judges", "/desk/events", "/desk/heats"),
    *("/desk/plates", "/desk/plan", "/desk/paper", "/desk/tablets", "/desk/backups", "/desk/done", "/review", "/review/results"),
)
OPEN_PAGES = ("/board", "/clock", "/timetable", "/brief", "/results")


def marked() -> Catalogue:
    """The catalogue with each word in brackets, which stands for a language that nobody here reads."""
    own = catalogue()
    return replace(own, words={key: _marked(word) for key, word in own.words.items()})


def _marked(word: object) -> object:
    return {form: f"{OPEN}{text}{SHUT}" for form, text in word.items()} if isinstance(word, dict) else f"{OPEN}{word}{SHUT}"


@pytest.fixture
def other_language() -> Iterator[None]:
    before = hand_in(marked())
    yield
    hand_in(before)


def texts(page: str) -> list[str]:
    """The pieces of text of a page, in order, as a person reads them."""
    shown = re.sub(r"<(script|style)\b.*?</\1>", "", page, flags=re.S)
    return [text for text in (unescape(piece).strip() for piece in re.split(r"<[^>]*>", shown)) if text]


def beside(pieces: list[str]) -> list[str]:
    """The pieces that say a word of the catalogue, whole, without its marks."""
    return [piece for piece in pieces if spoken().fullmatch(piece) and OPEN not in piece]


@cache
def spoken() -> re.Pattern[str]:
    """Any word in any form as it is spoken, with anything in its holes; one that is a hole and little else says nothing."""
    words = catalogue().words.values()
    every = [text for word in words for text in ([word] if isinstance(word, str) else word.values())]
    return re.compile("|".join(_told(text) for text in every if len(HOLE.sub("", text).strip(" .,“”")) > 3))


def _told(text: str) -> str:
    """A word as a pattern: its numbers are digits, what else goes into it is anything."""
    return re.sub(r"\\\{(\w+)\\\}", lambda hole: r"[\d,]+" if hole[1] in ("n", "shown") else ".{1,40}", re.escape(text))


@pytest.mark.usefixtures("other_language")
@pytest.mark.parametrize("who", ["the desk", "anybody"])
def test_pages_say_no_shared_word_beside_the_catalogue(house: House, who: str) -> None:
    visitor, paths = (house.desk(), DESK_PAGES) if who == "the desk" else (house.browser(), OPEN_PAGES)
    seen = 0
    for path in paths:
        answer = visitor.get(path, headers=PAGE)
        if answer.status_code == 303:  # the head judge's pages have a door of their own
            continue
        pieces = texts(answer.text)
        seen += sum(OPEN in piece for piece in pieces)
        assert beside(pieces) == [], path
    assert seen > (20 if who == "the desk" else 1)


def test_the_search_for_words_beside_the_catalogue_finds() -> None:
    pieces = texts("<p>Resuming</p><td>3 marks</td><p>⟦Held⟧</p><script>Held</script><b>Heat 3</b>")
    assert pieces == ["Resuming", "3 marks", "⟦Held⟧", "Heat 3"]
    assert beside(pieces) == ["Resuming", "3 marks"]


def test_a_language_of_three_forms_is_a_catalogue_and_no_code() -> None:
    few = {"form": "few", "mod": 10, "n": [2, 3, 4], "but": {"mod": 100, "n": [12, 13, 14]}}
    words = {"marks": {"one": "{n} znak", "few": "{n} znaki", "other": "{n} znaków"}}
    before = hand_in(Catalogue("x", ({"form": "one", "n": [1]}, few), words))
    try:
        assert [say("marks", n=n) for n in (1, 3, 5, 13, 22, 101)] == [
            *("1 znak", "3 znaki", "5 znaków", "13 znaków", "22 znaki", "101 znaków"),
        ]
    finally:
        hand_in(before)


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.timeout(120)
def test_a_lane_in_german_says_nothing_in_english_that_has_a_german(browser: Browser, tmp_path: Path) -> None:
    with served(tmp_path / "data", competition(90, 5, 90, 5, 60)) as running, a_hall(browser, running.url) as hall:
        desk = hall.desk()
        lane = hall.come(TABLET)
        lane.page.context.add_cookies([{"name": COOKIE, "value": "de", "url": running.url}])
        lane.page.goto(f"{running.url}/pair")
        lane.page.locator("#code").fill(desk.code(1))
        pieces = texts(lane.page.content())
        lane.page.get_by_role("button", name="Weiter").click()
        agree(lane)
        expect(lane.page.get_by_text("Bahn", exact=True)).to_be_visible()
        expect(lane.page.locator("html")).to_have_attribute("lang", "de")
        for path in ("", "/train", "/ten"):
            if path:
                lane.page.goto(f"{running.url}{path}")
            pieces += texts(lane.page.content())
    english = {key for key, word in catalogue("de").words.items() if word != key and len(key) > 3}
    assert english & set(pieces) == set()
