"""From pasted text to an event in a real browser: counted in taps, words and windows lighting each other."""

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.hall_server import HallServer

pytestmark = pytest.mark.browser
TEXT = "For time, cap 9\n21-15-9\nthrusters 43/30 kg\npull-ups\nBring a towel."
MOST_TAPS = 2


def test_a_pasted_workout_is_an_event_after_one_question_and_two_taps(page: Page, server: HallServer) -> None:
    page.goto("/desk/workout")
    page.get_by_label("The workout").fill(TEXT)
    page.get_by_text("Men, then women").click()
    taps = 1
    expect(page.locator("main").get_by_text("Everything is understood.")).to_be_visible()
    page.locator("[data-line='0']").hover()
    expect(page.locator(".workout-piece.lit").first).to_be_visible()
    page.get_by_label("Name of the event").hover()
    expect(page.locator(".workout-piece.lit")).to_have_count(0)
    page.locator(".workout-piece", has_text="thrusters").first.hover()
    expect(page.locator("[data-line='0']")).to_have_class("lit")
    page.get_by_label("Name of the event").fill("Pasted")
    page.get_by_role("button", name="Make this event").click()
    taps += 1
    expect(page.locator(".notice").first).to_contain_text("Saved.")
    expect(page.get_by_role("heading", level=1)).to_have_text("Pasted")
    assert taps <= MOST_TAPS


def test_what_stands_in_red_is_selected_in_the_text_and_typed_anew(page: Page, server: HallServer) -> None:
    page.goto("/desk/workout")
    page.get_by_label("The workout").fill("🔥 Event 4\nAMRAP 7\n9 burpees\n10 cal row each side")
    page.get_by_role("link", name="Change it").click()
    page.keyboard.type("10 cal row")
    expect(page.locator("main").get_by_text("Everything is understood.")).to_be_visible()
    expect(page.get_by_label("The workout")).to_have_value("🔥 Event 4\nAMRAP 7\n9 burpees\n10 cal row")


def test_what_the_desk_did_not_answer_is_asked_again(page: Page, server: HallServer) -> None:
    lost: list[str] = []

    def lose(route: Route) -> None:
        lost.append(route.request.url)
        route.fulfill(status=204) if len(lost) == 1 else route.continue_()

    page.route("**/desk/workout/look", lose)
    page.goto("/desk/workout")
    page.get_by_label("The workout").fill("AMRAP 7: 9 burpees")
    expect(page.locator("#look")).to_contain_text("9 burpees")
    assert len(lost) == 2
    page.wait_for_timeout(2_000)
    assert len(lost) == 2, "what was read is not asked again"
