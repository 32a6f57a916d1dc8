"""The service worker: screens load with the server dead, and a new version never replaces one in the middle."""

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.fake_desk import ROOT, FakeDesk, open_desk

SHELL = """<!doctype html><html lang=en><title>Lane {version}</title>
<script type="module" src="/static/{version}/start.js"></script></html>"""
START = """import {{ startWorker }} from '/static/js/device/worker.js';
window.version = '{version}';
window.busy = sessionStorage.getItem('busy') === 'yes';
window.ready = startWorker({{ mayReload: () => !window.busy }});"""


def publish(desk: FakeDesk, version: str) -> None:
    """Puts one version of a small site up."""
    script = (ROOT / "static" / "sw.js").read_text(encoding="utf-8")
    paths = ["/lane", "/call", f"/static/{version}/start.js", "/static/js/device/worker.js"]
    worker = script.replace('"__VERSION__"', json.dumps(version)).replace('"__ASSETS__"', json.dumps(paths))
    desk.files = {
        "/sw.js": ("text/javascript", worker.encode()),
        "/lane": ("text/html", SHELL.format(version=version).encode()),
        "/call": ("text/html", b"<title>Not this version's</title>"),
        f"/static/{version}/start.js": ("text/javascript", START.format(version=version).encode()),
    }


@pytest.fixture
def desk() -> FakeDesk:
    desk = FakeDesk()
    publish(desk, "one")
    return desk


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context()
    yield context
    context.close()


def lane(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.goto(f"{address}/lane")
    assert page.evaluate("() => window.ready") is True
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return page


def test_the_lane_screen_loads_with_the_server_dead(desk: FakeDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
    page.goto(f"{address}/lane")
    page.wait_for_function("() => window.version === 'one'")
    assert context.new_page().goto(f"{address}/lane") is not None


def test_what_is_not_a_screen_of_a_tablet_goes_to_the_network_only(desk: FakeDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        kept = page.evaluate("""async () => {
          const [name] = await caches.keys();
          return (await (await caches.open(name)).keys()).map((request) => new URL(request.url).pathname).sort();
        }""")
        assert kept == ["/lane", "/static/js/device/worker.js", "/static/one/start.js"], "a shell of another version is not kept"
        assert page.evaluate("async () => (await fetch('/lane/packet')).status") == 404
    assert page.evaluate("() => fetch('/lane/packet').catch(() => 'no network')") == "no network"


def test_a_new_version_waits_until_the_screen_can_spare_a_moment(desk: FakeDesk, context: BrowserContext) -> None:
    with open_desk(desk) as address:
        page = lane(context, address)
        page.evaluate("() => sessionStorage.setItem('busy', 'yes')")
        page.reload()
        page.evaluate("() => window.ready")
        publish(desk, "two")
        page.evaluate("async () => (await navigator.serviceWorker.getRegistration()).update()")
        page.wait_for_function("async () => (await navigator.serviceWorker.getRegistration()).waiting !== null")
        page.wait_for_timeout(6000)
        assert page.evaluate("() => window.version") == "one", "a heat is running"
        page.reload()
        assert page.evaluate("() => window.version") == "one", "not even a reload brings half of it"
        page.evaluate("() => { sessionStorage.removeItem('busy'); window.busy = false; }")
        page.wait_for_function("() => window.version === 'two'", timeout=15_000)
