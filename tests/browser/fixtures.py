"""What the tests in a real browser share: a hall served for a file of tests, the desk logged in there, a page for each test.

A file says what competition is served by a fixture `competition` of its own; one that needs more replaces `server`. The context
is opened once for a file, and its tab is emptied between tests rather than opened anew: a new process of the browser and cold
stores cost more than most tests do.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlencode
from urllib.request import HTTPRedirectHandler, Request, build_opener

import pytest
from playwright.sync_api import Browser, BrowserContext, Dialog, Page

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer, served
from tests.browser.people import PASSWORD, TABLET, Desk, Hall, a_hall
from tests.browser.static_server import serving
from tests.builders.pairs import a_file

# What a page may say without being wrong: the browser's own line for a form that was refused with a sentence.
REFUSED_FORM = "422"


class _Stays(HTTPRedirectHandler):
    def redirect_request(self, *_: Any) -> None:
        return None


def desk_session(url: str) -> dict[str, Any]:
    """What a browser holds that is logged in as the desk, in Playwright's form of it; a new server gets its password."""
    form = urlencode({"password": PASSWORD, "again": PASSWORD}).encode()
    asked = Request(f"{url}/desk/enter", form, {"Origin": url, "Accept": "text/html"})
    try:
        answer = build_opener(_Stays).open(asked)
    except OSError as sent_on:  # a redirection that is not followed is an error to urllib, and an answer to us
        answer = sent_on  # type: ignore[assignment]
    cookies = [cookie.partition(";")[0].partition("=") for cookie in answer.headers.get_all("Set-Cookie")]
    answer.close()
    kept = {"domain": "localhost", "path": "/", "expires": -1, "httpOnly": True, "secure": False, "sameSite": "Lax"}
    return {"cookies": [{"name": name, "value": value, **kept} for name, _, value in cookies], "origins": []}


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    """One heat of two pairs before its GO, where a file of tests names no other."""
    return a_file((("Chalk Lines", "Iron Larks"),), runs=0)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, competition: CompetitionFile) -> Iterator[HallServer]:
    """The competition, served."""
    with served(tmp_path_factory.mktemp("hall"), competition) as running:
        yield running


@pytest.fixture(scope="module")
def session(server: HallServer) -> dict[str, Any]:
    """What a browser holds that is logged in as the desk."""
    return desk_session(server.url)


@pytest.fixture(scope="module")
def context(browser: Browser, server: HallServer, session: Any) -> Iterator[BrowserContext]:
    """The desk's browser, on a tablet."""
    opened = browser.new_context(viewport=TABLET, base_url=server.url, storage_state=session, has_touch=True)  # type: ignore[arg-type]
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def tab(context: BrowserContext) -> Page:
    """The tab of the file's tests, with an end to what each leaves in it; `page` is what tests take."""
    return context.new_page()


@pytest.fixture
def page(tab: Page) -> Iterator[Page]:
    """An empty page of the desk's browser, whose errors are errors of the test."""
    with no_errors_on(tab):
        yield tab
    _empty(tab)


@pytest.fixture(scope="module")
def scripts(browser: Browser) -> Iterator[Page]:
    """A page that can load our scripts, from a server that does nothing else."""
    with serving() as address:
        page = browser.new_page()
        page.goto(address)
        yield page
        page.close()


@pytest.fixture(scope="module")
def hall(browser: Browser, server: HallServer) -> Iterator[Hall]:
    """The hall that people come to."""
    with a_hall(browser, server.url) as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(hall: Hall) -> Desk:
    """The organiser at the laptop."""
    return hall.desk()


@contextmanager
def no_errors_on(page: Page) -> Iterator[None]:
    """Fails if a script fails on a page, or its console tells an error, while the block runs."""
    troubles: list[str] = []

    def fails(error: Any) -> None:
        troubles.append(str(error))

    def says(said: Any) -> None:
        if said.type == "error" and REFUSED_FORM not in said.text:
            troubles.append(said.text)

    page.on("pageerror", fails)
    page.on("console", says)
    yield
    page.remove_listener("pageerror", fails)
    page.remove_listener("console", says)
    assert troubles == []


def _empty(tab: Page) -> None:
    """Leaves a tab as it was: nothing kept for the page, nothing on it, the first size and media; it may ask whether to leave."""

    def leave(dialog: Dialog) -> None:
        dialog.accept()

    if tab.url.startswith("http"):
        tab.evaluate("() => { localStorage.clear(); sessionStorage.clear(); }")
    tab.on("dialog", leave)
    tab.goto("about:blank")
    tab.remove_listener("dialog", leave)
    tab.set_viewport_size(TABLET)  # type: ignore[arg-type]
    tab.emulate_media(media="null", color_scheme="null", reduced_motion="null")
