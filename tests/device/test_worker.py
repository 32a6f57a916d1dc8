"""The service worker: screens load with the server dead, and a new version never replaces one in the middle."""

import hashlib
import json
import re
import statistics
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.fake_desk import ROOT, FakeDesk, open_desk
from tests.browser.people import Person, a_hall
from tests.browser.server_process import a_process
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.paced, pytest.mark.slow, pytest.mark.apart]

SHELL = """<!doctype html><html lang=en><title>Lane {version}</title>
<script type="module" src="/static/{version}/start.js"></script></html>"""
START = """import {{ startWorker }} from '/static/js/device/worker.js';
window.version = '{version}';
window.busy = sessionStorage.getItem('busy') === 'yes';
window.ready = startWorker({{ mayReload: () => !window.busy }});"""


def hurried(script: str, **waits: int) -> str:
    """A script of ours in which some waits are shorter: how long they are decides nothing of what comes of it."""
    made = (ROOT / "static" / script).read_text(encoding="utf-8")
    for wait, ms in waits.items():
        made, found = re.subn(rf"(const {wait} = )[0-9_]+;", rf"\g<1>{ms};", made)
        assert found == 1
    return made


ASK_MS, ANSWER_MS, LOADING_MS = 500, 300, 1000
WORKER = hurried("sw.js", ANSWER_MS=ANSWER_MS, LOADING_MS=LOADING_MS)
ASKING = hurried("js/device/worker.js", ASK_MS=ASK_MS)
ASKED_MS = LOADING_MS + 2 * (ASK_MS + 3 * ANSWER_MS)  # by then it was asked more than once
SHELLS: list[str] = json.loads(re.findall(r"const SHELLS = (\[.*?\])", WORKER)[0])
UPDATE = "async () => (await navigator.serviceWorker.getRegistration()).update()"
WAITS = "async () => (await navigator.serviceWorker.getRegistration()).waiting !== null"
CACHES = """async () => {
  const found = {};
  for (const name of await caches.keys()) {
    found[name] = (await (await caches.open(name)).keys()).map((request) => new URL(request.url).pathname).sort();
  }
  return found;
}"""
WHEN_SHOWN = """new MutationObserver((_, looking) => {
  if (!document.querySelector('[data-role="strip"]')) return;
  looking.disconnect();
  requestAnimationFrame(() => setTimeout(() => (window.stripShownAt = performance.now())));
}).observe(document, { childList: true, subtree: true });"""
RELOADS = 20
TIMED = 5  # reloads of a whole lane screen
NO_NETWORK_MS = 1000  # what a judge takes for at once


def publish(desk: FakeDesk, version: str, broken: str = "") -> None:
    """Puts one version of a small site up; in place of one file another version's can lie."""
    start = START.format(version=version).encode()
    files = {
        f"/static/{version}/start.js": start,
        "/static/js/device/worker.js": ASKING.encode(),
    }
    hashes = {path: hashlib.sha256(body).hexdigest() for path, body in files.items()}
    worker = WORKER.replace('"__VERSION__"', json.dumps(version)).replace('"__ASSETS__"', json.dumps(hashes))
    shell = ("text/html", SHELL.format(version=version).encode())
    desk.files = {"/sw.js": ("text/javascript", worker.encode()), **dict.fromkeys(SHELLS, shell)}
    desk.files |= {path: ("text/javascript", body) for path, body in files.items()}
    if broken:
        desk.files[broken] = (desk.files[broken][0], b"// of another version")


class DyingDesk(FakeDesk):
    """A desk whose power goes after some files have been fetched."""

    lives = 10_000

    async def _file(self, path: str, send: Any) -> None:
        self.lives -= 1
        if self.lives < 0:
            raise ConnectionError("the power is gone")
        await super()._file(path, send)


@pytest.fixture
def desk() -> DyingDesk:
    desk = DyingDesk()
    publish(desk, "one")
    return desk


def lane(context: BrowserContext, address: str, path: str = "/lane") -> Page:
    page = context.new_page()
    page.goto(f"{address}{path}")
    assert page.evaluate("() => window.ready") is True
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return page


def busy(page: Page, is_busy: bool) -> None:
    page.evaluate("(yes) => { window.busy = yes; sessionStorage.setItem('busy', yes ? 'yes' : 'no'); }", is_busy)


def test_the_lane_and_call_screens_load_with_the_server_dead(desk: DyingDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
    for path in ("/lane", "/lane?lane=3", "/call"):
        page.goto(f"{address}{path}")
        page.wait_for_function("() => window.version === 'one'")


def test_what_is_not_a_screen_of_a_tablet_goes_to_the_network_only(desk: DyingDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        kept = sorted([*SHELLS, "/static/js/device/worker.js", "/static/one/start.js"])
        assert page.evaluate(CACHES) == {"lane-ledger-one": kept}
        assert page.evaluate("async () => (await fetch('/lane/packet')).status") == 404
    assert page.evaluate("() => fetch('/lane/packet').catch(() => 'no network')") == "no network"


def test_a_new_version_waits_until_every_screen_can_spare_a_moment_and_then_all_change(
    desk: DyingDesk, context: BrowserContext
) -> None:
    with open_desk(desk) as address:
        judge, call = lane(context, address), lane(context, address, "/call")
        busy(judge, True)
        publish(desk, "two")
        call.evaluate(UPDATE)
        call.wait_for_function(WAITS)
        call.wait_for_timeout(ASKED_MS)
        assert [page.evaluate("() => window.version") for page in (judge, call)] == ["one", "one"], "a heat runs in the other tab"
        for _ in range(RELOADS):  # nobody can ask a screen while it loads anew
            judge.reload()
            assert judge.evaluate("() => window.version") == "one", "not even a reload brings half of it"
        busy(judge, False)
        for page in (judge, call):
            page.wait_for_function("() => window.version === 'two'", timeout=15_000)
        assert list(judge.evaluate(CACHES)) == ["lane-ledger-two"], "the version before is cleared away"


def test_a_new_version_comes_to_a_screen_that_was_never_loaded_anew(desk: DyingDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        page.wait_for_timeout(ASK_MS)
        assert (
            page.evaluate("() => performance.getEntriesByType('navigation')[0].type") == "navigate"
        )  # its own worker is no news
        publish(desk, "two")
        page.evaluate(UPDATE)
        page.wait_for_function("() => window.version === 'two'", timeout=15_000)


def test_a_screen_that_does_not_answer_is_taken_to_be_busy(desk: DyingDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        asleep, awake = lane(context, address), lane(context, address, "/call")
        fingers = context.new_cdp_session(asleep)
        fingers.send("Debugger.enable")
        fingers.send("Debugger.pause")
        publish(desk, "two")
        awake.evaluate(UPDATE)
        awake.wait_for_function(WAITS)
        awake.wait_for_timeout(ASKED_MS)
        assert awake.evaluate("() => window.version") == "one"
        fingers.detach()


@pytest.mark.parametrize("lives", [1, 2, 4])
def test_a_server_that_dies_in_the_middle_of_an_update_strands_nobody(
    desk: DyingDesk, context: BrowserContext, lives: int
) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        publish(desk, "two")
        desk.lives = lives  # of the five files of an update
        page.evaluate(f"() => ({UPDATE})().catch(() => {{}})")
        page.wait_for_timeout(1500)
        found = page.evaluate("""async () => {
          const { installing, waiting, active } = await navigator.serviceWorker.getRegistration();
          return [installing === null, waiting === null, active.state];
        }""")
        assert found == [True, True, "activated"]
    page.reload()
    page.wait_for_function("() => window.version === 'one'")
    assert list(page.evaluate(CACHES)) == ["lane-ledger-one"], "the half is cleared away"
    desk.lives = 10_000
    with open_desk(desk, int(address.rpartition(":")[2])):
        page.evaluate(UPDATE)
        page.wait_for_function("() => window.version === 'two'", timeout=15_000)


@pytest.mark.parametrize("broken", ["/static/two/start.js", "/call"])
def test_a_file_of_another_version_is_never_mixed_in(desk: DyingDesk, context: BrowserContext, broken: str) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        publish(desk, "two", broken)
        page.evaluate(f"() => ({UPDATE})().catch(() => {{}})")
        page.wait_for_timeout(1500)
        assert page.evaluate(WAITS) is False
        page.reload()
        assert page.evaluate("() => window.version") == "one"


def test_a_reload_with_the_server_dead_waits_for_no_network(browser: Browser, tmp_path: Path) -> None:
    with a_process(tmp_path / "data", a_file([["Ana and Bo"]])) as server, a_hall(browser, server.url) as hall:
        judge = hall.tablet(hall.desk(), 1, whole=True)
        judge.page.wait_for_function("async () => (await navigator.serviceWorker.ready) && navigator.serviceWorker.controller")
        judge.page.add_init_script(WHEN_SHOWN)
        server.kill()
        times = sorted(reload_ms(judge) for _ in range(TIMED))
        print(f"lane reload, server dead: p50 {statistics.median(times):.0f} ms, slowest {times[-1]:.0f} ms of {TIMED}")
        # Whatever asked the network first would wait for it; how quick it is without one depends on the machine.
        assert statistics.median(times) < NO_NETWORK_MS


def reload_ms(judge: Person) -> float:
    """From the start of the navigation to the first frame with the lane's strip, in ms."""
    judge.page.reload()
    judge.page.wait_for_function("() => window.stripShownAt")
    return float(judge.page.evaluate("() => window.stripShownAt"))
