"""A tablet's two stores: what one loses the other brings back, what both lose is counted, and the judge and the desk are told."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.browser.fake_desk import FakeDesk
from tests.device.test_device import OPEN, SHEET, TAP, numbers, safe

pytestmark = pytest.mark.browser

MIRRORED = "() => window.outbox.copies.compared"
WIPE = "() => new Promise((done) => { indexedDB.deleteDatabase('lane-ledger').onsuccess = done; })"
LOGS = """async () => {
  const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('lane-ledger');
  const sizes = {};
  for await (const [name, handle] of folder.entries()) sizes[name] = (await handle.getFile()).size;
  return sizes;
}"""
PLAIN_HTTP = "Object.defineProperty(window, 'isSecureContext', { value: false });"


@pytest.fixture
def tablet(desk: FakeDesk, context: BrowserContext) -> Callable[[], Page]:
    """Opens one more tab of the tablet's browser, with its second store open."""

    def open_tab() -> Page:
        page = context.new_page()
        page.goto(desk.address)
        page.evaluate(OPEN)
        page.evaluate(MIRRORED)
        return page

    return open_tab


def again(page: Page) -> None:
    """Reloads the page and opens its stores."""
    page.reload()
    page.evaluate(OPEN)
    page.evaluate(MIRRORED)


def loss(page: Page) -> str:
    return str(page.evaluate("() => window.outbox.loss"))


def flushed(page: Page, lines: int) -> None:
    """Waits until the second store holds something, and gives the last append its moment."""
    page.wait_for_function(f"async () => Object.values(await ({LOGS})()).some((size) => size > {lines} * 150)")


def test_what_the_browser_wiped_comes_back_from_the_second_store(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 3)
    safe(page, 3)
    desk.manner = "full"
    page.evaluate(TAP, 5)
    flushed(page, 4)
    before = page.evaluate(SHEET)
    page.evaluate(WIPE)
    again(page)
    assert page.evaluate("() => window.outbox.counts.here") == 5
    assert "5 marks came back" in loss(page)
    desk.manner = "answer"
    page.evaluate("() => window.sync.nudge()")
    safe(page, 5)
    assert numbers(list(desk.marks.values())) == numbers(before)
    page.wait_for_function("() => window.outbox.loss.includes('nothing is missing')")
    assert page.evaluate("() => window.outbox.copies.health") == {"trouble": "restored", "missing": 0}
    page.evaluate("() => window.outbox.copies.lossWasRead()")
    assert loss(page) == ""


def test_a_new_life_numbers_on_after_a_loss(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 4)
    flushed(page, 3)
    page.evaluate(WIPE)
    again(page)
    page.evaluate(TAP, 2)
    desk.manner = "answer"
    safe(page, 6)
    assert len(set(numbers(list(desk.marks.values())))) == 6 and len({mark["epoch"] for mark in desk.marks.values()}) == 2


def test_the_second_store_holds_only_what_the_desk_does_not(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 4)
    flushed(page, 3)
    again(page)
    page.wait_for_function(f"async () => Object.keys(await ({LOGS})()).length === 1")
    assert sum(page.evaluate(LOGS).values()) > 600, "an old page's marks are taken over before its log goes"
    desk.manner = "answer"
    safe(page, 4)
    page.wait_for_function(f"async () => Object.values(await ({LOGS})()).every((size) => size === 0)")


def test_two_tabs_keep_a_log_each(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    first, second = tablet(), tablet()
    for page in (first, second):
        page.evaluate(TAP, 2)
    assert [page.evaluate("() => window.outbox.copies.mirror.on") for page in (first, second)] == [True, True]
    assert len(second.evaluate(LOGS)) == 2
    first.evaluate(WIPE)
    first.close()
    again(second)
    assert second.evaluate("() => window.outbox.counts.here") == 4


def test_without_a_second_store_what_is_missing_is_counted(
    desk: FakeDesk, context: BrowserContext, tablet: Callable[[], Page]
) -> None:
    context.add_init_script(PLAIN_HTTP)
    page = tablet()
    page.evaluate(TAP, 3)
    safe(page, 3)
    desk.manner = "full"
    page.evaluate(TAP, 2)
    page.wait_for_timeout(200)
    page.evaluate(WIPE)
    again(page)
    assert "tell the desk" in loss(page)
    desk.manner = "answer"
    page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
    page.wait_for_function("() => window.outbox.loss.includes('2 marks had not been sent and are missing')")
    assert page.evaluate("() => window.outbox.copies.health") == {"trouble": "lost", "missing": 2}


def test_a_wiped_store_with_nothing_unsent_lost_nothing(
    desk: FakeDesk, context: BrowserContext, tablet: Callable[[], Page]
) -> None:
    context.add_init_script(PLAIN_HTTP)
    page = tablet()
    page.evaluate(TAP, 3)
    safe(page, 3)
    page.evaluate(WIPE)
    again(page)
    page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
    page.wait_for_function("() => window.outbox.loss.includes('nothing is missing')")


def test_when_indexeddb_fails_the_second_store_keeps_the_marks(desk: FakeDesk, context: BrowserContext) -> None:
    desk.manner = "full"
    context.add_init_script("if (!location.hash) indexedDB.open = () => { throw new DOMException('Broken', 'UnknownError'); };")
    page = context.new_page()
    page.goto(desk.address)
    page.evaluate(OPEN)
    page.evaluate(MIRRORED)
    assert page.evaluate(TAP, 3) == [False] * 3
    assert "second store only" in page.evaluate("() => window.outbox.trouble")
    flushed(page, 2)
    page.goto("about:blank")
    page.goto(f"{desk.address}/#whole")
    page.evaluate(OPEN)
    page.evaluate(MIRRORED)
    desk.manner = "answer"
    safe(page, 3)


def test_a_desk_that_lost_marks_gets_them_again_whoever_made_them(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 4)
    safe(page, 4)
    mine = list(desk.marks.values())
    other: dict[str, Any] = {**mine[0], "id": "f" * 32, "device": "tab-z", "epoch": 9, "seq": 1}
    desk.marks[other["id"]] = other
    page.evaluate("(marks) => window.outbox.learn(marks)", [other])
    told = mine[:1]
    desk.marks = {mark["id"]: mark for mark in told}  # what a restored backup holds
    page.evaluate("(told) => window.outbox.compare(told, window.outbox.safeNow(), () => true)", told)
    page.wait_for_function("() => window.outbox.pending().length === 0", timeout=15_000)
    assert {mark["id"] for mark in desk.marks.values()} == {mark["id"] for mark in [*mine, other]}


def test_what_became_safe_while_the_desk_was_asked_is_not_taken_for_lost(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate("() => { window.before = window.outbox.safeNow(); }")
    page.evaluate(TAP, 2)
    safe(page, 2)
    page.evaluate("() => window.outbox.compare([], window.before, () => true)")
    assert page.evaluate("() => window.outbox.counts") == {"here": 0, "safe": 2, "refused": 0}


ROOM = """async (estimate) => {
  const { Room } = await import('/static/js/device/room.js');
  StorageManager.prototype.estimate = async () => estimate;
  const room = new Room({ refusal: estimate.refusal ?? '' });
  await room.look();
  return room.sentence;
}"""


@pytest.mark.parametrize(
    ("estimate", "said"),
    [
        ({"usage": 1_000_000, "quota": 60_000_000_000}, ""),
        ({"usage": 59_990_000_000, "quota": 60_000_000_000}, "nearly full"),
        ({"usage": 0, "quota": 200_000_000}, "private window"),
        ({"usage": 0, "quota": 60_000_000_000, "refusal": "SecurityError"}, "private window"),
    ],
)
def test_a_full_or_forgetful_store_is_told(desk: FakeDesk, context: BrowserContext, estimate: dict[str, Any], said: str) -> None:
    page = context.new_page()
    page.goto(desk.address)
    sentence = page.evaluate(ROOM, estimate)
    assert said in sentence if said else sentence == ""
