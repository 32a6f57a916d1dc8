"""Twelve payloads in every place of every page: shown letter by letter, and none of them runs."""

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path
from urllib.parse import quote, urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.web.doors import content_policy
from tests.browser.hall_server import HallServer, served
from tests.browser.payloads import CARELESS, HARM, HOW_MANY, PAYLOADS, SEEN, WATCH, a_hostile_file, careless, pick
from tests.browser.people import PASSWORD, TABLET
from tests.builders.pairs import FORMAT

pytestmark = [pytest.mark.browser, pytest.mark.timeout(240)]

# Between them these hold every template that shows a name, a note or a reason.
PAGES = (
    *(
        "/board",
        "/results",
        "/results/evt",
        "/pictures/evt",
        "/podium",
        "/timetable",
        "/timetable?by=athletes",
        "/timetable?by=judges",
    ),
    *(
        "/timetable/hall",
        "/clock",
        "/brief",
        "/brief/evt",
        "/halls",
        "/desk",
        "/desk/competition",
        "/desk/divisions",
        "/desk/people",
    ),
    *(
        "/desk/entries",
        "/desk/entries/ent_0_3",
        "/desk/events",
        "/desk/events/evt",
        "/desk/events/evt/dry-run",
        "/desk/heats/heat_1/lanes",
    ),
    *(
        "/desk/judges",
        "/desk/judges/jud_3",
        "/desk/checkin",
        "/desk/checkin/ath_3",
        "/desk/plates",
        "/desk/overall",
        "/desk/plan",
    ),
    *(
        "/desk/plan/rules",
        "/desk/tablets",
        "/desk/paper/evt/sheets",
        "/desk/paper/evt/heats",
        "/desk/paper/key/asg_3",
    ),
    *(
        "/desk/backups/totals?lane=asg_3",
        "/desk/lanes/asg_3/calls",
        "/desk/halls",
        "/desk/events/evt/variants",
    ),
    *(
        "/desk/events/evt/openers",
        "/desk/events/evt/markings",
        "/desk/setup",
        "/review",
        "/review/lanes/asg_3",
        "/review/results",
    ),
    *("/review/trail", "/review/judges", "/review/links", "/review/compare", "/review/compare/judges", "/review/protests/pro_3"),
    *("/lane?lane=4", "/call?lane=4", "/pair"),
)
SCORE = FORMAT.scores[0].id
EVERYWHERE = ("text", "attribute", "title", "field")
IN_LINKS = PAYLOADS[3:7]
RUN_SOMEWHERE = (3, 5, 7, 9)  # of these one or another runs in every place of a careless page
FOCUSED = 4  # it waits for the focus, which goes by itself to nothing within a frame
# Follows every link that would run something, here and in frames.
FOLLOW = """() => [window, ...Array.from(window)].flatMap((one) => [...one.document.querySelectorAll('a')])
  .filter((one) => /^javascript/.test(one.getAttribute('href')))
  .forEach((one) => one.dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true })))"""
# In which of the windows, the page's own or those of its frames, something ran.
RAN = "() => (window.length ? Array.from(window) : [window]).map((one) => one.ran !== undefined)"


class Watched:
    """A page that counts what went wrong in it, wherever it goes."""

    def __init__(self, context: BrowserContext, home: str) -> None:
        context.add_init_script(WATCH)
        self.page: Page = context.new_page()
        self.harm: list[str] = []
        self.at = ""
        self.page.on("dialog", lambda dialog: (self.harm.append(f"{self.at}: a dialog"), dialog.dismiss()))
        self.page.on("console", lambda said: self._said(said.text))
        self.page.on("request", lambda request: self._asked(request.url, home))

    def _said(self, text: str) -> None:
        if "Security Policy" in text or "pwned" in text:
            self.harm.append(f"{self.at}: {text[:200]}")

    def _asked(self, url: str, home: str) -> None:
        if not url.startswith((home, "data:image/", "file:", "blob:")) or urlsplit(url).path.endswith("/pwned"):
            self.harm.append(f"{self.at}: asked for {url[:200]}")

    def look(self, path: str) -> dict[str, list[bool]]:
        """Opens a page; where each payload is to be seen on it. Harm is noted."""
        self.at = path
        answer = self.page.goto(path, wait_until="load")
        assert answer is None or answer.ok, (path, answer.status)
        return self.looked()

    def looked(self) -> dict[str, list[bool]]:
        """The same for the page as it stands now."""
        self.harm += [f"{self.at}: {one}" for one in self.page.evaluate(HARM)]
        return self.page.evaluate(SEEN, list(PAYLOADS))  # type: ignore[no-any-return]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HallServer]:
    with served(tmp_path_factory.mktemp("hall"), a_hostile_file()) as running:
        yield running


@pytest.fixture
def desk(browser: Browser, server: HallServer) -> Iterator[Watched]:
    context = browser.new_context(viewport=TABLET, base_url=server.url, reduced_motion="reduce")  # type: ignore[arg-type]
    watched = Watched(context, server.url)
    context.request.post("/desk/enter", form={"password": PASSWORD, "again": PASSWORD})
    yield watched
    context.close()


@pytest.fixture(scope="module")
def plain(browser: Browser) -> Iterator[Page]:
    context = browser.new_context()
    context.add_init_script(WATCH)
    page = context.new_page()
    page.on("dialog", lambda dialog: dialog.dismiss())
    yield page
    context.close()


def test_no_payload_runs_on_any_page_and_each_is_shown_letter_by_letter(desk: Watched) -> None:
    seen: dict[str, list[bool]] = {}
    scores = [f"/results/evt/{SCORE}/ent_0_{n}" for n in range(HOW_MANY)]
    asked = [f"/timetable?who={quote(payload)}" for payload in IN_LINKS]
    for path in (*PAGES, *scores, *asked):
        for place, found in desk.look(path).items():
            seen[place] = [was or now for was, now in zip(seen.get(place, found), found, strict=True)]
    assert desk.harm == []
    missing = {place: [n for n, one in enumerate(found) if not one] for place, found in seen.items()}
    assert {place: missing[place] for place in EVERYWHERE} == {place: [] for place in EVERYWHERE}
    assert not {PAYLOADS.index(payload) for payload in IN_LINKS} & set(missing["link"])
    assert len(missing["drawing"]) < HOW_MANY, missing


def test_none_runs_in_what_a_tablet_draws_or_in_news_that_come_over_the_stream(desk: Watched, server: HallServer) -> None:
    for lane in range(1, 5):
        desk.look(f"/lane?lane={lane}")
        expect(desk.page.locator("main")).to_contain_text(pick(lane - 1))
        assert desk.looked()["text"][lane - 1]
    desk.look("/board")
    other = desk.page.context.request
    for n in range(HOW_MANY):  # every entry takes the name of the one after the next
        form = {"name": f"{pick(n + 2)} {n}", "division": "div_0", "member-0-name": pick(n), "member-1-name": pick(n + 1)}
        assert other.post(f"/desk/entries/ent_0_{n}", form=form).ok
    expect(desk.page.locator("main")).to_contain_text(f"{pick(HOW_MANY + 1)} {HOW_MANY - 1}")
    assert all(desk.looked()["text"]) and desk.harm == []


def test_none_runs_where_something_typed_is_shown_again(desk: Watched) -> None:
    for start in range(0, HOW_MANY, 4):
        some = " ".join(PAYLOADS[start : start + 4])
        for path in ("/desk/entries/paste", "/desk/judges/paste"):
            desk.look(path)
            desk.page.locator("[name=lines]").fill(some)
            desk.page.locator("form:has([name=lines]) button").first.click()
            desk.page.wait_for_load_state()
            assert all(desk.looked()["field"][start : start + 4]), (path, start)
        assert all(desk.look(f"/desk/checkin?q={quote(some)}")["field"][start : start + 4])
    assert desk.harm == []


def test_none_runs_in_the_folder_of_pages_for_any_web_space_where_no_policy_is_sent(desk: Watched, tmp_path: Path) -> None:
    """The folder lies on somebody's web space, or is opened from a disk: only the escaping stands between a name and a script."""
    packed = desk.page.context.request.get("/desk/results-copy.zip")
    with zipfile.ZipFile(io.BytesIO(packed.body())) as archive:
        archive.extractall(tmp_path)
        names = archive.namelist()
    assert any(name.endswith(".html") for name in names)
    for name in (name for name in names if name.endswith(".html")):
        assert all(desk.look((tmp_path / name).as_uri())["text"]), name
    assert desk.harm == [] and not any(set(name) & set("<>\"'&?%\\:*|") for name in names)
    sheets = [list(csv.reader(io.StringIO((tmp_path / name).read_text("utf-8-sig")))) for name in names if name.endswith(".csv")]
    cells = {cell.removeprefix("'") for rows in sheets for row in rows for cell in row}
    assert sheets and all(any(one in cell for cell in cells) for one in PAYLOADS)


def test_the_policy_stops_every_payload_even_on_a_careless_page(plain: Page) -> None:
    """Twelve payloads in nine places of a careless page: none runs under our policy; without it some do in each."""
    assert _ran(plain, content_policy("localhost")) == []
    without = _ran(plain, "", RUN_SOMEWHERE)
    assert {context for context, _ in without} == set(CARELESS), without


def _ran(page: Page, policy: str, which: Sequence[int] = range(HOW_MANY)) -> list[tuple[str, int]]:
    """In which places of careless pages which payloads ran."""
    found = []
    together = [[n for n in which if n != FOCUSED], [n for n in which if n == FOCUSED]]
    with careless(policy) as address:
        for context, some in product(CARELESS, filter(None, together)):
            page.goto(f"{address}/{context}/{'+'.join(map(str, some))}", wait_until="load")
            page.evaluate(FOLLOW)
            found += [(context, n) for n, ran in zip(some, page.evaluate(RAN), strict=True) if ran]
    return found
