"""The lifter's side of a lift in a real hall: declared, changed, locked, asked about, offline; equipment signed; the board."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from app.people.openers_page import save_openers
from app.rules.records.kinds import LIFE
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import LOW
from tests.browser.moments import LONG_MEMBERS, LONG_TEAM, a_heat_of_everything, set_clock
from tests.browser.people import PHONE, TABLET, Desk, Hall, Person
from tests.builders.pairs import a_mark

pytestmark = [
    pytest.mark.paced,
    pytest.mark.browser,
    pytest.mark.timeout(240),
]

LIFT = 3
LIFT_OPENS_S = 420
KIT = LONG_MEMBERS[0]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HallServer]:
    any_load = a_heat_of_everything().model_copy(update={"lane_plates": ()})  # no load but the step's is in the way
    with served(tmp_path_factory.mktemp("data"), any_load) as running:
        running.run(save_openers(running.hall, "evt", {"load-squat-ent_0_0-2": "185", "then-squat-ent_0_0-2": "205 225"}))
        yield running


@pytest.fixture(scope="module")
def judge(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1)


@pytest.fixture(scope="module")
def lifter(hall: Hall, desk: Desk, judge: Person) -> Person:
    return hall.tablet(desk, 1, "call screen", PHONE)


def lift_opens(server: HallServer) -> None:
    """The lift has been open for half a minute, or for as long as it was when lane 1 last made a mark.

    A clock that is set back makes what is declared next older than what stands, by as much as the test before took: it would
    not be what counts.
    """
    made = [mark.at for mark in server.hall.projection.assignment_marks("asg_0")]
    server.go_was(max((LIFT_OPENS_S + 30) * 1000, *(at + 1000 for at in made)))


@contextmanager
def away(server: HallServer) -> Iterator[None]:
    """The desk is gone for as long as the block runs."""
    server.stop()
    try:
        yield
    finally:
        server.start()


def told(desk: Desk, *marks: dict[str, Any]) -> None:
    """Marks of a judge, through the ledger's door, so that the lane hears of them."""
    answer = desk.page.context.request.post(
        f"{desk.url}/marks", data=json.dumps({"marks": marks}), headers={"content-type": "application/json"}
    )
    assert answer.ok and answer.json()["refused"] == [], answer.text()


def last(desk: Desk, kind: str) -> dict[str, Any]:
    """The newest mark of a kind on lane 1's sheet."""
    found = [mark for mark in desk.marks() if mark["kind"] == kind and mark["sheet"] == "asg_0/1/lane"]
    return max(found, key=lambda mark: str(mark["id"]))


def test_the_equipment_is_ticked_and_signed_before_go_with_the_desk_away(
    server: HallServer, desk: Desk, judge: Person, tmp_path_factory: pytest.TempPathFactory
) -> None:
    judge.shows("before")
    expect(judge.part("gear-line")).to_have_count(5)
    expect(judge.part("gear-sign")).to_be_disabled()
    with away(server):
        for line in judge.part("gear-line").all():
            line.click()
        judge.part("gear-name").fill("Kim")
        expect(judge.part("gear-sign")).to_have_text("Sign the check")
        judge.touch(judge.part("gear-sign"))
        expect(judge.part("gear-says")).to_have_text("Checked by Kim.")
        photo = tmp_path_factory.mktemp("photo") / "bar.png"
        judge.page.screenshot(path=photo)
        judge.part("gear-photo").set_input_files(photo)
        expect(judge.part("gear-photo-says")).to_have_text("Kept on this tablet, and sent nowhere.")
        expect(judge.part("gear-photo-shown")).to_be_visible()
    expect(judge.part("kept")).to_have_text("0 waiting on this tablet")
    desk.open("/desk")
    expect(desk.page.locator("#unchecked")).to_have_text("Equipment: lanes 2 to 12 not checked. You can still press GO.")
    assert last(desk, "check")["body"] == {"items": judge_list(judge), "name": "Kim"}
    judge.page.reload()
    expect(judge.part("gear-says")).to_have_text("Checked by Kim.")
    expect(judge.part("gear-photo-shown")).to_be_visible()


def judge_list(judge: Person) -> list[str]:
    packet = judge.page.evaluate("async () => (await fetch('/lane/packet')).json()")
    return list(packet["events"]["evt"]["checks"])


def test_an_opener_from_before_the_event_is_what_the_call_screen_begins_with(server: HallServer, lifter: Person) -> None:
    lift_opens(server)
    lifter.touch(lifter.page.get_by_role("button", name=LONG_MEMBERS[1]))
    expect(lifter.part("declare-load")).to_have_text("185 lb")
    expect(lifter.part("plan-load")).to_have_text(["185 lb", "205 lb", "225 lb"])
    lifter.touch(lifter.page.get_by_role("button", name=KIT))
    expect(lifter.part("declare-load")).to_have_text("262.5 lb")


def test_a_load_off_the_step_does_not_invite_and_the_nearest_two_are_a_tap_away(lifter: Person) -> None:
    expect(lifter.part("declare")).to_have_text("Declare 262.5 lb?")
    expect(lifter.part("declare")).to_have_attribute("data-asks", "")
    expect(lifter.part("load-up")).to_have_text("Take 263 lb")
    lifter.touch(lifter.part("load-down"))
    expect(lifter.part("declare")).to_have_text("Declare 262 lb")
    expect(lifter.part("declare")).not_to_have_attribute("data-asks", "")
    expect(lifter.part("load-up")).to_have_text("+ 1 lb")


def test_a_load_is_declared_changed_and_locked_when_the_bar_leaves_the_rack(
    server: HallServer, desk: Desk, judge: Person, lifter: Person
) -> None:
    lift_opens(server)
    lifter.touch(lifter.part("load-up"))
    lifter.touch(lifter.part("declare"))
    expect(lifter.part("declared")).to_have_text(f"{KIT}: declared, at the desk")
    expect(judge.part("load")).to_have_text("263 lb")
    lifter.touch(lifter.part("load-far-up"))
    expect(lifter.part("declare")).to_have_text("Change to 268 lb")
    lifter.touch(lifter.part("declare"))
    expect(judge.part("load")).to_have_text("268 lb")
    planned = lifter.part("plan-load").filter(has_text="268 lb")
    lifter.touch(lifter.part("plan-add"))
    expect(planned).to_have_count(1)
    standing = last(desk, "declare")
    said = {name: value for name, value in standing["body"].items() if name not in LIFE}
    assert said == {"load": {"amount": "268", "unit": "lb"}, "by": "lifter", "member": 1}
    told(desk, {**a_mark("asg_0", 700, "begun", standing["at"] + 1, LIFT, declared=standing["id"]), "device": "desk"})
    expect(lifter.part("declared")).to_contain_text("locked: the bar has left the rack")
    lifter.touch(lifter.part("load-up"))
    lifter.touch(lifter.part("declare"))
    expect(lifter.part("waiting")).to_have_text(f"Next: {KIT}: 269 lb (122 kg)")
    expect(lifter.part("load")).to_have_text("268 lb")
    now = last(desk, "declare")["at"] + 1
    good = a_mark("asg_0", 701, "lift", now, LIFT, load=standing["body"]["load"], good=True, declared=standing["id"])
    told(desk, {**good, "device": "desk"})
    expect(lifter.part("load")).to_have_text("269 lb")
    expect(lifter.part("attempts")).to_contain_text("268 lb")
    expect(planned).to_have_count(0)


def test_nothing_moves_under_the_finger_when_the_desk_goes(server: HallServer, judge: Person, lifter: Person) -> None:
    set_clock(server, "count")
    pressed = ((judge, ("count-target", "take-back")), (lifter, ("declare", "load-up", "load-down")))
    for person, keys in pressed:
        expect(person.part(keys[0])).to_be_visible()
        expect(person.part("line")).not_to_have_attribute("data-tone", "look")
    before = [places(*one) for one in pressed]
    with away(server):
        for person, _ in pressed:
            expect(person.part("line")).to_contain_text("can't reach the desk")
        assert [moved(was, places(*one)) for was, one in zip(before, pressed, strict=True)] == [{}, {}]


def places(person: Person, keys: tuple[str, ...]) -> dict[str, list[float]]:
    """Where each key's upper edge is, at each size; the screen is left as it was."""
    found, own = {}, person.page.viewport_size
    for name, size in (LOW | {"phone": PHONE, "tablet": TABLET}).items():
        person.page.set_viewport_size(size)  # type: ignore[arg-type]
        person.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
        seen = [person.part(key).locator("visible=true").first.bounding_box() for key in keys]
        found[name] = [box["y"] if box else 0.0 for box in seen]
    person.page.set_viewport_size(own or TABLET)  # type: ignore[arg-type]
    return found


def moved(before: dict[str, list[float]], after: dict[str, list[float]]) -> dict[str, object]:
    """The sizes at which something stands elsewhere, by more than a pixel or two."""
    apart = {name: max(abs(a - b) for a, b in zip(before[name], after[name], strict=True)) for name in before}
    return {name: (before[name], after[name]) for name, far in apart.items() if far > 2}


def test_slips_of_the_finger_are_told_and_asked_about_once(server: HallServer, desk: Desk, lifter: Person) -> None:
    lift_opens(server)
    lifter.touch(lifter.page.get_by_role("button", name="Type it"))
    keys = lifter.page.keyboard
    for typed, sentence in (
        ("1O5", "type 105"),
        ("-5", "has no sign"),
        ("1e3", "without the e"),
        ("2,000", "two loads"),
        ("20", "The bar alone"),
    ):
        keys.type(typed)
        lifter.touch(lifter.part("declare"))
        expect(lifter.part("declare-says")).to_contain_text(sentence)
        for _ in typed:
            keys.press("Backspace")
    before = last(desk, "declare")["id"]
    keys.type("122")
    expect(lifter.part("declare-says")).to_have_text(
        "The last load was 268 lb (121.6 kg). Is this one 122 lb (55.3 kg), or 122 kg (269 lb)?"
    )
    lifter.touch(lifter.part("declare"))
    expect(lifter.part("declare")).to_have_text("Yes, change to 122 lb")
    assert last(desk, "declare")["id"] == before, "asked once before anything is declared"
    lifter.touch(lifter.part("declare-unit"))
    expect(lifter.part("declare-load")).to_have_text("122 kg")


def test_what_would_pass_is_shown_taken_with_a_tap_and_says_its_age_when_the_desk_is_gone(
    server: HallServer, desk: Desk, judge: Person, lifter: Person
) -> None:
    lift_opens(server)
    marks = [
        a_mark(f"asg_{n}", 1, "lift", 430_000 + n, LIFT, load={"amount": str(400 + 20 * n), "unit": "lb"}, good=True, member=1)
        for n in (1, 2)
    ]
    told(
        desk, *marks, a_mark("asg_1", 2, "rep", 1000, 0), *(a_mark("asg_2", 10 + n, "rep", 2000 + n * 700, 0) for n in range(100))
    )
    lines = lifter.part("ahead-load")
    # Lane 3 has 100 repetitions and 440 lb: 540. This pair has 187 and 268: 286 more in the other's best or 354 lb pass it.
    expect(lines).to_have_count(1, timeout=15_000)
    expect(lines.first).to_contain_text("354 lb")
    lines.first.click()
    expect(lifter.part("declare-load")).to_have_text("354 lb")
    with away(server):
        expect(lifter.part("line")).to_contain_text("Tell the judge your load.")
        lifter.touch(lifter.part("declare"))
        expect(lifter.part("declared")).to_contain_text("on its way to the desk")
        lifter.page.evaluate("() => { const now = Date.now; Date.now = () => now() + 180_000; }")
        expect(lifter.part("ahead-age")).to_contain_text("As the standings were 3 min ago", timeout=15_000)
    expect(judge.part("load")).to_have_text("354 lb")


def test_the_judge_hears_that_the_phone_is_out_of_reach_and_declares(
    server: HallServer, hall: Hall, desk: Desk, judge: Person
) -> None:
    phone = hall.tablet(desk, 1, "call screen", PHONE)
    lift_opens(server)
    judge.touch(judge.part("change-load"))
    expect(judge.part("declare-says")).not_to_contain_text("out of reach")
    for page in [*phone.page.context.pages, *(person.page for person in hall.people if "/call" in person.page.url)]:
        page.goto("about:blank")
    expect(judge.part("declare-says")).to_contain_text("The lifter's phone is out of reach: ask, and declare here.")
    judge.part("load-up").click()
    judge.part("declare").click()
    expect(judge.part("load")).to_have_text("355 lb")
    expect(judge.part("kept")).to_have_text("0 waiting on this tablet")
    said = [mark["body"] for mark in desk.marks() if mark["kind"] == "declare" and mark["sheet"] == "asg_0/1/lane"]
    assert [body["load"]["amount"] for body in said if body["by"] == "judge"] == ["355"]


def on_the_board(board: Page, entry: str) -> Any:
    return board.locator(".lane", has_text=entry).locator(f'.lane-lifts[data-window="{LIFT}"]')


def test_the_board_shows_what_is_declared_and_what_came_of_it(server: HallServer, hall: Hall, desk: Desk) -> None:
    board = hall.watch(TABLET)
    lift_opens(server)
    line = on_the_board(board, LONG_TEAM)
    expect(line).to_be_visible()
    expect(line.locator(".lifts-attempt[data-best]")).to_contain_text("268 lb, good lift")
    expect(line.locator(".lifts-bar")).to_be_visible()
    declared = a_mark("asg_2", 900, "declare", 440_000, LIFT, load={"amount": "450", "unit": "lb"}, by="judge", member=1)
    told(desk, {**declared, "device": "desk"})
    other = on_the_board(board, "Pair number 3")
    expect(other.locator(".lifts-bar")).to_have_text("declared 450 lb (204.1 kg)")
    told(desk, {**a_mark("asg_2", 901, "begun", 441_000, LIFT, declared=declared["id"]), "device": "desk"})
    expect(other.locator(".lifts-bar[data-locked]")).to_have_text("lifting now 450 lb (204.1 kg)")
    assert board.evaluate("window.neverReloaded")


def test_a_column_of_openers_is_pasted_and_both_units_are_said_while_typing(desk: Desk) -> None:
    page = desk.open("/desk/events/evt/openers")
    fields = page.locator(".opener-load")
    fields.first.focus()
    page.evaluate(
        """() => {
          const data = new DataTransfer();
          data.setData('text/plain', '200\\t210 220\\n1O5\\n190');
          const pasted = new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true });
          document.activeElement.dispatchEvent(pasted);
        }"""
    )
    assert [fields.nth(n).input_value() for n in range(3)] == ["200", "1O5", "190"]
    assert page.locator(".opener-then").first.input_value() == "210 220"
    expect(page.locator(".opener-both").first).to_have_text("200 lb (90.7 kg)")
    expect(page.locator(".opener-both").nth(1)).to_contain_text("type 105")
    fields.nth(1).fill("105")
    fields.nth(1).press("ArrowDown")
    expect(fields.nth(2)).to_be_focused()
    desk.press("Save")
    expect(page.get_by_role("status").first).to_contain_text("Saved")
