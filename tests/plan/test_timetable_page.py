"""The timetable that everybody may read: found by name, moved when the day runs late, taken along as a calendar."""

import html
from datetime import UTC, datetime, timedelta

import icalendar
import pytest

from app.hall.changing import change_roster
from app.store.roster import put_competition
from tests.builders.halls import House, TestClient

PAGE = {"accept": "text/html"}
TEN = 10 * 60


def get(browser: TestClient, path: str) -> str:
    answer = browser.get(path, headers=PAGE)
    assert answer.status_code == 200
    return html.unescape(answer.text)


def hall_time(house: House, minutes: int) -> None:
    """Puts the hall's clock on so many minutes after midnight, in this computer's own time."""
    now = datetime.fromtimestamp(house.clocks.wall / 1000, UTC).astimezone()
    house.clocks.pass_ms((minutes - now.hour * 60 - now.minute) * 60_000 - now.second * 1000)


def test_everybody_may_read_when_each_heat_starts(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def sought(*_: str) -> str:
        pytest.fail("nobody is looked for where nothing was typed")

    monkeypatch.setattr("app.plan.timetable.found_by", sought)
    assert "Lanterns" in get(house.browser(), "/timetable?by=athletes")
    text = get(house.browser(), "/timetable")
    assert "Turn about, heat 1" in text and "10:30" in text and "Lanterns" in text and "judge Imre" in text


def test_somebody_is_found_by_name_club_or_judge_and_others_are_left_out(house: House) -> None:
    visitor = house.browser()
    assert "Lanterns" in get(visitor, "/timetable?who=ada+quill") and "Gravel" not in get(visitor, "/timetable?who=ada+quill")
    assert "Lanterns" in get(visitor, "/timetable?who=copper") and "Imre" in get(visitor, "/timetable?who=imre")
    for typed in ("ostby", "OESTBY", "%C3%98stby", "lena+irregulars"):  # Østby, as each keyboard has it
        found = get(visitor, f"/timetable?who={typed}")
        assert "Irregulars" in found and "Lanterns" not in found
        assert "Irregulars" in get(visitor, f"/timetable?by=athletes&who={typed}")
    assert "Nobody by that name is in a heat." in get(visitor, "/timetable?who=%3F")
    assert "Nobody by that name is in a heat." in get(visitor, "/timetable?who=%3Cb%3Enobody")
    assert "10:00 Turn about, heat 1, lane 1" in get(visitor, "/timetable?by=athletes&who=lanterns")


def test_a_day_before_anything_is_there_says_so(empty_house: House) -> None:
    assert "no timetable" in get(empty_house.browser(), "/timetable")
    assert empty_house.browser().get("/timetable.ics").status_code == 404


def test_a_late_go_moves_what_is_still_to_come_on_every_page(house: House) -> None:
    desk, visitor = house.desk(), house.browser()
    hall_time(house, TEN - 1)
    assert "Running" not in get(visitor, "/timetable")
    hall_time(house, TEN + 25)
    assert desk.post("/desk/heats/het_1/go", data={"lead": "3"}, headers=PAGE).status_code == 303
    text = get(visitor, "/timetable")
    length = -(-house.app.state.hall.projection.roster.events[0].format.length_ms // 60_000)
    due = TEN + 25 + length + min(4, 30 - length)  # after its work and the usual changeover, if the plan left room for that
    assert "Running" in text and "planned 10:30" in text
    packet = house.tablet(1).get("/lane/packet").json()
    second = packet["starts"]["het_2"]  # by that openers end before the GO: a late day takes their time along
    assert second["time"] == f"{due // 60:02d}:{due % 60:02d}"
    assert second["at"] - packet["server_ms"] == (due - TEN - 25) * 60_000
    assert f"{due // 60:02d}:{due % 60:02d}" in text
    assert "Running" in get(visitor, "/timetable/hall") and "Running" in get(visitor, "/timetable/hall/now")
    assert "Running" in get(desk, "/desk")
    # The plan's picture of lateness has its beginning, and no end before there is one.
    house.clocks.pass_ms(5_000)
    plan = get(desk, "/desk/plan")
    began = f"{(TEN + 25) // 60:02d}:{(TEN + 25) % 60:02d}"
    assert "How late the heats ran" in plan and "began the latest: 25 min late" in plan
    assert f'<td class="number">{began}</td><td class="number">25 min late</td>' in plan
    assert '<td class="number">–</td><td class="number">–</td></tr>' in plan


def test_it_begins_with_what_is_on_or_next_and_what_is_over_is_folded_above(house: House) -> None:
    desk, visitor = house.desk(), house.browser()
    assert "times-past" not in get(visitor, "/timetable")
    assert desk.post("/desk/heats/het_1/go", data={"lead": "3"}, headers=PAGE).status_code == 303
    house.clocks.pass_ms(house.app.state.hall.projection.roster.events[0].format.length_ms + 10 * 60_000)
    past, coming = get(visitor, "/timetable").split("</details>")
    assert '<details class="times-past">' in past and "1 heat is over" in past
    assert "Turn about, heat 1" in past and "Turn about, heat 1" not in coming and "Turn about, heat 2" in coming


def test_a_calendar_holds_what_is_due_for_one_entry(house: House) -> None:
    answer = house.browser().get("/timetable.ics?entry=ent_5")
    assert answer.headers["content-type"].startswith("text/calendar")
    calendar = icalendar.Calendar.from_ical(answer.content)
    (event,) = calendar.events
    assert str(event["SUMMARY"]) == "Turn about, heat 2, lane 1"
    start = event.start.astimezone()
    assert (start.hour, start.minute) == (10, 30) and event.end - event.start >= timedelta(minutes=10)
    hall = house.app.state.hall
    early = hall.projection.roster.competition.model_copy(update={"day": "0001-01-01"})  # as a file may say
    house.do(change_roster, lambda session: put_competition(session, early))
    whole = icalendar.Calendar.from_ical(house.browser().get("/timetable.ics").content)
    assert len(whole.events) == 3 and len({event.uid for event in whole.events}) == 3


def test_a_judges_calendar_holds_the_judges_heats(house: House) -> None:
    desk = house.desk()
    desk.post("/desk/judges", data={"name": "Imre"}, headers=PAGE)
    (judge,) = house.app.state.hall.projection.roster.judges
    form = {"event": "evt_turns", "number": "3", "planned": "11:00", "lanes": "4", "lane-2-entry": "ent_9"}
    desk.post("/desk/heats/het_3/lanes", data={**form, "lane-2-judge": "Imre", "do": "store"}, headers=PAGE)
    calendar = icalendar.Calendar.from_ical(house.browser().get(f"/timetable.ics?judge={judge.id}").content)
    assert [str(event["SUMMARY"]) for event in calendar.events] == ["Judging: Turn about, heat 3, lane 2"]
    assert "Imre" in get(house.browser(), "/timetable?by=judges")
