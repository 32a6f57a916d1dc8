"""A lane's call screen in a browser: when a flight is over it is the next lifter's, with what that lifter has planned."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Route, expect

from tests.browser.hall_server import served
from tests.browser.people import PHONE, a_hall
from tests.builders.platforms import a_meet, a_platform_file, lifter

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(60)]

FLIGHT_MS = 4 * 3_600_000  # longer than all lifts of a flight


def test_a_call_screen_passes_to_the_next_lifter_of_its_lane(browser: Browser, tmp_path: Path) -> None:
    with served(tmp_path, a_platform_file(a_meet(), lifters=2, flight=1)) as server, a_hall(browser, server.url) as people:
        desk = people.desk()
        phone = people.tablet(desk, 1, "call screen", PHONE)
        expect(phone.part("entry")).to_have_text(lifter(1))
        expect(phone.part("plan")).to_contain_text("105 kg")
        held, late = list[Route](), [True]  # the plan is late, and they type meanwhile
        phone.page.route("**/lane/packet*", lambda route: held.append(route) if late else route.continue_())
        server.go_was(FLIGHT_MS)
        expect(phone.part("entry")).to_have_text(lifter(2))
        expect(phone.part("plan")).to_contain_text("Not known here until the desk is reached.")
        phone.page.keyboard.type("1")
        expect(phone.part("declare-load")).to_have_text("1 kg")
        expect(phone.part("plan-add")).to_be_disabled()  # it would write over a plan that nobody here knows
        late.clear()
        for route in held:
            route.continue_()
        expect(phone.part("plan")).to_contain_text("110 kg")
        phone.page.keyboard.type("12")
        expect(phone.part("declare-load")).to_have_text("112 kg")
        phone.touch(phone.part("declare"))
        expect(phone.part("declared")).to_have_attribute("data-kept", "safe")
        assert [(mark["sheet"], mark["body"]["load"]["amount"]) for mark in desk.marks()] == [("asg_2/1/lane", "112")]
