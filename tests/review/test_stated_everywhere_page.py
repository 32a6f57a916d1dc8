"""Every public page that shows a score says how final it is, by the one rule that knows it: none looks final before."""

import re

from app.results.results_state import event_state
from tests.builders.halls import House
from tests.review.test_review_page import PAGE, judged, text_of
from tests.review.test_review_results_page import EVENT, over, sign_form

ENTRY = "ent_2"  # two points, in the heat that is judged
PAGES = (
    *("/board", f"/follow/{ENTRY}", "/announcer", f"/announcer/{EVENT}/sheet", "/results", f"/results/{EVENT}", "/podium"),
    f"/pictures/{EVENT}",
)


def unsaid(house: House) -> list[str]:
    """The pages that do not say how final the event is now."""
    hall, visitor = house.app.state.hall, house.browser("192.0.2.9")
    said = event_state(hall, hall.projection.roster.events[0])
    why = re.search(rf'href="(/results/{EVENT}/[^"]+/{ENTRY})"', visitor.get("/results", headers=PAGE).text)
    assert why
    answers = {page: visitor.get(page, headers=PAGE) for page in (*PAGES, why[1])}
    assert {answer.status_code for answer in answers.values()} == {200}
    return [page for page, answer in answers.items() if said not in text_of(answer)]


def test_while_a_heat_runs_after_its_bell_and_once_it_is_signed_off_each_page_says_so(house: House) -> None:
    judged(house)
    hall = house.app.state.hall
    assert event_state(hall, hall.projection.roster.events[0]).startswith("Provisional")
    assert unsaid(house) == []
    board = house.browser().get("/board", headers=PAGE).text
    assert "Provisional" in board.split('id="board-floor"')[1], "the lanes come first on a phone, and say it themselves"


def test_after_the_bell_and_once_it_is_signed_off_too(house: House) -> None:
    desk = over(house)
    assert unsaid(house) == []
    desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE)
    hall = house.app.state.hall
    assert event_state(hall, hall.projection.roster.events[0]).startswith("Signed off by")
    assert unsaid(house) == []
