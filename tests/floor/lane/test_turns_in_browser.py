"""Work that members share, on real screens: a touch for each of them, who lifts, a load said before one's own window; the sheet's
total; the coming heat before old sheets."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, expect

from app.rules.result.scoring import score_words
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import ALL_SIZES, faults_at, found_on
from tests.browser.people import PHONE, TABLET, Desk, Person, a_hall
from tests.browser.turns import AFTER, COUNT, FIRST_LIFT, LIST, MEASURE, NAMES, SECOND_LIFT, SET, SHARED_BAR, a_day_of_sharing

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.timeout(180)]

KIT, WILHELMINA, BO, MAXIMILIANE = 1, 2, 3, 4


@dataclass(frozen=True)
class Floor:
    """The server, its desk, the lane's tablet and its lifters' phone."""

    server: HallServer
    desk: Desk
    lane: Person
    phone: Person

    def at(self, second: int, view: str, heat: int = 1) -> None:
        """Moves a heat's clock, by way of the wait before GO, so that nobody is still looking at the window before."""
        for moment, shown in ((SET, "set"), (second, view)):
            self.server.go_was(moment * 1000, heat=f"heat_{heat}")
            self.lane.shows(shown)

    def marks(self, *kinds: str, at_least: int = 0) -> list[dict[str, Any]]:
        """The marks of these kinds that the desk holds; `at_least` so many are waited for: the last may be on their way."""
        until = time.monotonic() + 10
        while True:
            found = [mark for mark in self.desk.marks() if mark["kind"] in kinds]
            if len(found) >= at_least or time.monotonic() > until:
                return found
            time.sleep(0.05)


@pytest.fixture(scope="module")
def floor(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Floor]:
    with served(tmp_path_factory.mktemp("data"), a_day_of_sharing()) as server, a_hall(browser, server.url) as hall:
        desk = hall.desk()
        yield Floor(server, desk, hall.tablet(desk, 1), hall.tablet(desk, 1, "call screen", PHONE))


def looks_well(person: Person) -> None:
    """Whether a screen fits every size, and everybody can use it at one."""
    assert faults_at(person.page, sizes=ALL_SIZES) == {}
    person.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    assert found_on(person.page) == []


def all_safe(person: Person) -> None:
    """Waits until the desk holds all that this tablet has marked."""
    expect(person.part("kept")).to_contain_text("0")


def seen(person: Person, role: str) -> Locator:
    """The one part of that role that is in sight."""
    return person.part(role).locator("visible=true")


def test_each_member_has_a_target_and_every_mark_says_whose_it_is(floor: Floor) -> None:
    floor.at(COUNT, "count")
    lane = floor.lane
    expect(lane.part("who")).to_have_text("Who works?")
    lane.touch(lane.part("no-rep"))
    lane.touch(lane.part(f"no-rep-{WILHELMINA}"))
    for member in (KIT, KIT, BO):
        lane.touch(lane.part(f"member-{member}"))
    expect(lane.part("who")).to_have_text(NAMES[BO - 1])
    expect(lane.part("no-rep-whose")).to_have_text(NAMES[BO - 1])
    lane.touch(lane.part("no-rep"))
    expect(lane.part(f"count-{KIT}")).to_have_text("2")
    expect(lane.part("members-left")).to_have_text("3")
    all_safe(lane)
    told = [(mark["kind"], mark["body"].get("member")) for mark in floor.marks("rep", "norep", at_least=5)]
    assert told == [("norep", WILHELMINA), ("rep", KIT), ("rep", KIT), ("rep", BO), ("norep", BO)]
    looks_well(lane)


def test_a_fault_of_somebody_elses_and_a_key_for_each_member(floor: Floor) -> None:
    lane = floor.lane
    before = len(floor.marks("rep", "norep"))
    with lane.holding(lane.part("no-rep")):
        expect(lane.part("no-rep-other")).to_be_visible()
    lane.touch(lane.part("no-rep-other"))
    lane.touch(lane.part(f"no-rep-{KIT}"))
    lane.touch(lane.page.locator("[data-fault]").last)
    lane.page.keyboard.press("d")
    lane.page.keyboard.press("d")
    expect(lane.part(f"count-{MAXIMILIANE}")).to_have_text("2")
    all_safe(lane)
    told = [(mark["kind"], mark["body"]["member"]) for mark in floor.marks("rep", "norep", at_least=before + 3)[before:]]
    assert told == [("norep", KIT), ("rep", MAXIMILIANE), ("rep", MAXIMILIANE)]


def test_a_shared_work_list_is_counted_by_member_and_goes_on_together(floor: Floor) -> None:
    floor.at(LIST, "list")
    lane = floor.lane
    expect(lane.part("members-left")).to_have_text("20")
    for member in (KIT, WILHELMINA, WILHELMINA):
        lane.touch(lane.part(f"member-{member}"))
    expect(lane.part("members-left")).to_have_text("17")
    expect(lane.page.locator(".members-unit")).to_have_text("to go")
    expect(lane.part(f"count-{WILHELMINA}")).to_have_text("2")
    looks_well(lane)


def test_who_lifts_is_picked_with_a_touch_and_the_phone_shows_whose_turn_it_is(floor: Floor) -> None:
    floor.at(SHARED_BAR, "lift")
    lane, phone = floor.lane, floor.phone
    expect(phone.part("who")).to_contain_text("Nobody has declared yet")
    expect(lane.part("declare").locator("visible=true")).to_have_count(0)
    looks_well(lane)
    lane.touch(seen(lane, f"picks-{MAXIMILIANE}"))
    lane.touch(lane.part("lifter"))
    lane.touch(seen(lane, f"picks-{BO}"))
    expect(lane.part("who")).to_have_text(NAMES[BO - 1])
    looks_well(lane)
    lane.touch(seen(lane, "load-up"))
    lane.touch(seen(lane, "declare"))
    expect(phone.part("who")).to_contain_text(f"{NAMES[BO - 1]} is up")
    lane.touch(lane.part("begun"))
    expect(phone.part("who")).to_contain_text(f"{NAMES[BO - 1]} is lifting")
    lane.touch(lane.part("good-lift"))
    lane.touch(lane.part("racked"))
    expect(seen(lane, f"picks-{BO}")).to_contain_text("attempts used: 1 of 3, best 21 kg")
    all_safe(lane)
    told = [(mark["kind"], mark["body"]["member"]) for mark in floor.marks("declare", "begun", "lift", at_least=3)]
    assert told == [("declare", BO), ("begun", BO), ("lift", BO)]


def test_a_member_declares_on_the_phone_while_another_one_lifts(floor: Floor) -> None:
    floor.at(FIRST_LIFT, "lift")
    lane, phone = floor.lane, floor.phone
    phone.touch(phone.page.get_by_role("button", name=NAMES[WILHELMINA - 1]))
    expect(phone.part("until")).to_contain_text("The lift begins in")
    for _ in range(3):
        phone.touch(phone.part("load-up"))
    phone.touch(phone.part("declare"))
    expect(phone.part("declared")).to_contain_text("at the desk: the judge sees it when this turn comes")
    assert faults_at(phone.page, sizes={"phone": PHONE}) == {}
    expect(lane.part("declare").locator("visible=true")).to_have_count(1)  # A's own bar is still to be declared
    floor.at(SECOND_LIFT, "lift")
    expect(lane.part("load")).to_have_text("23 kg")
    expect(lane.part("declared-by")).to_contain_text("declared by the lifter")
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("good-lift"))
    lane.touch(lane.part("racked"))


def test_a_number_is_typed_after_a_touch_on_whose_it_is(floor: Floor) -> None:
    floor.at(MEASURE, "measure")
    lane = floor.lane
    for member, typed in ((KIT, "7"), (BO, "9"), (KIT, "8")):
        lane.touch(seen(lane, f"picks-{member}"))
        expect(lane.part("who")).to_have_text(NAMES[member - 1])
        lane.page.keyboard.press(typed)
        lane.touch(lane.part("measure"))
    expect(seen(lane, f"picks-{KIT}")).to_contain_text("8 m")
    assert faults_at(lane.page, sizes=ALL_SIZES) == {}
    lane.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    lane.touch(seen(lane, f"picks-{BO}"))
    assert faults_at(lane.page, sizes=ALL_SIZES) == {}
    lane.page.set_viewport_size(TABLET)  # type: ignore[arg-type]


# What each total is made of.
EACH = ["5 reps + 3 reps", "C Bo 21 kg + A Kit 0 kg + B Wilhelmina 23 kg", "A Kit 8 m + C Bo 9 m"]


def test_the_sheet_to_be_signed_says_its_total_as_the_results_do(floor: Floor) -> None:
    floor.at(AFTER, "after")
    lane = floor.lane
    all_safe(lane)
    tables = floor.server.hall.projection.event_results("evt").tables
    said = [score_words(row.score) for table in tables for row in table.rows if row.score]
    assert lane.part("sheet-total").all_text_contents() == said == ["8 reps", "44 kg", "17 m"]
    assert lane.part("sheet-total-each").all_text_contents() == EACH
    assert lane.part("sheet-shares").all_text_contents()[:2] == [
        "A Kit 2, B Wilhelmina 0, C Bo 1, D Maximiliane 2",
        "A Kit 1, B Wilhelmina 2",
    ]
    looks_well(lane)


def test_the_coming_heat_comes_before_old_sheets_which_wait_in_a_list(floor: Floor) -> None:
    floor.at(AFTER, "after")
    lane = floor.lane
    expect(lane.part("coming")).to_contain_text("Next: heat 2")
    lane.touch(lane.part("next-heat"))
    lane.shows("before")
    expect(lane.part("entry")).to_contain_text("Four number 2")
    floor.at(COUNT, "count", heat=2)
    lane.touch(lane.part(f"member-{KIT}"))
    floor.at(AFTER, "after", heat=2)
    expect(lane.part("entry")).to_contain_text("Four number 2")
    lane.touch(lane.part("next-heat"))
    expect(lane.part("entry")).to_contain_text("Four number 3")
    expect(seen(lane, "to-sign")).to_have_text("Sheets to sign: 2")
    lane.touch(seen(lane, "to-sign"))
    looks_well(lane)
    lane.touch(seen(lane, "open-sheet").first)
    lane.shows("after")
    expect(seen(lane, "to-sign")).to_have_text("Sheets to sign: 1")
    lane.part("sign-judge").scroll_into_view_if_needed()
    lane.page.locator("#sign-judge").fill("Pim Vale")
    lane.touch(lane.part("sign-judge"))
    lane.touch(lane.part("next-heat"))
    lane.shows("before")
    expect(seen(lane, "to-sign")).to_have_text("Sheets to sign: 1")
    lane.touch(seen(lane, "to-sign"))
    lane.touch(seen(lane, "open-sheet"))
    lane.shows("after")
    floor.server.go_was(SET * 1000, heat="heat_3")
    lane.shows("set")
    assert (lane.errors, floor.phone.errors) == ([], [])
