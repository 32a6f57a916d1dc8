"""The tablet's outbox and its sending, in a real browser, against a desk that fails in every way that halls have seen."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.browser.fake_desk import FakeDesk

OPEN = """async () => {
  const { openOutbox } = await import('/static/js/device/outbox.js');
  const { startSync } = await import('/static/js/device/sync.js');
  window.outbox = await openOutbox();
  window.outbox.belongTo('tab-a');
  window.sync = startSync(window.outbox);
}"""
TAP = """async (count) => {
  const made = Array.from({ length: count }, (_, i) =>
    window.outbox.add({ sheet: 'asg_1/1/lane', kind: 'rep', at: 1000 * i, err: 3.2, win: 0 }));
  return Promise.all(made.map(({ kept }) => kept));
}"""
SHEET = "() => window.outbox.marks('asg_1/1/lane')"


@pytest.fixture
def tablet(desk: FakeDesk, context: BrowserContext) -> Callable[[], Page]:
    """Opens one more tab of the tablet's browser."""

    def open_tab() -> Page:
        page = context.new_page()
        page.goto(desk.address)
        page.evaluate(OPEN)
        return page

    return open_tab


def safe(page: Page, count: int) -> None:
    """Waits until that many marks are safe at the desk and none is only here."""
    page.wait_for_function("(n) => window.outbox.counts.safe === n && window.outbox.counts.here === 0", arg=count, timeout=15_000)


def numbers(marks: list[dict[str, Any]]) -> list[tuple[str, int, int]]:
    return sorted((mark["device"], mark["epoch"], mark["seq"]) for mark in marks)


def test_marks_are_on_the_disk_and_then_safe_at_the_desk(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    assert page.evaluate(TAP, 5) == [True] * 5
    safe(page, 5)
    assert [mark["seq"] for mark in page.evaluate(SHEET)] == [1, 2, 3, 4, 5]
    told = [mark | {"receipt": {"number": n, "seat": "lane"}} for n, mark in enumerate(desk.marks.values(), 1)]
    assert page.evaluate(SHEET) == told, "with what the desk knew of each"
    assert {mark["err"] for mark in desk.marks.values()} == {4}, "an error bound is rounded up"


def test_marks_made_with_the_network_cut_go_out_when_it_is_back(
    desk: FakeDesk, tablet: Callable[[], Page], context: BrowserContext
) -> None:
    page = tablet()
    page.evaluate(TAP, 3)
    safe(page, 3)
    context.set_offline(True)
    page.evaluate(TAP, 7)
    page.wait_for_function("() => window.sync.state.online === false")
    assert page.evaluate("() => [window.sync.state.pending, window.sync.state.safe]") == [7, 3]
    assert "kept" in page.evaluate("() => window.sync.state.sentence")
    context.set_offline(False)
    safe(page, 10)
    assert page.evaluate("() => window.sync.state.sentence") == ""
    assert len(desk.marks) == 10


@pytest.mark.parametrize("manner", ["lose", "stranger", "full"])
def test_an_answer_lost_or_strange_leads_to_sending_again_and_doubles_nothing(
    desk: FakeDesk, tablet: Callable[[], Page], manner: str
) -> None:
    desk.plan = [manner, manner]
    page = tablet()
    page.evaluate(TAP, 4)
    safe(page, 4)
    assert len(desk.batches) >= 3
    assert len(desk.marks) == 4
    assert len(page.evaluate(SHEET)) == 4


def test_a_desk_that_never_answers_is_given_up_and_asked_again(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.plan = ["hang"]
    page = tablet()
    page.evaluate(TAP, 2)
    safe(page, 2)
    assert len(desk.marks) == 2


def test_a_desk_that_says_when_to_come_again_is_not_asked_sooner(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.plan = ["slow down"]
    page = tablet()
    page.evaluate(TAP, 4)
    page.wait_for_function("() => window.sync.state.sentence === 'Slower.' && window.sync.state.online")
    page.evaluate("() => window.sync.nudge()")  # as when a network comes back
    page.evaluate(TAP, 1)
    safe(page, 5)
    assert desk.came[1] - desk.came[0] >= 1.0 and len(desk.batches) == 2
    assert page.evaluate("() => window.sync.state.sentence") == ""


def test_two_hundred_marks_and_more_go_out_in_batches_the_desk_takes(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 450)
    desk.manner = "answer"
    safe(page, 450)
    assert max(len(batch) for batch in desk.batches) == 200
    assert [mark["seq"] for mark in desk.marks.values()] == list(range(1, 451)), "in the order made"


def test_a_reload_with_the_desk_dead_loses_nothing_and_numbers_nothing_twice(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 12)
    before = page.evaluate(SHEET)
    page.reload()
    page.evaluate(OPEN)
    assert {mark["id"] for mark in page.evaluate(SHEET)} == {mark["id"] for mark in before}
    assert page.evaluate("() => window.outbox.counts.here") == 12
    page.evaluate(TAP, 3)
    desk.manner = "answer"
    page.evaluate("() => window.sync.nudge()")
    safe(page, 15)
    assert len(set(numbers(list(desk.marks.values())))) == 15
    page.reload()
    page.evaluate(OPEN)
    assert page.evaluate("() => window.outbox.counts") == {"here": 0, "safe": 15, "refused": 0}


def test_two_tabs_see_each_others_marks_and_never_share_a_number(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    first, second = tablet(), tablet()
    for _ in range(3):
        first.evaluate(TAP, 2)
        second.evaluate(TAP, 2)
    for page in (first, second):
        safe(page, 12)
        assert len(page.evaluate(SHEET)) == 12
    assert len(set(numbers(list(desk.marks.values())))) == 12
    assert first.evaluate("() => window.outbox.epoch") != second.evaluate("() => window.outbox.epoch")


def test_a_closed_tabs_marks_are_sent_by_the_one_that_stays(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    stays, closes = tablet(), tablet()
    closes.evaluate(TAP, 4)
    closes.close()
    desk.manner = "answer"
    safe(stays, 4)
    assert len(desk.marks) == 4


def test_a_desk_that_holds_less_than_it_said_gets_everything_again(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 6)
    safe(page, 6)
    desk.marks = dict(list(desk.marks.items())[:2])  # restored from an older backup
    page.evaluate(TAP, 1)
    safe(page, 7)
    assert len(desk.marks) == 7
    desk.marks.clear()  # replaced by another laptop, which says so as it greets
    page.evaluate("() => window.outbox.held({ device: 'tab-a', held: {} }, true)")
    safe(page, 7)
    assert len(desk.marks) == 7


def test_a_refused_mark_is_kept_and_told_and_not_sent_for_ever(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.refuse = {2: "This lane is not yours."}
    page = tablet()
    page.evaluate(TAP, 3)
    page.wait_for_function("() => window.outbox.counts.safe === 2 && window.outbox.counts.refused === 1")
    assert page.evaluate("() => window.outbox.refused().map((r) => r.sentence)") == ["This lane is not yours."]
    assert page.evaluate("() => window.sync.state.sentence") == "1 mark refused, not at the desk. This lane is not yours."
    sent = len(desk.batches)
    page.wait_for_timeout(1500)
    assert len(desk.batches) == sent
    desk.refuse = {}
    page.evaluate("() => window.outbox.offerAgain()")
    safe(page, 3)


def test_a_tablet_whose_numbers_the_desk_has_already_begins_a_new_life(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    epoch = page.evaluate("() => window.outbox.epoch")
    desk.doubled = {(epoch, 2)}
    page.evaluate(TAP, 3)
    safe(page, 3)
    page.wait_for_function("(old) => window.outbox.epoch > old", arg=epoch)
    assert "Both are kept" in page.evaluate("() => window.sync.state.sentence")
    page.evaluate(TAP, 2)
    safe(page, 5)
    later = [(mark["epoch"] > epoch, mark["seq"]) for mark in desk.marks.values()]
    assert later == [(False, 1), (False, 2), (False, 3), (True, 1), (True, 2)]
    page.reload()
    page.evaluate(OPEN)
    assert page.evaluate("() => window.outbox.epoch") > max(mark["epoch"] for mark in desk.marks.values())


def test_one_mark_that_spoils_its_batch_does_not_hold_up_the_others(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.poison = {5}
    page = tablet()
    page.evaluate(TAP, 9)
    page.wait_for_function("() => window.outbox.counts.safe === 8 && window.outbox.counts.refused === 1", timeout=10_000)
    assert page.evaluate("() => window.outbox.refused().map((r) => r.mark.seq)") == [5]


def test_a_tablet_that_is_no_longer_paired_keeps_its_marks_and_says_so(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "unpaired"
    page = tablet()
    page.evaluate(TAP, 2)
    page.wait_for_function("() => window.sync.state.paired === false")
    assert page.evaluate("() => [window.sync.state.sentence, window.sync.state.pending]") == ["Not paired.", 2]
    desk.manner = "answer"
    safe(page, 2)
    assert page.evaluate("() => window.sync.state.paired") is True


def test_marks_made_before_the_tablet_was_paired_anew_are_still_counted_and_sent(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    desk.manner = "unpaired"
    page = tablet()
    page.evaluate(TAP, 3)
    page.reload()
    page.evaluate(OPEN.replace("tab-a", "tab-b"))
    assert page.evaluate("() => window.outbox.counts.here") == 3
    page.evaluate(TAP, 1)
    desk.manner = "answer"
    safe(page, 4)
    assert sorted(mark["device"] for mark in desk.marks.values()) == ["tab-a", "tab-a", "tab-a", "tab-b"]


def test_without_a_disk_marks_are_still_counted_and_sent(desk: FakeDesk, context: BrowserContext) -> None:
    context.add_init_script("""
      indexedDB.open = () => { throw new DOMException('Private mode', 'SecurityError'); };
      StorageManager.prototype.getDirectory = () => { throw new DOMException('Private mode', 'SecurityError'); };
      Object.defineProperty(window, 'isSecureContext', { value: false });
    """)
    page = context.new_page()
    page.goto(desk.address)
    page.evaluate(OPEN)
    assert page.evaluate(TAP, 3) == [False] * 3
    safe(page, 3)
    assert "don't close" in page.evaluate("() => window.outbox.trouble")


def test_a_full_disk_is_told_and_what_it_missed_is_written_later(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate("""() => {
      window.put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = () => { throw new DOMException('No room', 'QuotaExceededError'); };
    }""")
    assert page.evaluate(TAP, 2) == [False, False]
    assert page.evaluate("() => window.outbox.trouble") != ""
    page.evaluate("() => { IDBObjectStore.prototype.put = window.put; }")
    page.wait_for_function("() => window.outbox.trouble === ''", timeout=10_000)
    page.reload()
    page.evaluate(OPEN)
    assert len(page.evaluate(SHEET)) == 2


def test_a_wiped_store_is_noticed_and_begins_above_every_number_the_desk_knows(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    page = tablet()
    page.evaluate(TAP, 2)
    safe(page, 2)
    page.evaluate("() => new Promise((done) => { indexedDB.deleteDatabase('lane-ledger').onsuccess = done; })")
    page.reload()
    page.evaluate(OPEN)
    page.evaluate("() => window.outbox.copies.compared")
    assert "tell the desk" in page.evaluate("() => window.outbox.loss")
    far = 8_000_000_000_000_000
    page.evaluate("(far) => window.outbox.held({ device: 'tab-a', held: { [far]: 4 } }, true)", far)
    assert page.evaluate("() => window.outbox.epoch") > far
    page.evaluate("(marks) => window.outbox.learn(marks)", list(desk.marks.values()))
    assert len(page.evaluate(SHEET)) == 2


def test_a_signed_sheet_is_let_go_once_it_is_safe(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.manner = "full"
    page = tablet()
    page.evaluate(TAP, 2)
    assert page.evaluate("() => window.outbox.forget('asg_1/1/lane')") is False
    desk.manner = "answer"
    safe(page, 2)
    assert page.evaluate("() => window.outbox.forget('asg_1/1/lane')") is True
    page.wait_for_timeout(100)
    page.reload()
    page.evaluate(OPEN)
    assert page.evaluate(SHEET) == []


def test_ids_are_of_version_seven_and_in_order_of_time(tablet: Callable[[], Page]) -> None:
    ids = tablet().evaluate("""async () => {
      const { uuid7 } = await import('/static/js/device/ids.js');
      return [1, 1_700_000_000_000, 1_700_000_000_001].map((ms) => uuid7(ms));
    }""")
    assert [one[:12] for one in ids] == ["000000000001", "018bcfe56800", "018bcfe56801"]
    assert all(len(one) == 32 and one[12] == "7" and one[16] in "89ab" for one in ids)


def test_a_word_on_another_devices_marks_says_nothing_of_these(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 4)
    safe(page, 4)
    page.evaluate("() => window.outbox.held({ device: 'tab-b', held: {}, before: {} }, true)")
    assert page.evaluate("() => window.outbox.counts") == {"here": 0, "safe": 4, "refused": 0}
    desk.marks.clear()
    page.evaluate("() => window.outbox.held({ device: 'tab-b', held: {}, before: { 'tab-a': {} } }, true)")
    safe(page, 4)
    assert len(desk.marks) == 4, "of a pairing before it is told too, and what is lost is sent again"


def test_under_a_new_name_a_page_begins_a_new_life(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate(TAP, 2)
    safe(page, 2)
    page.evaluate("() => window.outbox.belongTo('tab-b')")
    page.evaluate(TAP, 1)
    safe(page, 3)
    first, _, last = desk.marks.values()
    assert (last["device"], last["seq"]) == ("tab-b", 1) and last["epoch"] > first["epoch"]


def test_a_desk_is_not_called_out_of_reach_when_nothing_waits_for_it(desk: FakeDesk, context: BrowserContext) -> None:
    desk.manner = "lose"
    page = context.new_page()
    page.goto(desk.address)
    page.evaluate(OPEN)
    page.evaluate(TAP, 1)
    page.wait_for_function("() => window.sync.state.sentence.includes('Marks are kept here')")
    page.evaluate("(held) => window.outbox.held({ device: 'tab-a', held }, true)", desk.held())
    assert page.evaluate("() => [window.outbox.counts.here, window.sync.state.sentence]") == [0, ""]
