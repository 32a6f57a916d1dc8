"""Until when protests and appeals may be filed, whatever was signed or closed; told with its day where that is another."""

from datetime import datetime

from app.results.results_state import moment_text
from tests.builders.halls import House, TestClient
from tests.review.test_review_page import PAGE, judged, text_of
from tests.review.test_review_results_page import EVENT, MINUTE, RESULTS, over, own_link, sign_form

NO = {"decision": "refused", "by": "Ruth", "why": "Both were short"}
ANNOUNCE = f"/review/events/{EVENT}/announce"


def ruled(desk: TestClient, **rules: str) -> None:
    asked = {"name": "Meet", "unit": "kg", "protest_minutes": "30", "protest_from": "announcement", "appeal_minutes": "15"}
    assert desk.post("/desk/competition", data=asked | rules, headers=PAGE).status_code == 303


def test_a_sign_off_before_the_time_of_an_answer_is_over_does_not_end_it(house: House) -> None:
    desk = over(house)
    ruled(desk)
    phone, link = house.browser(), own_link(desk, "Lanterns")
    for text in ("Two short", "One more"):
        assert phone.post(link, data={"event": EVENT, "text": text}, headers=PAGE).status_code == 303
    first, second = (one.id for one in house.app.state.hall.projection.roster.protests)
    for one in (first, second):
        desk.post(f"/review/protests/{one}", data=NO)
    assert desk.post(f"/review/events/{EVENT}/sign-off", data=sign_form(desk), headers=PAGE).status_code == 303
    assert "Appeal, until" in text_of(phone.get(link, headers=PAGE))
    assert phone.post(link, data={"against": first, "text": "Long enough"}, headers=PAGE).status_code == 303
    assert "1 protest came after the sign-off" in text_of(desk.get(RESULTS, headers=PAGE))
    house.clocks.pass_ms(16 * MINUTE)
    late = phone.post(link, data={"against": second, "text": "Long enough"}, headers=PAGE)
    assert late.status_code == 422 and "is signed off. Speak to the head judge." in late.text


def test_a_result_is_not_announced_while_a_heat_is_on_the_floor(house: House) -> None:
    desk = judged(house)
    for heat in ("het_2", "het_3"):
        desk.post(f"/desk/heats/{heat}/delete", data={}, headers=PAGE)
    ruled(desk)
    early = desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE)
    assert early.status_code == 422 and "is on the floor" in early.text
    assert desk.post("/desk/heats/het_1/close", data={}).status_code == 200
    assert desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE).status_code == 303


def test_a_heat_that_was_closed_while_it_was_held_is_over(house: House) -> None:
    desk = judged(house)
    for heat in ("het_2", "het_3"):
        desk.post(f"/desk/heats/{heat}/delete", data={}, headers=PAGE)
    ruled(desk)
    assert desk.post("/desk/heats/het_1/hold", data={}).status_code == 200
    assert desk.post("/desk/heats/het_1/close", data={}).status_code == 200
    assert desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE).status_code == 303
    assert "Provisional: protests until" in text_of(house.browser().get("/results", headers=PAGE))


def test_a_moment_of_another_day_is_told_with_its_day() -> None:
    night = round(datetime.fromisoformat("2031-05-17T23:50").timestamp() * 1000)
    assert moment_text(night, night) == "23:50"
    assert moment_text(night + 30 * MINUTE, night) == "00:20 on 2031-05-18"
    assert moment_text(night + 24 * 60 * MINUTE, night) == "23:50 on 2031-05-18", "a day later is not now"
    assert moment_text(night, night + 30 * MINUTE) == "23:50 on 2031-05-17"


def test_protests_of_a_day_say_until_which(house: House) -> None:
    desk = over(house)
    ruled(desk, protest_minutes="1440")
    desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE)
    now = house.app.state.hall.time.wall_ms()
    until = moment_text(now + 1440 * MINUTE, now)
    assert " on " in until and f"Provisional: protests until {until}" in text_of(house.browser().get("/results", headers=PAGE))
