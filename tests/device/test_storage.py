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
    second.wait_for_function(f"async () => Object.values(await ({LOGS})()).filter((size) => size > 2 * 150).length === 2")
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
    page.wait_for_function("() => window.outbox.loss.includes('At least 2 marks had not been sent and are missing')")
    assert page.evaluate("() => window.outbox.copies.health") == {"trouble": "lost-more", "missing": 2}


def test_a_wiped_store_whose_second_copy_is_whole_lost_nothing(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 3)
    safe(page, 3)
    page.evaluate(WIPE)
    again(page)
    page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
    page.wait_for_function("() => window.outbox.loss.includes('nothing is missing')")


LOSE = """async (all) => {
  const root = await navigator.storage.getDirectory();
  for (let left = 20; left; left -= 1) {
    try {
      await root.removeEntry('lane-ledger', { recursive: true });
      break;
    } catch (wrong) {
      if (wrong.name === 'NotFoundError') break;
      await new Promise((done) => setTimeout(done, 100)); // the page before still has its log open
    }
  }
  await new Promise((done) => { indexedDB.deleteDatabase('lane-ledger').onsuccess = done; });
  if (all) localStorage.clear();
  else localStorage.setItem('lane-ledger-made', '{}');
}"""


def lose(page: Page, all_three: bool) -> None:
    """Both stores are gone, and the record of numbers is that of seconds before, or gone as well."""
    page.reload()
    page.evaluate(LOSE, all_three)
    page.evaluate(OPEN)
    page.evaluate(MIRRORED)


def test_a_record_that_was_written_late_is_not_taken_for_the_whole(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 4)
    flushed(page, 3)
    lose(page, all_three=False)
    page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
    page.wait_for_function("() => window.outbox.loss.includes('None is known to be missing, but')")
    assert page.evaluate("() => window.outbox.copies.health") == {"trouble": "unsure", "missing": 0}


def test_with_all_three_gone_it_says_that_it_knows_nothing_until_the_desk_was_told(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 4)
    flushed(page, 3)
    lose(page, all_three=True)
    for _ in range(2):
        page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
        assert "nobody knows whether there was more" in loss(page)
        assert page.evaluate("() => window.outbox.copies.health") == {"trouble": "blank", "missing": 0}
        again(page)  # what was not told to anybody outlasts a reload
    page.evaluate("() => window.outbox.copies.lossWasRead()")
    again(page)
    assert loss(page) == ""


def test_of_numbers_under_another_name_than_the_desk_speaks_of_nothing_is_known(
    desk: FakeDesk, context: BrowserContext, tablet: Callable[[], Page]
) -> None:
    context.add_init_script(PLAIN_HTTP)
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 2)
    page.wait_for_timeout(200)
    page.evaluate(WIPE)
    again(page)
    page.evaluate(
        "() => { window.outbox.belongTo('tab-b'); window.outbox.held({ device: 'tab-b', held: {}, before: {} }, true); }"
    )
    page.wait_for_function("() => window.outbox.loss.includes('None is known to be missing, but')")


def test_a_browser_that_was_never_here_has_lost_nothing(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate("(held) => window.outbox.held(held, true)", desk.held_word())
    assert (loss(page), page.evaluate("() => window.outbox.copies.health.trouble")) == ("", "")


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
  StorageManager.prototype.persisted = async () => estimate.persisted ?? false;
  const room = new Room({ refusal: estimate.refusal ?? '' });
  await room.look();
  return [room.sentence, room.doubt];
}"""
NO_WORD = "We can't tell whether"


@pytest.mark.parametrize(
    ("estimate", "said", "doubt"),
    [
        ({"usage": 1_000_000, "quota": 60_000_000_000}, "", NO_WORD),
        ({"usage": 1_000_000, "quota": 60_000_000_000, "persisted": True}, "", ""),
        ({"usage": 59_990_000_000, "quota": 60_000_000_000}, "nearly full", NO_WORD),
        ({"usage": 0, "quota": 200_000_000}, "looks like a private window", ""),
        ({"usage": 0, "quota": 200_000_000, "persisted": True}, "", ""),
        ({"usage": 0, "quota": 60_000_000_000, "refusal": "SecurityError"}, "looks like a private window", ""),
    ],
)
def test_a_full_or_forgetful_store_is_told_and_what_is_not_known_of_it(
    desk: FakeDesk, context: BrowserContext, estimate: dict[str, Any], said: str, doubt: str
) -> None:
    page = context.new_page()
    page.goto(desk.address)
    found = page.evaluate(ROOM, estimate)
    assert [part in shown if part else shown == "" for part, shown in zip((said, doubt), found, strict=True)] == [True, True]
