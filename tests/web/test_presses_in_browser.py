"""No click is lost because a field was just left: on every page that answers to what is typed, whichever button is pressed.

A person types, and presses a button while the field still waits: the field is left, what that asks of the server is answered
while the finger is down, and only then is it lifted. The page's clock is moved by hand, so nothing hangs on how fast this
computer is.
"""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, Request, Route

from app.rules.records.document import CompetitionFile
from app.server import create_app
from app.settings import Settings
from tests.browser.hall_server import HallServer
from tests.builders.halls import SLATE_DAY, Clocks
from tests.web.ways import named_there, whole_pages

pytestmark = pytest.mark.browser

# A page that asks the server, or draws itself anew, while somebody types.
REACTS = re.compile(r"\bhx-(?:get|post)=|/js/screens/(?!web/)[^\"]*\.js\"")
ROOMS = re.compile(r"/(?:desk|review(?!/video))\b")  # a film is of a lane, which its address names further on
TYPED = ("text", "search", "number", "email", "url", "tel", "password")
FIELDS = ", ".join(f"main {one}:visible" for one in ("textarea", "input:not([type])", *(f"input[type={kind}]" for kind in TYPED)))
MOST_FIELDS = 3  # of a page; fields with a number in their names are one kind
STEP_MS = 100
PATIENCE_MS = 600  # longer than any page waits before it asks; shorter than a finger may rest

MOST_KINDS = 4  # of buttons: those of a form, of another, what folds, what leads on

# Clicks are noted, and go no further: what a press does is tried elsewhere.
WATCH = """() => {
  const BUTTONS = ['button:enabled', 'summary', 'a.button'].map((one) => `main ${one}:not(.visually-hidden)`).join();
  const words = (one) => one.textContent.trim().replace(/\\s+/g, ' ') || one.ariaLabel || one.value;
  window.addEventListener('click', (event) => {
    const one = event.target.closest?.(BUTTONS);
    window.pressed = one ? words(one) : `nothing: ${event.target.tagName}`;
    event.preventDefault();
    event.stopImmediatePropagation();
  }, { capture: true });
  const seen = new Set();
  window.kinds = [...document.querySelectorAll(BUTTONS)].filter((one) => {
    const box = one.getBoundingClientRect();
    const kind = `${one.tagName} ${one.name ?? ''} ${one.form?.action ?? ''}`;
    if (box.width < 8 || box.height < 8 || !one.checkVisibility({ visibilityProperty: true }) || seen.has(kind)) return false;
    return seen.add(kind);
  }).map(words);
  window.whereIs = (said) => {
    const there = [...document.querySelectorAll(BUTTONS)].filter((other) => other.getBoundingClientRect().width > 8);
    const one = there.find((other) => words(other) === said);
    one?.scrollIntoView({ block: 'center', behavior: 'instant' });
    const box = one?.getBoundingClientRect();
    return box ? [box.x + box.width / 2, box.y + box.height / 2] : null;
  };
}"""
# What is under way in the page is done: its clock does not move by itself, this does not hang on it.
TURNS = """async () => {
  for (let n = 0; n < 5; n += 1) await new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = done;
    port2.postMessage(0);
  });
}"""


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    """A day with something in every gap of an address."""
    return SLATE_DAY


def kinds_of(fields: Locator) -> list[Locator]:
    """A field of each kind."""
    found: dict[str, Locator] = {}
    for field in fields.all():
        found.setdefault(re.sub(r"\d+", "", field.get_attribute("name") or ""), field)
    return list(found.values())[:MOST_FIELDS]


def press(page: Page, held: list[Route], over: set[Request], field: Locator, button: str) -> str | None:
    """Types into a field and presses a button; the words of what was clicked by that. None for one that is not there any more."""
    field.fill(f"{field.input_value()[:20]}7")
    at = page.evaluate("(said) => window.whereIs(said)", button)
    if at is None:
        return None
    page.evaluate("window.pressed = ''")
    page.mouse.move(*at)
    page.mouse.down()
    for _ in range(PATIENCE_MS // STEP_MS):
        page.clock.run_for(STEP_MS)
        while held:
            route = held.pop()
            route.continue_()
            while route.request not in over:
                page.wait_for_timeout(5)
            page.evaluate(TURNS)
    page.mouse.up()
    pressed = str(page.evaluate("window.pressed"))
    page.clock.run_for(STEP_MS)  # whatever waited for the finger is drawn
    page.evaluate(TURNS)
    return pressed


def test_a_press_counts_whichever_field_it_leaves(page: Page, server: HallServer, tmp_path: Path) -> None:
    page.clock.install()
    page.add_init_script("window.addEventListener('beforeunload', (event) => event.stopImmediatePropagation())")
    held: list[Route] = []
    pressing = False

    def hold(route: Route) -> None:
        if pressing and route.request.resource_type in ("fetch", "xhr"):
            held.append(route)
        else:
            route.continue_()

    over = set[Request]()
    page.on("requestfinished", lambda request: over.add(request))
    page.on("requestfailed", lambda request: over.add(request))  # one that was asked for again meanwhile is let go
    page.route("**/*", hold)
    lost, walked = [], 0
    pages = whole_pages(create_app(Settings(data=tmp_path, open_browser=False), Clocks().time()))
    for row in sorted(filter(ROOMS.match, pages)):
        path = row.format(**named_there(row))
        text = page.request.get(path)
        if text.status != 200 or not REACTS.search(text.text()):
            continue
        page.goto(path)
        page.clock.run_for(PATIENCE_MS)
        page.evaluate(TURNS)
        page.evaluate(WATCH)
        pressing = True
        for field in kinds_of(page.locator(FIELDS)):
            for button in page.evaluate("window.kinds")[:MOST_KINDS]:
                pressed = press(page, held, over, field, button)
                walked += pressed is not None
                if pressed not in (None, button):
                    lost.append(f"{path}: {field.get_attribute('name')}, then {button}: {pressed}")
        pressing = False
    assert lost == [] and walked > 40
