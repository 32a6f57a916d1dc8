"""The people of a hall as a test plays them: each with a browser of their own, and fingers that really touch the glass."""

import json
import re
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from typing import Any, TypeVar

from playwright.sync_api import Browser, Error, Locator, Page, expect

from app.rules.records.seats import SEATS
from tests.browser.qr import read_qr

PASSWORD = "three odd words"
WALL = {"width": 1920, "height": 1080}
TABLET = {"width": 1024, "height": 768}
PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1366, "height": 768}
# What the desk calls a device, and the role that it becomes; the screen of a role.
INVITED = {
    "tablet": "lane",
    "call screen": "lifter",
    "shadow judge": "shadow",
    "second counter": "second",
    "third counter": "third",
    "centre referee": "centre",
    "left referee": "left",
    "right referee": "right",
    "marshal": "marshal",
    "loaders": "loaders",
}
SCREENS = defaultdict(lambda: "/lane", {seat: row.screen for seat, row in SEATS.items()})
SCREEN_IS_THERE = '[data-role="strip"], .call-strip'
PATIENCE_MS = 20_000  # the machine may be busy with something else
RHYTHM_S = 0.22  # from one tap to the next: four and a half a second
LEAST_REST_S = 0.1  # the finger is up at least so long
# A browser without sound, which says to a worker what one says that does not trust a certificate. A tablet that keeps its pages
# fetches them a second time; a loudspeaker costs as much as the screen, and nobody listens.
LEAN = """() => {
  delete window.AudioContext;
  const refused = () => Promise.reject(new DOMException('not here', 'SecurityError'));
  if (navigator.serviceWorker) ServiceWorkerContainer.prototype.register = refused;
}"""
# Its open lines, so that a cut can break them.
LINES = """() => {
  const Line = WebSocket;
  window.lines = [];
  window.WebSocket = class extends Line {
    constructor(...given) {
      super(...given);
      window.lines.push(this);
    }
  };
}"""
LAST_TAP_S = 0.7  # no tap is begun so shortly before the bell: it might come after it


@dataclass
class Person:
    """Somebody before a screen, with what went wrong there."""

    page: Page
    errors: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.set_default_timeout(PATIENCE_MS)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", lambda said: self.errors.append(said.text) if "Security Policy" in said.text else None)
        self._fingers = self.page.context.new_cdp_session(self.page)

    def part(self, role: str) -> Locator:
        """A part of a lane or call screen by its name."""
        return self.page.locator(f'[data-role="{role}"]')

    def shows(self, view: str, patience_ms: int = PATIENCE_MS) -> None:
        """Waits until a lane screen shows this view, before its bell."""
        self.page.wait_for_selector(f'[data-role="screen"][data-view="{view}"]:not([data-late])', timeout=patience_ms)

    def touch(self, target: Locator) -> None:
        """One finger lands and leaves; it waits until what it is for can be pressed."""
        expect(target).to_be_enabled(timeout=PATIENCE_MS)
        point = _middle(target)
        self._dispatch("touchStart", point)
        self._dispatch("touchEnd")

    def touch_at(self, x: float, y: float) -> None:
        """One finger lands on a point of the glass, whatever is there, and leaves."""
        self._dispatch("touchStart", {"x": x, "y": y})
        self._dispatch("touchEnd")

    @contextmanager
    def holding(self, target: Locator) -> Iterator[None]:
        """A finger lands and stays for as long as the block runs."""
        self._dispatch("touchStart", _middle(target))
        yield
        self._dispatch("touchEnd")

    def cut_off(self) -> None:
        """The network is gone, and the open line breaks: Chromium would keep it silent, and spend a whole core on that."""
        self.page.context.set_offline(True)
        self.page.evaluate("() => window.lines.forEach((line) => line.close())")

    def seconds_left(self) -> float:
        """What the clock of a lane or call screen says."""
        minutes, seconds = self.part("clock").inner_text().split(":")
        return int(minutes) * 60 + float(seconds)

    def sheet(self, heat: int = 1, run: int = 1) -> str:
        """The name of this lane's sheet in a heat."""
        packet = self.page.evaluate("async () => (await fetch('/lane/packet')).json()")
        return next(f"{one['assignment']['id']}/{run}/lane" for one in packet["heats"] if one["number"] == heat)

    def _dispatch(self, kind: str, *points: dict[str, float]) -> None:
        self._fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})


def sent(page: Page, url: str, **form: str) -> str:
    """What a browser is answered when it sends a form; it keeps the cookies that it is given."""
    origin = "/".join(url.split("/")[:3])
    headers = {"Origin": origin, "Accept": "text/html"}
    answer = page.context.request.post(url, form=form, headers=headers, max_retries=1)  # of a line that was idle too long
    assert answer.ok, answer.text()
    return answer.text()


def _middle(target: Locator) -> dict[str, float]:
    """Where a finger goes. What is drawn anew at this very moment is looked for again, as by an eye."""
    try:
        target.scroll_into_view_if_needed()
    except Error as gone:
        if "not attached" not in gone.message:
            raise
        target.scroll_into_view_if_needed()
    box = target.bounding_box()
    assert box is not None, "nothing to touch"
    return {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}


def count_together(judges: Sequence[Person], most: int) -> int:
    """All judges tap in one rhythm, up to `most` times, while the window lasts; returns how often."""
    for judge in judges:
        judge.shows("count")
    points = [_middle(judge.part("count-target")) for judge in judges]
    until = time.monotonic() + min(judge.seconds_left() for judge in judges) - LAST_TAP_S
    for tap in range(most):
        begun = time.monotonic()
        if begun > until:
            return tap
        for judge, point in zip(judges, points, strict=True):
            judge._dispatch("touchStart", point)
            judge._dispatch("touchEnd")
        # Late taps are not caught up with: no finger comes down again at once, and the screen would take it for a bounce.
        rest = begun + RHYTHM_S - time.monotonic()
        judges[0].page.wait_for_timeout(max(LEAST_REST_S, rest) * 1000)
    return most


P = TypeVar("P", bound=Person)


@dataclass(frozen=True)
class Invitation:
    """What the desk's page shows to whoever wants to pair: the code to type, and what a camera reads."""

    code: str
    link: str


class Desk(Person):
    """The organiser at the laptop."""

    url: str

    def enter(self, url: str) -> None:
        """Sets the password of a new server, or logs in; no page is opened for it."""
        self.url = url
        self.send("/desk/enter", password=PASSWORD, again=PASSWORD)
        self.let_in_at_once()

    def enter_by_hand(self, url: str) -> None:
        """Opens the desk for the first time and sets its password on the page."""
        self.url = url
        self.page.goto(f"{url}/desk")
        self.page.get_by_label("Password", exact=True).fill(PASSWORD)
        self.page.get_by_label("Repeat the password").fill(PASSWORD)
        self.page.get_by_role("button", name="Set password").click()
        self.page.wait_for_url(f"{url}/desk**")
        self.let_in_at_once()

    def let_in_at_once(self) -> None:
        """Asks for no word of whoever has a code: being let in one by one is shown once, in test_letting_in_in_browser.py."""
        self.send("/desk/tablets/rule", at_once="yes")

    def send(self, path: str, **form: str) -> str:
        """What the desk is answered when it sends a form, without the page that would send it."""
        return sent(self.page, f"{self.url}{path}", **form)

    def open(self, path: str) -> Page:
        """Opens one of the desk's pages."""
        self.page.goto(f"{self.url}{path}")
        return self.page

    def press(self, words: str) -> None:
        """Presses a button by its whole name."""
        self.page.get_by_role("button", name=words, exact=True).first.click()

    def invite(self, lane: int, what: str = "tablet") -> Invitation:
        """Invites a device for a lane."""
        self.open("/desk/tablets")
        invite = self.page.locator("button", has_text=f"Invite a {what} for lane {lane}").first
        if not invite.is_visible():
            self.page.locator("summary", has_text=re.compile(f"for lane {lane}$")).click()
        invite.click()
        invited = self.page.locator(".invitation")
        return Invitation(invited.locator(".short-code").inner_text(), read_qr(invited.locator("img.qr")))

    def code(self, lane: int, what: str = "tablet") -> str:
        """The short code of a fresh invitation, without the page that shows it."""
        answer = self.send("/desk/tablets", lane=str(lane), role=INVITED[what])
        found = re.search(r'class="short-code">([\d ]+)<', answer)
        assert found, answer
        return found[1]

    def go(self, title: str, lead_s: int = 5) -> None:
        """Gives a heat its GO."""
        self.open("/desk")
        self.page.locator(".heat-line", has_text=title).click()
        expect(self.page.locator("#heat-title")).to_contain_text(title, ignore_case=True)
        self.page.get_by_label("Countdown").select_option(str(lead_s))
        self.page.locator("#move-go button").click()
        expect(self.page.locator("#hand")).to_have_attribute("data-state", "set")

    def fetch(self, path: str) -> bytes:
        """What the desk downloads from an address."""
        answer = self.page.context.request.get(f"{self.url}{path}")
        assert answer.ok, answer.text()
        return answer.body()

    def marks(self) -> list[dict[str, Any]]:
        """Every mark in the ledger."""
        return list(json.loads(self.fetch("/desk/competition.json"))["marks"])


def board_rows(page: Page) -> dict[str, tuple[str, str]]:
    """Place and score of each entry on the board, of all divisions."""
    rows = page.eval_on_selector_all(
        "tbody tr",
        "rows => rows.map(row => [row.querySelector('.entry').textContent.trim(), row.dataset.place, row.dataset.score])",
    )
    return {entry: (place, score) for entry, place, score in rows}


class Hall:
    """Everybody who came: their browsers are closed in the end, and none of them may have seen an error.

    Who comes with a `whole` browser keeps pages and can sound, for tests that open a page with no server, or listen.
    """

    def __init__(self, browser: Browser, url: str, more: str = "") -> None:
        self.browser, self.url = browser, url
        self._scripts = (LINES, more) if more else (LINES,)
        self._leaving = ExitStack()
        self.people: list[Person] = []

    def come(self, size: dict[str, int] = TABLET, touch: bool = True, whole: bool = False) -> Person:
        """Somebody comes with a browser that has never been here."""
        return self._arrive(Person, size, touch, whole)

    def desk(self) -> Desk:
        """The organiser, logged in and before an empty page."""
        desk = self._arrive(Desk, LAPTOP, False)
        desk.enter(self.url)
        return desk

    def desk_by_hand(self) -> Desk:
        """The organiser opens the desk for the first time, and sets its password on the page."""
        desk = self._arrive(Desk, LAPTOP, False)
        desk.enter_by_hand(self.url)
        return desk

    def watch(self, size: dict[str, int] = WALL) -> Page:
        """Somebody opens the board; a reload would be noticed."""
        page = self.come(size, touch=False).page
        page.goto(self.url)
        page.evaluate("window.neverReloaded = true")
        return page

    def tablet(self, desk: Desk, lane: int, what: str = "tablet", size: dict[str, int] = TABLET, whole: bool = False) -> Person:
        """Somebody with a device that was paired for a lane, before its screen."""
        person = self.come(size, whole=whole)
        sent(person.page, f"{self.url}/pair", code=desk.code(lane, what))
        person.page.goto(f"{self.url}{SCREENS[INVITED[what]]}")
        person.page.wait_for_selector(SCREEN_IS_THERE)
        return person

    def coach(self, desk: Desk, *entries: str, size: dict[str, int] = PHONE) -> Person:
        """A coach with a phone that the desk has given these entries."""
        shown = desk.send("/desk/tablets/coach", name="Petra", **{f"lifter-{entry}": "on" for entry in entries})
        person, code = self.come(size), re.search(r'class="short-code">([\d ]+)<', shown)
        assert code, shown
        sent(person.page, f"{self.url}/pair", code=code[1])
        person.page.goto(f"{self.url}{SCREENS['coach']}")
        person.page.wait_for_selector(SCREEN_IS_THERE)
        return person

    def tablet_by_hand(
        self, desk: Desk, lane: int, what: str = "tablet", size: dict[str, int] = TABLET, whole: bool = False
    ) -> Person:
        """Somebody types the code that the desk shows for a lane, and agrees."""
        person = self.come(size, whole=whole)
        person.page.goto(f"{self.url}/pair")
        person.page.locator("#code").fill(desk.invite(lane, what).code)
        desk.open("/desk/setup")  # the list of tablets loads itself anew when one comes, in the middle of what the desk does next
        person.page.locator("#ask button").click()  # in whatever language the hall speaks
        agree(person)
        return person

    def leave(self) -> None:
        """Everybody goes home."""
        self._leaving.close()
        errors = [error for person in self.people for error in person.errors]
        assert errors == [], errors

    def _arrive(self, kind: type[P], size: dict[str, int], touch: bool, whole: bool = False) -> P:
        context = self.browser.new_context(viewport=size, has_touch=touch, reduced_motion="reduce")  # type: ignore[arg-type]
        self._leaving.callback(context.close)
        for script in self._scripts:
            context.add_init_script(f"({script})()")
        if not whole:
            context.add_init_script(f"({LEAN})()")
        person = kind(context.new_page())
        self.people.append(person)
        return person


def agree(person: Person) -> None:
    """Reads what this device will become, and agrees."""
    person.page.locator("#agree").click()
    person.page.wait_for_selector(SCREEN_IS_THERE)


@contextmanager
def a_hall(browser: Browser, url: str, more: str = "") -> Iterator[Hall]:
    """A hall that people come to; it is empty afterwards. more: a script that every page runs first."""
    hall = Hall(browser, url, more)
    try:
        yield hall
    except BaseException:
        hall._leaving.close()
        raise
    hall.leave()
