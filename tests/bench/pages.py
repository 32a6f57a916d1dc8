"""Every page of a day to a new browser: bytes, requests, and when it can be used at a quarter of the machine's speed.

Usable: it is loaded, its scripts have run, and the main thread has had two frames of rest. The lane screen again with the server
dead, after its service worker has kept it: from the reload to the target that counts.
"""

import statistics
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page
from sqlmodel import Session

from app.hall.devices import new_session
from app.live.servertime import this_machine
from app.rehearsal.tablet import Seat
from app.settings import Settings
from app.store.database import Database
from app.store.devices import put_device
from tests.bench.browser import TARGET, chromium, tablet_context
from tests.bench.figures import Figure, Goal
from tests.bench.hall import heat_under_way, lanes_roster, slate_day_judged
from tests.bench.servers import served

SLOWDOWN = 4
PUBLIC = ("/board", "/clock", "/results", "/timetable", "/podium", "/brief", "/call", "/pair")
DESK = (
    "/desk",
    "/review",
    "/desk/setup",
    "/desk/entries",
    "/desk/events",
    "/desk/heats",
    "/desk/plan",
    "/desk/tablets",
    "/desk/paper",
)
VISITS = 3
RELOADS = 7
LATE_MS = 1500  # what a page still asks for after it is drawn has come by then
USABLE_S = Goal("at most", 1)
AT_REST = """() => new Promise((done) => {
  const after = () => requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now())));
  if (document.readyState === "complete") after(); else addEventListener("load", after);
})"""
KEPT = "async () => { await navigator.serviceWorker.ready; return (await caches.keys()).length > 0; }"


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures all of it."""
    return [*_each(tell), *_server_dead(tell)]


def _each(tell: Callable[[str], None]) -> list[Figure]:
    figures = []
    with tempfile.TemporaryDirectory() as folder:
        slate_day_judged(Path(folder), this_machine())
        desk = a_desk(Path(folder))
        with served(Path(folder)) as server, chromium() as browser:
            for path in (*PUBLIC, *DESK):
                tell(f"pages: {path}")
                visits = [_visit(browser, server.url, path, desk) for _ in range(VISITS)]
                sizes, usable = visits[-1][0], statistics.median(ms for _, ms in visits)
                name = f"pages{path.replace('/', '.')}"
                figures += [
                    Figure(f"{name}.kb", f"{path}, all it loads", sum(sizes) / 1000, "kB"),
                    Figure(f"{name}.requests", "… in requests", len(sizes)),
                    Figure(f"{name}.usable_ms", f"… usable, {SLOWDOWN}x slowdown, median of {VISITS}", usable, "ms"),
                ]
    return figures


def a_desk(data: Path) -> str:
    """The token of a desk that is logged in."""
    device, token = new_session("desk", None, "Desk", this_machine().wall_ms())

    def work(session: Session) -> None:
        put_device(session, device)

    with closing(Database(Settings(data=data).database())) as database:
        database.write(work)
    return token


def _visit(browser: Browser, url: str, path: str, desk: str) -> tuple[list[int], float]:
    """A first visit by a new browser: the bytes of each answer, and after how many milliseconds the page could be used."""
    context = browser.new_context(service_workers="block")
    context.add_cookies([{"name": "ll_desk", "value": desk, "url": url}])
    page = context.new_page()
    sizes: list[int] = []
    devtools = context.new_cdp_session(page)
    devtools.on("Network.loadingFinished", lambda event: sizes.append(int(event["encodedDataLength"])))
    devtools.send("Network.enable")
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
    page.goto(f"{url}{path}", wait_until="commit")
    usable: float = page.evaluate(AT_REST)
    page.wait_for_timeout(LATE_MS)
    context.close()
    return sizes, usable


def _server_dead(tell: Callable[[str], None]) -> list[Figure]:
    """The lane screen reloaded with nobody at the other end, plain and slowed down."""
    with tempfile.TemporaryDirectory() as folder:
        tablets = heat_under_way(Path(folder), lanes_roster(4), this_machine(), since_go_s=5)
        with chromium() as browser:
            with served(Path(folder)) as server:
                tell("pages: the lane screen with the server dead")
                context, page = _kept(browser, server.url, tablets[0])
            figures = []
            for rate, words in ((1, ""), (SLOWDOWN, f", {SLOWDOWN}x slowdown")):
                times = [_reload(context, page, rate) for _ in range(RELOADS)]
                figures.append(
                    Figure(
                        f"pages.lane_dead_{rate}x",
                        f"lane screen reloaded, server dead{words}: to the target, median of {RELOADS}",
                        statistics.median(times) / 1000,
                        "s",
                        USABLE_S,
                    )
                )
    return figures


def _kept(browser: Browser, url: str, tablet: Seat) -> tuple[BrowserContext, Page]:
    """A tablet whose service worker has kept the screen. At localhost a browser allows it without a certificate."""
    context = tablet_context(browser, url, tablet)
    page = context.new_page()
    page.goto(f"{url}/lane")
    page.locator(TARGET).wait_for()
    page.wait_for_function(KEPT)
    page.reload()
    page.locator(TARGET).wait_for()
    page.wait_for_timeout(LATE_MS)
    return context, page


def _reload(context: BrowserContext, page: Page, rate: int) -> float:
    devtools = context.new_cdp_session(page)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": rate})
    page.reload(wait_until="commit")
    shown: float = page.evaluate(
        """(target) => new Promise((done) => {
          const look = () => {
            if (document.querySelector(target)?.checkVisibility()) requestAnimationFrame(() => done(performance.now()));
            else requestAnimationFrame(look);
          };
          look();
        })""",
        TARGET,
    )
    devtools.detach()
    return shown
