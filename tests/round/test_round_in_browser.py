"""A round in browsers, from the kit to the invitation: headquarters, a gym and reviewers, each before pages of their own.

Headquarters' clock is moved by hand, for a round takes days; the gym's heat is imitated. All else is pressed and typed.
"""

import re
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, Locator, Page, expect

from app.cli import main
from app.rules.round.rule import HOUR
from app.rules.round.tree import film_print
from tests.browser.fixtures import desk_session, no_errors_on
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import found_on, sideways_at
from tests.browser.people import LAPTOP, PASSWORD, PATIENCE_MS
from tests.builders.gym_house import judge
from tests.builders.halls import Clocks
from tests.builders.round_house import DICE, EVENT, the_day
from tests.round.test_kit import slip_of

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(300)]
COUNTED = {"solo1": 27, "solo2": 24}
ON_FILM = {"film-1001.mp4": 20, "film-1002.mp4": 24}
FILM, PRINTED = b"A film." * 99, "film-1001.mp4"  # the film of which a print is made, and what it is called
MOST_TAPS = 3


class Taps:
    """Fingers on a page, counted. Typing is none of them, nor is what the system's own window asks when a file is chosen."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def tap(self, target: Locator) -> None:
        self.count += 1
        target.click()

    def choose(self, target: Locator, file: Path) -> None:
        with self.page.expect_file_chooser() as chooser:
            self.tap(target)
        chooser.value.set_files(file)


class Headquarters:
    """A round that was begun by command, and the browser of its desk."""

    def __init__(self, place: Path, browser: Browser) -> None:
        self.clocks = Clocks(wall=time.time_ns() // 1_000_000)
        self.folder, self.kit = place / "headquarters", place / "round"
        self.server = HallServer(self.folder, time=self.clocks.time())
        (place / "day.json").write_text(the_day().model_dump_json(), encoding="utf-8")
        (place / "gyms.csv").write_text("1,Slate Barn,North\n2,Mill Row,South\n", encoding="utf-8")
        deadline = datetime.fromtimestamp((self.clocks.wall + HOUR) // 1000, UTC).isoformat()
        for words in (
            ("import", place / "day.json", "--even-if-changed"),
            (*("kit", self.kit, "--deadline", deadline, "--gyms", place / "gyms.csv"), "--places", "Single athletes=1",
             "--address", self.server.url),
        ):  # fmt: skip
            with ThreadPoolExecutor(1) as aside:  # in this thread the browser's own loop runs
                assert aside.submit(main, [*map(str, words), "--data", str(self.folder)]).result() == 0
        self.clocks.wall = time.time_ns() // 1_000_000 + 1  # the round opened when its kit was made
        self.server.start()
        self._browser = browser
        self.page = self.sees(desk_session(self.server.url))

    def sees(self, session: Any = None) -> Page:
        """A browser of its own, of nobody in particular without a session."""
        context = self._browser.new_context(viewport=LAPTOP, base_url=self.server.url, storage_state=session)  # type: ignore[arg-type]
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        return page

    def look(self) -> Page:
        """Its page as it is now; the desk logs in again where its time is over."""
        self.page.goto("/desk/round")
        if "/desk/enter" in self.page.url:
            self.page.get_by_label("Password").fill(PASSWORD)
            self.page.get_by_role("button", name="Log in").click()
            self.page.goto("/desk/round")
        return self.page

    def next(self, button: str, **fields: str) -> None:
        """Presses what comes next, which is this."""
        page = self.look()
        for name, typed in fields.items():
            page.locator(f"#{name}").fill(typed)
        page.locator('section[aria-labelledby="next-title"]').get_by_role("button", name=button).click()
        expect(page.locator("#problems")).to_have_count(0)

    def wait_for(self, words: str) -> None:
        """Looks again until the page says this: hand-ins are checked apart."""
        until = time.monotonic() + PATIENCE_MS / 1000
        while words not in self.look().locator("main").inner_text():
            assert time.monotonic() < until, f"headquarters does not say {words!r}"

    def later(self, hours: float) -> None:
        self.clocks.pass_ms(int(hours * HOUR) + 1)


@pytest.fixture
def headquarters(tmp_path: Path, browser: Browser) -> Iterator[Headquarters]:
    found = Headquarters(tmp_path, browser)
    yield found
    found.server.stop()


@contextmanager
def a_gym(place: Path, browser: Browser) -> Iterator[tuple[HallServer, Page]]:
    """A gym's own laptop with nothing on it, and the desk's browser there."""
    with served(place / "gym", None) as server:
        session = desk_session(server.url)
        context = browser.new_context(viewport=LAPTOP, base_url=server.url, storage_state=session)  # type: ignore[arg-type]
        context.add_init_script(AXE_SCRIPT)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        with no_errors_on(page):
            yield server, page
        context.close()


def is_fit(page: Page) -> None:
    """A page as it stands fits every screen, and is for everybody."""
    assert sideways_at(page) == [] and found_on(page, light=False) == []
    page.set_viewport_size(LAPTOP)  # type: ignore[arg-type]


def opens_the_kit(page: Page, kit: Path) -> None:
    """From the first page of all: the event is in the hall after three taps."""
    page.goto("/desk/setup")
    taps = Taps(page)
    taps.tap(page.get_by_role("link", name="open the kit of a round"))
    expect(page.get_by_label("The kit")).to_be_visible()
    is_fit(page)
    taps.choose(page.get_by_label("The kit"), kit / "round.kit")
    expect(page.get_by_role("heading", name="What is in it")).to_be_visible()
    is_fit(page)
    expect(page.get_by_label("Code of this gym's slip")).to_be_focused()  # so that it is typed without a tap
    page.keyboard.type(slip_of(kit, 1).lower())
    taps.tap(page.get_by_role("button", name="Open it here"))
    expect(page.locator("main")).to_contain_text("This is gym 1.")
    assert taps.count <= MOST_TAPS
    is_fit(page)


def hands_in(page: Page) -> None:
    """What is complete is shown, where the films are is typed, and all of it goes."""
    page.goto("/desk/setup")
    page.get_by_role("link", name=re.compile("^Hand in")).click()
    main = page.locator("main")
    expect(main).to_contain_text("Lines that can be handed in: 2. None lacks.")
    is_fit(page)
    for number in (1001, 1002):
        page.locator(f"#film-{number}-{EVENT}").fill(f"film-{number}.mp4")
    makes_a_print(page)
    page.get_by_role("button", name="Keep films and checklists").click()
    page.get_by_role("button", name="Make the hand-in").click()
    expect(main).to_contain_text("No receipt of headquarters is here for it.")
    page.get_by_role("button", name="Send it").click()
    expect(main).to_contain_text("Headquarters has its file: receipt 2,")
    expect(page.locator('section[aria-labelledby="receipts-title"] li')).to_have_count(2)
    is_fit(page)


def makes_a_print(page: Page) -> None:
    """A film's print is made in the browser; of a file that can't be read none is, and the one that was made stays."""
    place = page.locator(".round-ticks-of").first
    place.locator("summary").click()
    field, file = place.get_by_label("Print of the film"), place.get_by_label("Make it of the file")
    file.set_input_files({"name": "one.mp4", "mimeType": "video/mp4", "buffer": FILM})
    expect(field).to_have_value(film_print([FILM]))
    page.evaluate("() => { Blob.prototype.slice = () => { throw new DOMException('gone', 'NotReadableError') } }")
    file.set_input_files({"name": "two.mp4", "mimeType": "video/mp4", "buffer": b"Another."})
    expect(place.locator("[data-say]")).to_contain_text("can't be read")
    expect(field).to_have_value(film_print([FILM]))


def looks_at_all(headquarters: Headquarters, name: str, words: dict[str, str]) -> None:
    """A reviewer opens their own link, and looks at whatever film they are given until none waits. words: by film."""
    link = headquarters.look().get_by_role("link", name=f"Own link of {name}").get_attribute("href")
    page = headquarters.sees()
    page.goto(str(link))
    while (button := page.get_by_role("button", name="Next film")).count():
        button.click()
        film = page.locator("strong.example").inner_text()
        tells_the_file(page, film)
        first = min(ON_FILM[film], 15)
        for part, count in enumerate((first, ON_FILM[film] - first)):
            page.locator(f"#count-{part}").fill(str(count))
            page.locator(f"#at-{part}").fill(f"{part}:30.00")
        page.locator("#word").fill(words[film])
        page.locator("#sure").check()
        page.get_by_role("button", name="Seal this look").click()
        expect(page.get_by_text("Sealed by you so far")).to_be_visible()
    page.context.close()


def tells_the_file(page: Page, film: str) -> None:
    """Of the film whose print was handed in, another file is told from it; of one without a print nobody claims to know."""
    said = page.locator("[data-role=same-film]")
    for content, state, words in ((b"Another.", "look", "This is not the file"), (FILM, "safe", "the prints are the same")):
        chosen = {"name": film, "mimeType": "video/mp4", "buffer": content}
        page.locator("[data-role=film-file]").set_input_files(chosen)
        expect(said).to_have_attribute("data-state", state if film == PRINTED else "none")
        expect(said).to_contain_text(words if film == PRINTED else "nobody can tell")


def film_words(page: Page, opening: str) -> dict[str, str]:
    """Types the opening word, and reads each entry's film word; by the name of its film."""
    page.goto("/desk/round/gym")
    page.locator("#word").fill(opening)
    page.get_by_role("button", name="Take the word").click()
    rows = page.locator("tbody tr")
    expect(rows).to_have_count(2)
    cells = [row.split("\t") for row in rows.all_inner_texts()]
    return {f"film-{number}.mp4": word.strip() for number, _, word in cells}


def test_a_round_is_played_from_the_kit_to_the_invitation(headquarters: Headquarters, tmp_path: Path, browser: Browser) -> None:
    headquarters.next("Make the opening word")
    opening = headquarters.look().locator("main p strong", has_text=re.compile("^[A-Z]{4}-")).inner_text()
    with a_gym(tmp_path, browser) as (server, page):
        opens_the_kit(page, headquarters.kit)
        server.run(judge(server.hall, COUNTED))
        words = film_words(page, opening)
        hands_in(page)
        headquarters.wait_for("1 sound")
        page.get_by_role("button", name="Ask how it stands").click()
        expect(page.locator("main")).to_contain_text("Nothing was amiss.")
    for name in ("Ansel Poole", "Ottilie Crane"):
        page = headquarters.look()
        page.locator("#name").fill(name)
        page.get_by_role("button", name="Add a reviewer").click()
    headquarters.later(1)
    headquarters.next("Close the roll")
    headquarters.next("Draw the films", dice=DICE, witnesses="Perrin Vale")
    for _ in range(2):  # looks that differ from a claim ask for further ones
        for name in ("Ansel Poole", "Ottilie Crane"):
            looks_at_all(headquarters, name, words)
    decide = headquarters.look().locator("#decide")
    expect(decide).to_contain_text("Claimed: 27.")
    decide.get_by_label("Head judge's name").fill("Quill Amberley")
    decide.get_by_role("button", name="Make this decision").click()
    headquarters.next("Publish the standing")
    headquarters.later(73)
    headquarters.next("Sign the standing")
    expect(headquarters.look().locator("main")).to_contain_text("Entry 1002: invitation offered")
    accepts(headquarters, 1002)
    expect(headquarters.look().locator("main")).to_contain_text("Entry 1002: invitation accepted")


def accepts(headquarters: Headquarters, entry: int) -> None:
    """An entry opens its own link, and comes."""
    page = headquarters.look()
    page.locator("#of").fill(str(entry))
    page.get_by_role("button", name="Show the link").click()
    link = page.locator("#entries a").first.get_attribute("href")
    own = headquarters.sees()
    own.goto(str(link))
    own.get_by_role("button", name="I come", exact=True).click()
    expect(own.get_by_label("Invitation")).to_contain_text("accepted")
    own.context.close()
