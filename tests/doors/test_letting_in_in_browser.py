"""Letting in as people do it: the tablet shows a word, the desk sees the same without loading its page again, and answers."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from tests.browser.hall_server import HallServer, served
from tests.browser.people import PHONE, Desk, Hall, Person
from tests.faults.test_faults_in_hall import competition

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(120)]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HallServer]:
    with served(tmp_path_factory.mktemp("data"), competition(90, 5, 90, 5, 60)) as running:
        yield running


@pytest.fixture(scope="module")
def desk(hall: Hall) -> Desk:
    desk = hall.desk()
    desk.open("/desk/tablets")
    desk.press("Confirm each device")
    return desk


def takes(person: Person, hall: Hall, code: str) -> str:
    """Types a code, agrees, and reads out the word."""
    person.page.goto(f"{hall.url}/pair")
    person.page.get_by_label("The code on the desk's screen").fill(code)
    person.page.get_by_role("button", name="Continue").click()
    person.page.get_by_role("button", name="Pair it").click()
    word = person.page.locator("#word")
    expect(word).to_be_visible()
    return word.inner_text()


def test_a_tablet_opens_its_screen_by_itself_when_the_desk_has_let_it_in(hall: Hall, desk: Desk) -> None:
    tablet = hall.come()
    word = takes(tablet, hall, desk.invite(1).code)
    row = desk.page.locator(".asks", has_text=word)
    expect(row).to_contain_text("Lane 1, judging screen")
    row.get_by_role("button", name=f"Let it in {word}").click()
    expect(tablet.part("line")).to_contain_text("Heat 1")
    expect(desk.page.locator(".asks")).to_have_count(0)


def test_a_phone_that_is_not_ours_is_told_so_and_may_ask_again(hall: Hall, desk: Desk) -> None:
    phone = hall.come(PHONE)
    word = takes(phone, hall, desk.invite(1, "call screen").code)
    phone.page.reload()
    expect(phone.page.locator("#word")).to_have_text(word)
    desk.page.get_by_role("button", name=f"Turn away {word}").click()
    expect(phone.page.get_by_role("alert")).to_contain_text("The desk did not let this device in")
    again = takes(phone, hall, desk.invite(1, "call screen").code)
    desk.page.get_by_role("button", name=f"Let it in {again}").click()
    phone.page.wait_for_url("**/call")
