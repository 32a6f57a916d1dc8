"""A tablet's browser that is paired anew with unsent marks: they go out by themselves, or wait for one tap at the desk."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, WebSocketRoute, expect

from tests.browser.hall_server import HallServer, served
from tests.browser.people import a_hall
from tests.builders.halls import SLATE_DAY

pytestmark = [pytest.mark.browser, pytest.mark.timeout(120)]

OPEN = """async () => {
  const { openTablet } = await import('/static/x/js/device/tablet.js');
  window.tablet = await openTablet({ screen: 'lane' });
  window.refused = 0;
  const { outbox } = window.tablet;
  outbox.watch(() => { window.refused = Math.max(window.refused, outbox.counts.refused); });
}"""
TAP = """async ([sheet, count]) => {
  for (let n = 0; n < count; n += 1) await window.tablet.outbox.add({ sheet, kind: 'rep', at: 1000 * n, win: 0 }).kept;
}"""
ONLINE = "() => window.tablet.packet.fresh && window.tablet.link.online"
COUNTS = "() => window.tablet.outbox.counts"


def paired(page: Page, server: HallServer, lane: int) -> None:
    """The browser takes an invitation, showing the key that it has, and opens its tablet again."""
    headers = {"Origin": server.url}
    answer = page.context.request.post(f"{server.url}/pair", data={"token": server.token(lane)}, headers=headers)
    assert answer.ok, answer.text()
    page.goto(f"{server.url}/pair")
    page.evaluate(OPEN)
    page.wait_for_function(ONLINE)


def until(page: Page, **counts: int) -> None:
    page.wait_for_function("(told) => Object.entries(told).every(([k, n]) => window.tablet.outbox.counts[k] === n)", arg=counts)


def without_marks(line: WebSocketRoute) -> None:
    """A line on which marks get no answer: they go as requests, which a test can stop."""
    desk = line.connect_to_server()
    line.on_message(lambda said: None if '"marks"' in str(said) else desk.send(said))


def test_unsent_marks_of_a_pairing_before_get_in(browser: Browser, tmp_path: Path) -> None:
    with served(tmp_path, SLATE_DAY) as server, a_hall(browser, server.url) as hall:
        desk = hall.desk()
        context = browser.new_context()
        page = context.new_page()
        page.route_web_socket("**/lane/socket*", without_marks)
        paired(page, server, 1)
        page.evaluate(TAP, ["asg_1_1/1/lane", 4])
        until(page, safe=4)
        page.route("**/marks", lambda route: route.abort())
        page.evaluate(TAP, ["asg_1_1/1/lane", 3])
        until(page, here=3)
        first = page.evaluate("() => [window.tablet.outbox.device, window.tablet.outbox.epoch]")
        page.unroute("**/marks")

        paired(page, server, 2)
        until(page, safe=7, here=0, refused=0)
        assert page.evaluate("() => window.refused") == 0, "nothing that was safe was taken for lost and refused"
        marks = server.hall.ledger.all_marks()
        assert {(mark.device, mark.receipt and mark.receipt.seat) for mark in marks} == {(first[0], "lane")} and len(marks) == 7

        page.route("**/marks", lambda route: route.abort())
        page.evaluate(TAP, ["asg_1_2/1/lane", 2])
        until(page, here=2)
        second = page.evaluate("() => window.tablet.outbox.device")
        desk.send(f"/desk/tablets/{second}/away")
        page.unroute("**/marks")
        paired(page, server, 3)
        until(page, refused=2, safe=7)
        said = page.evaluate("() => window.tablet.deskTrouble")
        assert said.startswith("2 marks refused, not at the desk. ") and "The desk can take them in" in said
        desk.open("/desk/tablets")
        row = desk.page.locator(".device", has_text="2 marks refused and not here")
        expect(row).to_contain_text("2 marks made as “Lane 2 tablet”, whose pairing the desk has ended")
        row.get_by_role("button", name="Take them in").click()
        until(page, safe=9, refused=0)
        context.close()
        assert len(server.hall.ledger.all_marks()) == 9
