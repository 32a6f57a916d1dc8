"""The composer in a real browser: from a workout read aloud to an event that runs right, in few actions."""

import re

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from app.rules.records.roster import Event
from app.rules.values.units import Load
from app.rules.workout.formats import CountTask, Format, ListTask
from tests.browser.hall_server import HallServer
from tests.compose.composer_page import bar, number, open_part, open_section

pytestmark = pytest.mark.browser


def event_called(server: HallServer, name: str) -> Event:
    roster = server.hall.projection.roster
    assert roster is not None
    return next(event for event in roster.events if event.name == name)


def make(page: Page, server: HallServer, name: str, look_for: str, preset: str, **knobs: str) -> Format:
    """Finds a preset, turns some knobs, makes the event: as many actions as a person needs."""
    page.goto("/desk/events")
    page.get_by_role("link", name="New event").click()
    page.get_by_label("Find").fill(look_for)
    expect(page.locator(".cards > li:visible").first).to_be_visible()
    page.get_by_role("link", name=re.compile(preset)).click()
    page.get_by_label("Name of the event").fill(name)
    for knob, text in knobs.items():
        page.locator(f"[name=knob-{knob}]").last.fill(text)
    page.get_by_role("button", name="Make this event").click()
    expect(page.locator(".notice").first).to_contain_text("Saved.")
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    return event_called(server, name).format


def test_a_scheme_with_a_cap(page: Page, server: HallServer) -> None:
    made = make(page, server, "Down", "scheme", "a scheme of repetitions", movements="Swings 24 kg\nDips", cap="10:00")
    work = made.tasks["work"]
    assert isinstance(work, ListTask) and [item.reps for item in work.items] == [16, 16, 12, 12, 8, 8]
    assert work.items[0].load == Load("24", "kg") and made.windows[0].seconds == 600
    expect(page.locator("#event-words")).to_contain_text("One window of 10:00, for time: 16-12-8 Swings (24 kg) and Dips.")


def test_a_mirrored_pair(page: Page, server: HallServer) -> None:
    made = make(page, server, "Pair two", "mirror", "Mirrored pair", window="1:30", rest="1:00")
    who = [(window.who, made.tasks[window.task].kind) for window in made.windows if window.task]
    assert [kind for _, kind in who] == ["count", "count", "lift", "lift", "count", "count"]
    assert [people for people, _ in who] == [(1,)] * 3 + [(2,)] * 3
    expect(page.locator("#strip .timeline-names")).to_be_visible()


def test_every_minute_on_the_minute_until_one_is_missed(page: Page, server: HallServer) -> None:
    made = make(page, server, "Minutes", "emom", "Every minute", movement="Burpees", reps="10", more="2", windows="8")
    task = next(iter(made.tasks.values()))
    assert isinstance(task, CountTask) and (task.target, task.grows, task.miss_puts_out) == (10, 2, True)
    assert [window.start for window in made.windows] == [60 * n for n in range(8)]


def test_knobs_show_at_once_what_they_make_and_what_is_wrong_with_them(page: Page) -> None:
    page.goto("/desk/events/new/for_time")
    page.evaluate("window.neverReloaded = true")
    page.get_by_label("Repetitions", exact=True).fill("10-8-6")
    expect(page.locator("#look")).to_contain_text("10-8-6 Lunges and Push-ups")
    cap = page.get_by_label("The time cap")
    cap.fill("ten")
    page.get_by_label("Name of the event").focus()
    expect(cap).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#knob-cap-said")).to_contain_text("not “ten”")
    page.get_by_role("button", name="Make this event").click()
    expect(page.locator("#problems")).to_contain_text("not “ten”")
    expect(page.get_by_label("The time cap")).to_have_value("ten")
    expect(page.get_by_label("Repetitions", exact=True)).to_have_value("10-8-6")
    page.get_by_label("The time cap").fill("9:00")
    expect(page.get_by_label("The time cap")).not_to_have_attribute("aria-invalid", "true")
    expect(page.locator("#look")).to_contain_text("One window of 9:00")


def press_slowly(page: Page, button: Locator, asked: str) -> None:
    """Presses a button; lifts the finger once the server has answered what the field that is left by that asked."""
    box = button.bounding_box()
    assert box
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    with page.expect_response(re.compile(asked)) as answer:
        page.mouse.down()
    answer.value.finished()
    page.evaluate(TWO_FRAMES)  # whatever would be drawn anew has been
    page.mouse.up()


TWO_FRAMES = "new Promise((done) => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(done)), 100))"


def test_a_press_counts_though_the_field_that_it_leaves_has_the_form_drawn_anew(editor: Page) -> None:
    editor.set_viewport_size({"width": 1280, "height": 3000})  # field and button at once: nothing scrolls, or grows above them
    add = editor.get_by_role("button", name="Add a task")
    tasks = editor.locator(".task").count()
    for section in ("about", "tasks"):
        open_section(editor, section)
    editor.locator("[name=members]").fill("3")
    press_slowly(editor, add, r"/desk/events/evt$")
    expect(editor.locator(".task")).to_have_count(tasks + 1)
    expect(editor.locator("[name=members]")).to_have_value("3")


def test_each_of_two_presses_counts_though_the_second_comes_before_the_first_is_answered(editor: Page) -> None:
    ties = editor.locator("[name$=-kind][name^=tie-]").count()
    editor.evaluate(
        """() => { for (const words of ['Add a variant', 'Add a tie-break'])
          [...document.querySelectorAll('button')].find((one) => one.textContent.trim() === words).click() }"""
    )
    expect(editor.locator("[name=variant-0-name]")).to_have_count(1)
    expect(editor.locator("[name$=-kind][name^=tie-]")).to_have_count(ties + 1)


def test_a_press_counts_though_what_the_field_makes_grows_above_the_button(page: Page, server: HallServer) -> None:
    page.set_viewport_size({"width": 768, "height": 3000})
    page.goto("/desk/events/new/for_time")
    expect(page.locator("#look")).not_to_be_empty()
    scheme = page.get_by_label("Repetitions", exact=True)
    scheme.fill("10-8-6")
    expect(page.locator("#look")).to_contain_text("10-8-6")
    scheme.fill("ten")  # what is wrong is said above the button
    press_slowly(page, page.get_by_role("button", name="Make this event"), "/look")
    expect(page.locator("#problems")).to_contain_text("not “ten”")


def drag(page: Page, window: int, seconds: int, end: bool = False) -> None:
    """Takes a bar in its middle, or at its end, and pulls it by so many seconds of the strip's scale."""
    box = bar(page, window).bounding_box()
    plot = page.locator("#strip .timeline-inner").bounding_box()
    assert box and plot
    scale = int(page.locator("#strip .timeline-inner").get_attribute("data-scale") or 0)
    x, y = box["x"] + (box["width"] - 6 if end else box["width"] / 2), box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + plot["width"] * seconds / scale / 2, y, steps=3)
    page.mouse.move(x + plot["width"] * seconds / scale, y, steps=3)
    page.mouse.up()


def test_a_window_is_dragged_and_the_table_agrees(editor: Page) -> None:
    drag(editor, 2, 30)
    expect(number(editor, 2, "start")).to_have_value("4:30")
    expect(number(editor, 3, "start")).to_have_value("")
    expect(number(editor, 3, "start")).to_have_attribute("placeholder", "7:30")
    expect(editor.locator("#strip .timeline-axis text[data-last]")).to_have_text("22:30")
    expect(bar(editor, 2).locator("..")).to_have_attribute("aria-label", re.compile("4:30 to 7:30"))
    drag(editor, 2, 20, end=True)
    expect(number(editor, 2, "seconds")).to_have_value("3:20")
    editor.get_by_label("Move later ones too").uncheck()
    drag(editor, 0, 15, end=True)
    expect(number(editor, 0, "seconds")).to_have_value("3:15")
    expect(number(editor, 1, "start")).to_have_value("3:00")
    assert editor.evaluate("window.neverReloaded")


VISIBLE = """() => [...document.querySelectorAll('main input:not([type=hidden]), main select, main textarea')]
  .filter((one) => one.checkVisibility()).length"""


def test_the_page_is_the_timeline_and_the_window_that_is_chosen(editor: Page) -> None:
    open_rows, open_tasks = editor.locator("tr[data-window]:visible"), editor.locator("#tasks > .card:visible")
    for width, height, most in ((1280, 800, 1800), (390, 844, 2400)):
        editor.set_viewport_size({"width": width, "height": height})
        assert editor.evaluate(VISIBLE) < 20, "222 fields stood open on this page"
        bar(editor, 4).click()
        expect(open_rows).to_have_id("window-4")
        expect(open_tasks).to_have_count(1)
        expect(open_tasks.locator("[name$=-kind]")).to_have_value("lift")
        assert editor.evaluate("document.documentElement.scrollHeight") < most, "it was 3,706 px for a lift"
        bar(editor, 0).click()
        expect(open_tasks.locator("[name$=-kind]")).to_have_value("count")
    expect(editor.locator("#tasks > .section-line")).to_contain_text("handtaps")
    open_section(editor, "windows")
    expect(editor.locator("#window-2 .fold-line")).to_have_text("4:00, 3:00 long · handtaps · B")
    editor.locator("#window-2 .fold-line").click()
    editor.locator("#window-2-seconds").fill("two")
    editor.get_by_role("button", name="Save the event").first.click()
    bar(editor, 4).click()
    expect(editor.locator("tr[data-window][data-open]")).to_have_count(2)
    editor.locator("#problems a").first.click()
    expect(editor.locator("#window-2-seconds")).to_be_visible()


def test_what_is_folded_away_says_what_is_set_there_and_opens_for_what_is_wrong(editor: Page) -> None:
    bar(editor, 4).click()
    more = editor.locator("#task-2 details", has_text="Tries, and the time for one")
    seconds = more.locator("[name$=lift-attempt_seconds]")
    expect(seconds).to_be_hidden()
    more.locator("summary").click()
    seconds.fill("90")
    expect(more.locator("summary")).to_contain_text("Seconds for an attempt: 90")
    seconds.fill("soon")
    more.locator("summary").click()
    expect(seconds).to_be_visible()
    expect(editor.locator("#about > .section-line")).to_contain_text("Members of an entry: 2")
    # What is wrong opens the section that it is in.
    members = editor.locator("[name=members]")
    expect(members).to_be_hidden()
    editor.evaluate("document.querySelector('[name=members]').value = 'many'")
    editor.get_by_role("button", name="Save the event").first.click()
    expect(members).to_be_visible()
    expect(seconds).to_be_visible()


def test_a_finger_stretches_a_window_at_its_grips(editor: Page, context: BrowserContext) -> None:
    bar(editor, 4).tap()
    grip = editor.locator(".flag[data-edge=end]")
    expect(grip).to_have_text("11:00")
    box = grip.bounding_box()
    assert box and box["height"] >= 24 and box["width"] >= 24
    plot = editor.locator("#strip .timeline-inner").bounding_box()
    scale = int(editor.locator("#strip .timeline-inner").get_attribute("data-scale") or 0)
    assert plot
    touch = context.new_cdp_session(editor)
    x, y, by = box["x"] + 10, box["y"] + 10, plot["width"] * 60 / scale
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for part in (0.3, 0.7, 1.0):
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x + by * part, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(number(editor, 4, "seconds")).to_have_value("4:00")
    expect(grip).to_have_text("12:00")


def test_a_window_is_moved_and_stretched_by_keys_and_keeps_the_focus(editor: Page) -> None:
    number(editor, 2, "seconds").focus()
    bar(editor, 2).locator("..").focus()
    editor.keyboard.press("ArrowRight")
    editor.keyboard.press("ArrowRight")
    editor.keyboard.press("Shift+ArrowLeft")
    expect(number(editor, 2, "start")).to_have_value("4:10")
    expect(number(editor, 2, "seconds")).to_have_value("2:55")
    expect(editor.locator("#strip .timeline-axis text[data-last]")).to_have_text("22:05")
    expect(bar(editor, 2).locator("..")).to_be_focused()
    expect(editor.locator("[data-role=chosen]")).to_have_text("Window 3: 4:10 to 7:05, 2:55 long")
    editor.keyboard.press("ArrowDown")
    expect(bar(editor, 3).locator("..")).to_be_focused()
    editor.keyboard.press("Enter")
    expect(number(editor, 3, "seconds")).to_be_focused()
    box = number(editor, 3, "seconds").bounding_box()
    panel = editor.locator("#strip-panel").bounding_box()
    assert box and panel and box["y"] >= panel["y"] + panel["height"], "what has the focus is not behind the strip"


def test_numbers_move_the_strip_and_warnings_come_beside_their_rows(editor: Page) -> None:
    number(editor, 4, "start").fill("1:00")
    assert float((bar(editor, 4).locator("..").get_attribute("x") or "").rstrip("%")) < 6
    note = editor.locator("[data-notes='window-4']")
    expect(note).to_have_text("Member A also works in window 1 at the same time.")
    expect(editor.locator("#strip .timeline-bar[data-window='4'] .timeline-look")).to_have_count(1)
    open_part(editor, "#task-2")
    editor.locator("#task-2-lift-step").fill("0.5 kg")
    expect(editor.locator("[data-notes='task-2']")).to_contain_text("smaller than two of the smallest plate")
    number(editor, 4, "start").fill("")
    expect(note).to_be_hidden()
    number(editor, 2, "seconds").fill("two")
    open_section(editor, "about")
    editor.locator("#name").focus()
    expect(number(editor, 2, "seconds")).to_have_attribute("aria-invalid", "true")
    expect(editor.locator("#window-2-seconds-said")).to_contain_text("minutes:seconds")
    number(editor, 2, "seconds").fill("2:00")
    expect(number(editor, 2, "seconds")).not_to_have_attribute("aria-invalid", "true")


def test_changes_are_taken_back_and_done_again_before_anything_is_stored(editor: Page, server: HallServer) -> None:
    before = event_called(server, "Turns")
    undo, redo = editor.locator("[data-do=undo]"), editor.locator("[data-do=redo]")
    expect(undo).to_be_disabled()
    drag(editor, 2, 30)
    number(editor, 0, "seconds").fill("5:00")
    open_section(editor, "windows")
    open_part(editor, "tr[data-window='9']")
    editor.get_by_role("button", name="Remove window 10").click()
    rows = editor.locator(".edit-table tbody tr")
    expect(rows).to_have_count(9)
    expect(undo).to_have_attribute("aria-label", "Undo: remove window")
    undo.click()
    expect(rows).to_have_count(10)
    undo.click()
    expect(number(editor, 0, "seconds")).to_have_value("3:00")
    expect(number(editor, 2, "start")).to_have_value("4:30")
    editor.locator("h1").click()
    editor.keyboard.press("Control+z")
    expect(number(editor, 2, "start")).to_have_value("")
    expect(undo).to_be_disabled()
    redo.click()
    expect(number(editor, 2, "start")).to_have_value("4:30")
    assert event_called(server, "Turns") == before and editor.evaluate("window.neverReloaded")


def test_windows_are_added_copied_and_removed_from_the_strip(editor: Page) -> None:
    rows = editor.locator(".edit-table tbody tr")
    bar(editor, 2).click()
    editor.get_by_role("button", name="Add one after").click()
    expect(rows).to_have_count(11)
    expect(number(editor, 3, "task")).to_have_value(number(editor, 2, "task").input_value())
    bar(editor, 3).locator("..").focus()
    editor.keyboard.press("Delete")
    expect(rows).to_have_count(10)
    expect(editor.locator("#strip .timeline-bar[role=option]")).to_have_count(10)


def test_more_members_can_be_chosen_as_soon_as_there_are_more(editor: Page) -> None:
    open_section(editor, "about")
    editor.get_by_label("Members of an entry").fill("3")
    editor.get_by_label("Loads in").focus()
    expect(editor.locator("#strip .timeline-names text")).to_have_text(["A", "B", "C"])
    expect(editor.get_by_label("Loads in")).to_be_focused()
    number(editor, 0, "who").select_option("1+3")
    expect(editor.locator("#strip .timeline-bar[data-window='0']")).to_have_count(2)
    expect(editor.locator("#event-words")).to_contain_text("A and C")


def test_a_dragged_event_is_stored_as_it_is_seen(page: Page, server: HallServer) -> None:
    make(page, server, "Dragged", "stations", "Stations", window="1:00", rest="0:30", rounds="1", movements="Burpees\nRow")
    drag(page, 0, 30, end=True)
    expect(number(page, 0, "seconds")).to_have_value("1:30")
    with page.expect_navigation():
        page.get_by_role("button", name="Save the event").first.click()
    expect(page.locator(".notice")).to_contain_text("Saved.")
    assert [(w.start, w.seconds) for w in event_called(server, "Dragged").format.windows] == [(0, 90), (90, 30), (120, 60)]


def test_a_desk_that_was_logged_out_keeps_what_is_on_the_page(editor: Page, context: BrowserContext) -> None:
    cookies = context.cookies()
    context.clear_cookies()
    number(editor, 0, "seconds").fill("5:00")
    expect(editor.locator("#desk-line")).to_contain_text("This desk was logged out.")
    expect(number(editor, 0, "seconds")).to_have_value("5:00")
    open_section(editor, "windows")
    editor.get_by_role("button", name="Copy window 1", exact=True).click()
    expect(editor.locator("#desk-line")).to_contain_text("This desk was logged out.")
    expect(editor.locator("#strip .timeline-bar[role=option]")).to_have_count(10)
    context.add_cookies(cookies)  # type: ignore[arg-type]
    number(editor, 0, "seconds").fill("3:30")
    expect(editor.locator("#desk-line")).to_be_hidden()
    expect(editor.locator("#strip .timeline-axis text[data-last]")).to_have_text("22:30")
