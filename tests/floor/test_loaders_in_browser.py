"""The loaders' view in a real browser: the bar to scale, what to take off and put on, also with the phone offline."""

from typing import Any

import pytest
from playwright.sync_api import expect

from app.rules.records.document import CompetitionFile
from tests.browser.hall_server import HallServer
from tests.browser.moments import a_heat_of_everything, set_clock
from tests.browser.people import PHONE, Desk, Hall, Person
from tests.builders.pairs import a_mark

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.timeout(180)]

SQUAT = 3  # the window of everything in which a bar is lifted


@pytest.fixture(scope="module")
def competition() -> CompetitionFile:
    return a_heat_of_everything()


@pytest.fixture(scope="module")
def judge(hall: Hall, desk: Desk) -> Person:
    return hall.tablet(desk, 1)


@pytest.fixture(scope="module")
def loader(hall: Hall, desk: Desk, server: HallServer, judge: Person) -> Person:
    """A phone beside lane 1, turned to the loaders; the clock is set once, for the judge as well."""
    person = hall.tablet(desk, 1, "call screen", PHONE)
    set_clock(server, "lift")
    judge.shows("lift")
    person.touch(person.part("turn-view"))
    return person


class Declared:
    """Loads that the judge declares, one after another."""

    def __init__(self, server: HallServer) -> None:
        self.server, self.count = server, 0

    def pounds(self, amount: str, assignment: str = "asg_0", lane: int = 1) -> str:
        """Declares a load; returns the mark's id."""
        self.count += 1
        load = {"amount": amount, "unit": "lb"}
        mark = a_mark(assignment, 700 + self.count, "declare", 446_000 + self.count, SQUAT, load=load, by="judge", member=1)
        self.server.mark([mark])
        self.server.tell(f"lane:{lane}", {"type": "marks", "marks": [mark]})
        return str(mark["id"])


@pytest.fixture(scope="module")
def declared(server: HallServer) -> Declared:
    return Declared(server)


def stored(server: HallServer) -> list[Any]:
    """What was said to be on a bar, in the order of its arrival."""
    struck = {mark.body["mark"] for mark in server.hall.ledger.all_marks() if mark.kind == "strike"}
    found = [mark for mark in server.hall.ledger.all_marks() if mark.kind == "loaded" and mark.id not in struck]
    return [mark.body for mark in sorted(found, key=lambda mark: (mark.epoch, mark.seq))]


def pounds(*amounts: str) -> list[dict[str, str]]:
    return [{"amount": amount, "unit": "lb"} for amount in amounts]


def test_the_bar_is_loaded_and_next_time_only_what_differs_is_moved(
    server: HallServer, loader: Person, declared: Declared
) -> None:
    key = declared.pounds("215")
    expect(loader.part("load-next")).to_have_text("215 lb")
    expect(loader.part("put-on").locator("li")).to_have_text(["2 × 45 lb"])
    loader.touch(loader.part("bar-loaded"))
    expect(loader.page.locator(".loaders[data-ready]")).to_be_visible()
    expect(loader.part("bar-loaded")).to_be_hidden()
    until_stored(server, loader, 1)
    told = stored(server)[0]
    assert (told["by"], told["declared"], told["side"]) == ("loader", key, pounds("45", "45"))
    declared.pounds("195")
    expect(loader.part("load-next")).to_have_text("195 lb")
    expect(loader.part("take-off").locator("li")).to_have_text(["45 lb"])
    expect(loader.part("put-on").locator("li")).to_have_text(["35 lb"])


def until_stored(server: HallServer, person: Person, count: int) -> None:
    """Waits until the desk holds so many words on bars."""
    for _ in range(400):
        if len(stored(server)) == count:
            return
        person.page.wait_for_timeout(50)
    raise AssertionError(f"The desk holds {len(stored(server))} marks, not {count}.")


PLATES_STAND = """() => {
  const heights = [...document.querySelectorAll('[data-role="bar"] .bar-plate')].map((one) => one.getBoundingClientRect().height);
  return heights.length > 0 && heights.every((height) => height > 0) && heights;
}"""


def test_each_plate_is_drawn_to_scale_with_its_number_and_unit(loader: Person, declared: Declared) -> None:
    declared.pounds("220")
    expect(loader.part("put-on").locator("li")).to_have_text(["2.5 lb"])
    drawn = loader.part("bar")
    expect(drawn).to_have_attribute("aria-label", "One side, from inside: 2 × 45 + 2.5 lb")
    # Measured in one go, when all are laid out: the bar is drawn anew with every word that comes.
    heights = loader.page.wait_for_function(PLATES_STAND).json_value()
    assert len(heights) == 3 and heights[0] / heights[2] == pytest.approx(450 / 160, rel=0.05)
    assert drawn.locator("text").all_text_contents() == ["45", "lb", "45", "lb", "2.5", "lb"]
    assert loader.page.locator("[data-fresh]").count() == 1


def test_a_load_that_can_not_be_made_names_the_nearest(loader: Person, declared: Declared) -> None:
    declared.pounds("216.5")
    expect(loader.part("load-odd")).to_contain_text("215 lb below, 220 lb above")
    expect(loader.part("bar-loaded")).to_be_hidden()


def test_offline_the_loaders_go_on_and_the_desk_hears_it_later(server: HallServer, loader: Person, declared: Declared) -> None:
    declared.pounds("225")
    expect(loader.part("put-on").locator("li")).to_have_text(["5 lb"])
    before = len(stored(server))
    loader.cut_off()
    loader.touch(loader.part("bar-loaded"))
    expect(loader.page.locator(".loaders[data-ready]")).to_be_visible()
    assert len(stored(server)) == before
    loader.page.context.set_offline(False)
    until_stored(server, loader, before + 1)
    assert stored(server)[-1]["side"] == pounds("45", "45", "5")


def test_what_is_really_on_the_bar_is_told_plate_by_plate_and_taken_back(
    server: HallServer, loader: Person, declared: Declared
) -> None:
    declared.pounds("235")
    expect(loader.part("load-next")).to_have_text("235 lb")
    before = len(stored(server))
    loader.touch(loader.part("other-load"))
    loader.touch(loader.part("actual-empty"))
    for kind in ("45", "25", "2.5"):
        loader.touch(loader.part("kinds").get_by_role("button", name=f"+ {kind} lb", exact=True))
    expect(loader.part("actual-total")).to_have_text("180 lb (about 81.647 kg)")
    loader.touch(loader.part("actual-is"))
    until_stored(server, loader, before + 1)
    told = stored(server)[-1]
    assert (told["load"], told["side"]) == (pounds("180")[0], pounds("45", "25", "2.5"))
    expect(loader.part("take-off").locator("li")).to_have_text(["2.5 lb"])
    expect(loader.part("put-on").locator("li")).to_have_text(["25 lb", "5 lb"])  # 45 + 25 + 25 + 5: two 45s would be a move more
    ends, begins = loader.part("put-on").bounding_box(), loader.page.locator(".load-body .load-acts").bounding_box()
    assert ends and begins and ends["y"] + ends["height"] <= begins["y"], "what goes on lies behind the buttons"
    loader.touch(loader.part("unload"))
    until_stored(server, loader, before)


def test_the_judge_sees_the_bar_as_it_was_loaded(judge: Person, loader: Person, declared: Declared) -> None:
    declared.pounds("245")
    expect(judge.part("bar-glance")).to_contain_text("2 × 45 + 15 lb a side")
    expect(loader.part("load-next")).to_have_text("245 lb")
    loader.touch(loader.part("bar-loaded"))
    expect(judge.part("bar-glance")).to_contain_text("Loaded: 2 × 45 + 15 lb a side")


def test_a_lane_without_plates_says_so_and_shows_the_load(server: HallServer, hall: Hall, desk: Desk, declared: Declared) -> None:
    person = hall.tablet(desk, 2, "call screen", PHONE)
    server.go_was(450_000, lanes=[2])
    declared.pounds("185", "asg_1", 2)
    person.touch(person.part("turn-view"))
    expect(person.part("load-next")).to_have_text("185 lb")
    expect(person.part("load-odd")).to_contain_text("given this lane no plates")
    expect(person.part("bar-loaded")).to_be_hidden()
