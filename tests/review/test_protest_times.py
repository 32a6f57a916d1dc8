"""Until when protests and appeals may be filed, whatever was signed or closed; told with its day where that is another."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from app.hall.organising import in_the_hall, zone_of
from app.results.results_state import moment_text
from app.rules.records.day import DayRules
from app.rules.records.document import Run
from app.rules.workout.tasks import CountTask
from app.store.entering import checkins, weigh_ins
from tests.builders.cast import a_competition, a_format, reps
from tests.builders.halls import Clocks, House, TestClient, a_house
from tests.builders.slate_day import the_slate_day
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
    assert "Provisional: not every heat is over" in text_of(house.browser().get("/results", headers=PAGE))
    assert desk.post("/desk/heats/het_1/close", data={}).status_code == 200
    assert "not every heat is over" not in text_of(house.browser().get("/results", headers=PAGE)), "it was closed early"
    assert desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE).status_code == 303


def test_an_event_is_over_with_the_bell_of_a_heat_though_one_that_was_closed_early_would_end_later(tmp_path: Path) -> None:
    """As with two platforms that lift at once."""
    task = CountTask(movement="swing")
    file, now = a_competition(a_format(task), {"Open": ["Ana", "Bo"]}, [*reps(3), *reps(2, 2)]), Clocks.wall
    (heat,) = file.heats
    heats = [heat.model_copy(update={"id": f"het_{n}", "number": n, "lanes": (lane,)}) for n, lane in enumerate(heat.lanes, 1)]
    length = file.events[0].format.length_ms
    runs = (
        Run(heat="het_1", number=1, go_wall_ms=now - length + 10_000),
        Run(heat="het_2", number=1, go_wall_ms=now, state="closed"),
    )
    with a_house(tmp_path, file=file.model_copy(update={"heats": tuple(heats), "runs": runs})) as house:
        assert "not every heat is over" in text_of(house.browser().get("/results", headers=PAGE))
        house.clocks.pass_ms(11_000)
        assert "not every heat is over" not in text_of(house.browser().get("/results", headers=PAGE))


def test_a_heat_that_was_closed_while_it_was_held_is_over(house: House) -> None:
    desk = judged(house)
    for heat in ("het_2", "het_3"):
        desk.post(f"/desk/heats/{heat}/delete", data={}, headers=PAGE)
    ruled(desk)
    assert desk.post("/desk/heats/het_1/hold", data={}).status_code == 200
    assert desk.post("/desk/heats/het_1/close", data={}).status_code == 200
    assert desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE).status_code == 303
    assert "Provisional: protests until" in text_of(house.browser().get("/results", headers=PAGE))


def test_a_result_is_announced_also_where_the_wall_clock_was_set_back_since_go(house: House) -> None:
    desk = over(house)
    ruled(desk)
    house.clocks.wall -= 60 * MINUTE
    assert desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE).status_code == 303
    assert "Provisional: protests until" in text_of(house.browser().get("/results", headers=PAGE))
    assert "Announced at" in text_of(desk.get(RESULTS, headers=PAGE))


def test_a_moment_of_another_day_is_told_with_its_day(house: House) -> None:
    hall = house.app.state.hall
    now = hall.time.wall_ms()
    today = in_the_hall(hall.projection.roster, now)
    night = now + round((today.replace(hour=23, minute=50) - today).total_seconds()) * 1000
    morrow = (today + timedelta(days=1)).date().isoformat()
    assert moment_text(hall, night) == "23:50"
    assert moment_text(hall, night + 30 * MINUTE) == f"00:20 on {morrow}"
    assert moment_text(hall, night + 24 * 60 * MINUTE) == f"23:50 on {morrow}", "a day later is not now"


def test_protests_of_a_day_say_until_which(house: House) -> None:
    desk = over(house)
    ruled(desk, protest_minutes="1440")
    desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE)
    until = moment_text(house.app.state.hall, house.app.state.hall.time.wall_ms() + 1440 * MINUTE)
    assert " on " in until and f"Provisional: protests until {until}" in text_of(house.browser().get("/results", headers=PAGE))


def test_the_queue_says_until_when_protests_and_appeals_may_come_about_what_is_over(house: House) -> None:
    def told() -> str:
        return text_of(desk.get("/review", headers=PAGE)).partition("To look at")[2]

    desk = judged(house)
    ruled(desk)
    rule = "Protests until 30 minutes after a result is announced."
    assert rule in told() and "Turn about :" not in told(), "a heat of it is to come"
    house.clocks.pass_ms(house.app.state.hall.projection.roster.events[0].format.length_ms)
    for heat in ("het_2", "het_3"):
        desk.post(f"/desk/heats/{heat}/delete", data={}, headers=PAGE)
    assert "Turn about : the time for protests begins when the result is announced" in told()
    desk.post(ANNOUNCE, data={"by": "Ruth"}, headers=PAGE)
    hall = house.app.state.hall
    until = f"Turn about : protests until {moment_text(hall, hall.time.wall_ms() + 30 * MINUTE)}"
    assert until in told()
    house.browser().post(own_link(desk, "Lanterns"), data={"event": EVENT, "text": "Two short"}, headers=PAGE)
    (protest,) = hall.projection.roster.protests
    house.clocks.pass_ms(20 * MINUTE)
    desk.post(f"/review/protests/{protest.id}", data=NO)
    assert f"{until}, appeals until {moment_text(hall, hall.time.wall_ms() + 15 * MINUTE)}" in told()
    house.clocks.pass_ms(16 * MINUTE)
    assert "until" not in told().partition(rule)[0]


def test_moments_and_weigh_ins_are_told_by_the_clocks_of_the_hall(tmp_path: Path) -> None:
    """By the zone that the plan names, wherever this computer thinks that it is: one of them is hours from its own."""
    for zone in ("Pacific/Auckland", "America/Lima"):
        file = the_slate_day(("10:00",)).model_copy(update={"day": DayRules(zone=zone)})
        with a_house(tmp_path / zone.partition("/")[2], file=file) as house:
            hall = house.app.state.hall
            now = datetime.fromtimestamp(hall.time.wall_ms() / 1000, UTC).astimezone(ZoneInfo(zone))
            assert moment_text(hall, hall.time.wall_ms()) == now.strftime("%H:%M")
            house.desk().post("/desk/checkin/ath_1a", data={"weight": "70 kg", "do": "weigh"}, headers=PAGE)
            (weighed,) = weigh_ins(hall.database.read(checkins), zone_of(hall.projection.roster.day)).values()
            assert (weighed.day, weighed.at) == (now.date().isoformat(), now.strftime("%H:%M"))
            card = text_of(house.desk().get("/desk/checkin/ath_1a", headers=PAGE))
            assert f"weighed in at {weighed.at}" in card
