"""A tablet's marks on the line that it holds open, against a scripted desk: what the line does not answer goes as a request."""

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.browser.fake_desk import FakeDesk
from tests.device.test_tablet import OPEN, TAP, put_packet, until

SAFE = "outbox.counts.here === 0 && outbox.counts.safe === {}"
# A mark is struck out, and made anew.
ANEW = """(id) => window.tablet.outbox.together(() => {
  const marks = [['strike', { mark: id }], ['lift', {}]];
  for (const [kind, body] of marks) window.tablet.outbox.add({ sheet: 'asg_1/1/lane', kind, at: 5, body });
})"""
RECEIPTS = "() => window.tablet.outbox.marks('asg_1/1/lane').map(({ receipt }) => receipt && receipt.number)"


@pytest.fixture
def tablet(desk: FakeDesk, context: BrowserContext) -> Page:
    desk.takes_frames = True
    put_packet(desk)
    page = context.new_page()
    page.goto(desk.address)
    page.evaluate(OPEN)
    until(page, "packet.fresh && link.online")
    return page


def tap(page: Page, safe: int) -> None:
    """One tap, and the wait until so many marks are safe."""
    page.evaluate(TAP)
    until(page, SAFE.format(safe))


def test_a_mark_goes_on_the_line_and_no_request_is_made(desk: FakeDesk, tablet: Page) -> None:
    for number in (1, 2, 3):
        tap(tablet, number)
    assert [len(batch) for batch in desk.framed] == [1, 1, 1] and desk.batches == [] and len(desk.marks) == 3


@pytest.mark.parametrize("manner", ["lose", "hang"])
def test_what_the_line_does_not_answer_goes_as_a_request_and_is_one_mark(desk: FakeDesk, tablet: Page, manner: str) -> None:
    desk.on_line = [manner]
    tap(tablet, 1)
    assert len(desk.framed) == len(desk.batches) == len(desk.marks) == 1, "kept once, though it came by both ways"
    if manner == "hang":
        tap(tablet, 2)
        assert len(desk.batches) == 2, "a line that was silent carries no more"
        desk.cut_sockets()
        until(tablet, "!link.online")
    until(tablet, "link.room > 0")
    requests = len(desk.batches)
    tap(tablet, len(desk.marks) + 1)
    assert len(desk.batches) == requests, "a line that was opened anew carries marks again"


def test_a_desk_that_says_no_on_the_line_is_heard_and_asked_again(desk: FakeDesk, tablet: Page) -> None:
    desk.on_line = ["full"]
    tablet.evaluate(TAP)
    until(tablet, "sync.state.sentence === 'The disk is full.'")
    until(tablet, SAFE.format(1))
    assert len(desk.framed) == 2 and desk.batches == []


def test_a_line_that_belongs_to_another_device_carries_nothing(desk: FakeDesk, tablet: Page) -> None:
    """The browser was paired anew, and its line is still the old device's."""
    tablet.evaluate("() => window.tablet.outbox.belongTo('tab-b')")
    tablet.evaluate(TAP)
    until(tablet, "sync.state.online && outbox.counts.here <= 1")
    tablet.wait_for_function("() => window.tablet.outbox.counts.here === 0")
    assert desk.framed == [] and len(desk.batches) >= 1


def test_a_long_outbox_goes_in_messages_that_the_line_takes(desk: FakeDesk, tablet: Page) -> None:
    note = "{ sheet: 'asg_1/1/lane', kind: 'note', at: 5, body: { text: 'x'.repeat(500) } }"
    tablet.evaluate(f"() => {{ for (let n = 0; n < 150; n += 1) window.tablet.outbox.add({note}); }}")
    until(tablet, SAFE.format(150))
    assert len(desk.framed) >= 2 and desk.batches == [] and len(desk.marks) == 150


def test_a_line_that_the_desk_closes_is_told_on_the_tablet_and_its_marks_stay(desk: FakeDesk, tablet: Page) -> None:
    desk.manner = "unpaired"
    desk.tell({"type": "bye", "sentence": "This lane has another tablet now."})
    until(tablet, "!link.online && link.sentence")
    tablet.evaluate(TAP)
    until(tablet, "!sync.state.paired && outbox.counts.here === 1")
    assert tablet.evaluate("() => window.tablet.deskTrouble") == "This lane has another tablet now."
    assert desk.framed == [] and desk.marks == {}


@pytest.mark.parametrize("manner", ["answer", "lose", "hang"])
def test_what_is_struck_out_and_made_anew_is_never_struck_out_alone_wherever_the_line_ends(
    desk: FakeDesk, tablet: Page, manner: str
) -> None:
    tap(tablet, 1)
    desk.on_line = [manner]
    tablet.evaluate(ANEW, next(iter(desk.marks)))
    until(tablet, SAFE.format(3))
    batches = [[mark["kind"] for mark in batch] for batch in [*desk.framed, *desk.batches][1:]]
    assert batches and all(batch == ["strike", "lift"] for batch in batches)


def test_marks_made_together_are_not_parted_by_what_a_message_takes(desk: FakeDesk, tablet: Page) -> None:
    tablet.evaluate(f"() => {{ for (let n = 0; n < 199; n += 1) ({TAP})(); ({ANEW})('0'); }}")
    until(tablet, SAFE.format(201))
    assert [len(batch) for batch in desk.framed if batch[-1]["kind"] != "rep"] and desk.batches == []
    assert not any(batch[-1]["kind"] == "strike" for batch in desk.framed)


def test_a_tablet_hears_of_its_own_marks_what_the_desk_knew_when_they_came(desk: FakeDesk, tablet: Page) -> None:
    desk.refuse = {2: "No."}
    tap(tablet, 1)
    tablet.evaluate(TAP)
    until(tablet, "outbox.counts.refused === 1")
    desk.on_line = ["lose"]
    tap(tablet, 2)
    assert tablet.evaluate(RECEIPTS) == [1, None, 2], "also of one whose first answer was lost"
    until(tablet, "link.online")
    tablet.reload()
    tablet.evaluate(OPEN)
    assert tablet.evaluate(RECEIPTS) == [1, None, 2]
