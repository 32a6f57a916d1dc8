"""Paper: PDFs made by the browser from the print pages, read back; nothing clipped, the words there, the pages counted."""

import io
from typing import Any

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from app.rehearsal.turns import turn_about
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Event
from app.rules.workout.presets import PRESETS
from app.rules.workout.safety import Safety
from tests.browser.looking import broken_rules
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LONG = "The Forty Letter Chalk Dust Sisterhood AB"
PAIRS = ((LONG, *(f"Team {n}" for n in range(2, 13))),)
SIZES = ((1024, 768), (768, 1024), (390, 844), (1920, 1080))
A4 = (595, 842)  # points
KINDS = ("for_time", "lifts_summed", "every_minute", "measured", "rounds", "max_load")
TWENTY_MINUTES = {"max_load": {"members": "2", "use": "shared", "window": "20:00"}}  # as many attempts as that allows


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    file = a_file(PAIRS, heat_of=12, runs=0)
    events = [Event(id=key, name=PRESETS[key].name, format=PRESETS[key].make(TWENTY_MINUTES.get(key, {}))) for key in KINDS]
    heats = [
        file.heats[0].model_copy(
            update={
                "id": f"heat_{key}",
                "event": key,
                "lanes": tuple(lane.model_copy(update={"id": f"{key}_{lane.lane}"}) for lane in file.heats[0].lanes[:2]),
            }
        )
        for key in KINDS
    ]
    said = Safety(aed="By the north door", aed_route="Along the wall", emergency="112", medic="Noor Fennick", first_aid="Desk")
    competition = file.competition.model_copy(update={"safety": said})
    update: dict[str, Any] = {
        "competition": competition,
        "events": (file.events[0].model_copy(update={"format": turn_about(work_seconds=110, rest_seconds=70)}), *events),
        "heats": (*file.heats, *heats),
    }
    return file.model_copy(update=update)


def printed(page: Page, path: str) -> list[str]:
    """The words of each page that the browser prints from an address, on A4."""
    page.goto(path)
    reader = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    assert {(round(one.mediabox.width), round(one.mediabox.height)) for one in reader.pages} == {A4}
    return [" ".join(one.extract_text().split()) for one in reader.pages]


def clipped(page: Page) -> list[str]:
    """The words of elements that stick out of the paper or are cut off by their own box, under print styles at A4's width."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 702, "height": 1045})  # the narrowest: 186 mm between margins of 12 mm
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll("main *")]
          .filter((one) => !one.closest("svg") && getComputedStyle(one).display !== "none" && one.getClientRects().length)
          .filter((one) => {
            const box = one.getBoundingClientRect(), style = getComputedStyle(one);
            const cut = style.overflowX !== "visible" && one.scrollWidth > one.clientWidth + 1;
            return box.right > innerWidth + 1 || box.left < -1 || cut;
          }).map((one) => `${one.tagName} ${one.className}: ${one.textContent.trim().slice(0, 60)}`)"""
    )
    page.emulate_media(media="screen")
    return found


def test_a_pair_has_one_page_for_its_clipboard_with_every_window_and_whom_to_call(page: Page) -> None:
    pages = printed(page, "/desk/paper/evt/sheets?heat=heat_1")
    assert len(pages) == 12
    assert clipped(page) == []
    for number, words in enumerate(pages, start=1):
        assert words.startswith(f"Lane {number} ")
        for wanted in (
            "0:00 to 1:50 A: Handstand shoulder taps",
            "13:50 to 15:40 B: Push-ups",
            "Declared, kg",
            "Medic: Noor Fennick",
        ):
            assert wanted in words, (number, wanted)
        assert "By the north door" in words and "Emergency number: 112" in words
        assert "Wall line: A not measured yet, B not measured yet." in words
        assert words.count("Front squat") == 2 and "1 Not deep enough" in words
        for line in ("Judge", "One of the team", "Stopped at"):
            assert line in words
    assert LONG in pages[0]


@pytest.mark.parametrize("key", KINDS)
def test_every_kind_of_event_prints_a_sheet_for_each_lane(page: Page, key: str) -> None:
    pages = printed(page, f"/desk/paper/{key}/sheets")
    starts = [words for words in pages if words.startswith("Lane ")]
    assert len(starts) == 2 and len(pages) in (2, 4)
    assert clipped(page) == []
    assert sum(words.count("Medic: Noor Fennick") for words in pages) == 2  # whom to call is on each lane's paper


def test_the_heat_sheet_lists_every_lane_and_whom_to_call(page: Page) -> None:
    pages = printed(page, "/desk/paper/evt/heats")
    assert len(pages) == 1 and clipped(page) == []
    assert all(f"Team {n}" in pages[0] for n in range(2, 13)) and LONG in pages[0]
    assert "Emergency number: 112" in pages[0] and "Way to the AED: Along the wall" in pages[0]


def test_the_brief_is_two_or_three_pages_of_black_on_white(page: Page) -> None:
    pages = printed(page, "/brief/evt")
    whole = " ".join(pages)
    assert len(pages) in (2, 3) and clipped(page) == []
    for words in ("What counts", "Worked example", "Cautions", "Noor Fennick", "rhabdomyolysis", "Equal scores share a place."):
        assert words in whole, words
    assert "All briefs" not in whole  # ways on are for the screen
    page.emulate_media(media="print")
    paper = page.evaluate("[getComputedStyle(document.documentElement).backgroundColor, getComputedStyle(document.body).color]")
    assert paper == ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]


def test_screens_of_paper_and_briefs_fit_and_are_for_everybody(page: Page) -> None:
    paths = ["/brief", "/brief/evt", "/brief/lifts_summed", "/desk/paper", "/desk/paper/key", "/desk/paper/key/asg_0"]
    for path in (*paths, "/desk/paper/evt/sheets?heat=heat_1", "/desk/paper/evt/heats"):
        page.goto(path)
        assert [(path, *one) for one in broken_rules(page)] == []
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, width)
