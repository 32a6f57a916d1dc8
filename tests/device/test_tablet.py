"""The whole tablet wired together, as a lane screen opens it, against a scripted desk: packet, line, marks and clock."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.browser.fake_desk import FakeDesk

OPEN = """async () => {
  const { openTablet } = await import('/static/js/device/tablet.js');
  window.tablet = await openTablet({ screen: 'lane' });
}"""
TAP = "() => window.tablet.outbox.add({ sheet: 'asg_1/1/lane', kind: 'rep', at: 5 }).kept"


def put_packet(desk: FakeDesk, path: str = "/lane/packet", run: dict[str, Any] | None = None) -> None:
    packet = {
        "boot": desk.boot,
        "server_ms": 0,
        "device": {"id": "tab-a", "role": "lane", "lane": 3, "name": "Lane 3"},
        "events": {"ev_1": {"id": "ev_1", "name": "Ten", "format": {"windows": [{"start": 0, "seconds": 600, "task": "reps"}]}}},
        "heats": [{"id": "heat_1", "number": 1, "event": "ev_1", "planned": "", "run": run, "assignment": {"id": "asg_1"}}],
        "marks": list(desk.marks.values()),
        "held": desk.held(),
    }
    desk.files[path] = ("application/json", json.dumps(packet).encode())


@pytest.fixture
def tablet(desk: FakeDesk, context: BrowserContext) -> Callable[[], Page]:
    def open_page() -> Page:
        page = context.new_page()
        page.goto(desk.address)
        page.evaluate(OPEN)
        return page

    return open_page


def until(page: Page, condition: str) -> None:
    page.wait_for_function(f"() => {{ const {{ outbox, packet, link, sync, timesync }} = window.tablet; return {condition}; }}")


def test_a_tablet_asks_for_its_packet_once_at_a_start(desk: FakeDesk, context: BrowserContext) -> None:
    put_packet(desk)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(desk.address)
    page.evaluate(OPEN)
    page.evaluate("() => new Promise((done) => setTimeout(done, 1600))")  # set after the page's own, and longer: it runs later
    until(page, "packet.fresh && link.online")
    assert sum("/lane/packet" in url for url in asked) == 1


def test_the_packet_of_last_time_serves_when_the_desk_is_dead(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    put_packet(desk)
    page = tablet()
    until(page, "packet.fresh && outbox.device === 'tab-a'")
    page.evaluate(TAP)
    desk.files.clear()
    desk.manner, desk.takes_sockets = "full", False
    page.reload()
    page.evaluate(OPEN)
    assert page.evaluate("() => [window.tablet.packet.value.device.lane, window.tablet.packet.fresh]") == [3, False]
    page.evaluate(TAP)
    assert page.evaluate("() => window.tablet.outbox.marks('asg_1/1/lane').length") == 2
    put_packet(desk)
    desk.manner, desk.takes_sockets = "answer", True
    until(page, "packet.fresh && link.online && outbox.counts.safe === 2")


def test_news_over_the_line_reaches_the_packet_and_the_sheet_and_outlasts_a_reload(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    put_packet(desk)
    page = tablet()
    until(page, "packet.fresh && link.online")
    told = {"boot": desk.boot, "number": 0, "at": 5}
    new = {"type": "run", "heat": "heat_1", "number": 2, "go_server_ms": 900, "state": "set", "holds": [], "told": told}
    desk.tell(new)
    desk.tell({**new, "number": 1, "go_server_ms": 100, "state": "stopped", "told": told | {"at": 4}})
    theirs = {"id": "0" * 31 + "1", "sheet": "asg_1/1/lane", "device": "phone", "epoch": 7, "seq": 1, "kind": "declare"}
    desk.tell({"type": "marks", "marks": [theirs | {"at": 1, "err": 0, "win": None, "body": {}}]})
    until(page, "outbox.marks('asg_1/1/lane').length === 1")
    run = {"number": 2, "go_server_ms": 900, "state": "set", "holds": []}
    assert page.evaluate("() => window.tablet.packet.value.heats[0].run") == run, "an older run does not replace a newer one"
    assert page.evaluate("() => window.tablet.outbox.counts") == {"here": 0, "safe": 0, "refused": 0}, "not made here"
    page.wait_for_timeout(200)
    desk.files.clear()
    page.reload()
    page.evaluate(OPEN)
    assert page.evaluate("() => window.tablet.packet.value.heats[0].run") == run
    assert len(page.evaluate("() => window.tablet.outbox.marks('asg_1/1/lane')")) == 1


def test_a_desk_replaced_by_an_empty_one_is_filled_from_the_tablet(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    put_packet(desk)
    page = tablet()
    until(page, "packet.fresh")
    for _ in range(4):
        page.evaluate(TAP)
    until(page, "outbox.counts.safe === 4")
    desk.marks.clear()
    put_packet(desk)
    desk.cut_sockets()
    until(page, "link.online && outbox.counts.safe === 4")
    page.wait_for_function("() => window.tablet.outbox.counts.safe === 4 && window.tablet.outbox.counts.here === 0")
    for _ in range(50):
        if len(desk.marks) == 4:
            break
        page.wait_for_timeout(100)
    assert sorted(mark["seq"] for mark in desk.marks.values()) == [1, 2, 3, 4]


def test_the_desk_hears_what_the_tablet_holds_and_which_heat_it_shows(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    put_packet(desk)
    page = tablet()
    until(page, "packet.fresh && link.online && timesync.synced")
    page.evaluate(TAP)
    page.evaluate("() => window.tablet.show('heat_1', 'heat_1/1')")
    page.wait_for_timeout(600)
    said = desk.reports[-1]
    assert (said["outbox"], said["kept"], said["heat"], said["screen"], said["clock"]) == (1, 1, "heat_1", "lane", "synced")
    assert said["bound_ms"] >= 0
    page.evaluate("() => window.tablet.startByHand('heat_1/1')")
    page.wait_for_timeout(600)
    assert desk.reports[-1]["clock"] == "hand"


def test_the_desk_may_sit_down_at_any_lane(desk: FakeDesk, context: BrowserContext) -> None:
    put_packet(desk, "/lane/packet?lane=5")
    page = context.new_page()
    asked: list[str] = []
    page.on("websocket", lambda socket: asked.append(socket.url))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(desk.address + "/?lane=5")
    page.evaluate(OPEN)
    page.wait_for_timeout(300)
    assert next(url for url in asked if "/lane/packet" in url).endswith("/lane/packet?lane=5")
    assert next(url for url in asked if "/lane/socket" in url).endswith("/lane/socket?lane=5")


def test_a_tablet_with_no_packet_says_why_and_goes_on_asking(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    until(page, "packet.sentence !== ''")
    assert "Trying again" in page.evaluate("() => window.tablet.packet.sentence")
    put_packet(desk)
    until(page, "packet.fresh && packet.sentence === ''")


def test_a_tablet_with_nothing_left_hears_from_the_desk_that_it_had_marks(
    desk: FakeDesk, context: BrowserContext, tablet: Callable[[], Page]
) -> None:
    made = {"id": "0" * 31 + "1", "sheet": "asg_1/1/lane", "device": "tab-a", "epoch": 7, "seq": 1, "kind": "rep"}
    desk.marks[made["id"]] = made | {"at": 1, "err": 0, "win": 0, "body": {}}
    put_packet(desk)
    page = tablet()
    until(page, "packet.fresh && outbox.loss.includes('nobody knows whether there was more')")
    for _ in range(50):
        if any(report.get("trouble") == "blank" for report in desk.reports):
            break
        page.wait_for_timeout(100)
    assert desk.reports[-1]["trouble"] == "blank"
