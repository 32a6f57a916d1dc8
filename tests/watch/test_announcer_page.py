"""The announcer's sheet: it says what the standing says, how to say a name, what is at stake, and what a heat has changed."""

import html
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.hall.result_words import place_text
from app.live.slices import at_once
from app.rules.result.results import Row, results
from app.rules.result.scoring import score_words
from app.rules.workout.tasks import CountTask
from app.watch.announcer import Announced, announced, at_stake, event_sheet_steps, went_down
from tests.builders.cast import a_competition, a_format
from tests.builders.halls import House, a_house, a_mark, sent
from tests.builders.meets import a_meet

A_MEET = a_meet()


@pytest.fixture
def live(house: House) -> House:
    """A house whose desk has given the first heat its GO, twenty seconds ago."""
    desk = house.marking = house.desk()  # type: ignore[attr-defined]
    heat = house.app.state.hall.projection.roster.heats[0]
    assert desk.post(f"/desk/heats/{heat.id}/go", data={"seconds": "10"}).status_code < 400
    house.clocks.pass_ms(20_000)
    return house


def mark(house: House, seq: int, lane: int) -> None:
    """A repetition on a lane of the first heat."""
    heat = house.app.state.hall.projection.roster.heats[0]
    content = sent(a_mark(seq, f"{heat.lanes[lane].id}/1/lane"))
    house.marking.post("/marks", content=content, headers={"content-type": "application/json"})  # type: ignore[attr-defined]


def now(house: House) -> Announced:
    return announced(house.app.state.hall)


def test_before_the_day_it_says_who_is_next_and_that_all_are_new(house: House) -> None:
    view = now(house)
    assert (view.floor, view.last) == ((), None)
    assert [heat.title for heat in view.to_come][:2] == ["Turn about, heat 1", "Turn about, heat 2"]
    heat = view.to_come[0]
    assert heat.all_first and not any(lane.first for lane in heat.lanes)
    assert [lane.lane for lane in heat.lanes] == sorted(lane.lane for lane in heat.lanes)
    assert all(lane.club or all(one.club for one in lane.people) for lane in heat.lanes)
    assert all(not stake.place and not stake.to_lead for lane in heat.lanes for stake in lane.stakes), "nobody leads yet"


def test_in_a_heat_it_says_the_place_now_and_what_it_takes_and_to_the_next_heat_what_leads(live: House) -> None:
    for seq in range(1, 6):
        mark(live, seq, 1)
    mark(live, 6, 0)
    view = now(live)
    (heat,) = view.floor
    (stake,) = heat.lanes[0].stakes
    assert (stake.place, stake.of, stake.score) == ("2", 2, "1 point")
    assert stake.ahead is not None and (stake.ahead.takes, stake.ahead.away) == ("more than 5 points", "4")
    for lane in view.to_come[0].lanes:
        (one,) = lane.stakes
        led = ("more than 5 points", "Chalk & Cheese") if lane.division == heat.lanes[1].division else ("", "")
        assert (one.to_lead, one.leader) == led
    assert any(lane.stakes[0].to_lead for lane in view.to_come[0].lanes)


def test_after_a_heat_it_says_who_leads_and_where_those_of_it_stand(live: House) -> None:
    for seq in range(1, 6):
        mark(live, seq, 1)
    live.clocks.pass_ms(3_600_000)
    view = now(live)
    assert view.last is not None and view.last.title == "Turn about, heat 1" and view.last.stated.startswith("Provisional")
    (standing,) = (one for one in view.last.standings if one.leaders)
    assert (standing.leaders, standing.leading) == ("Chalk & Cheese", "leads with 5 points")
    assert standing.came[0].entry == "Chalk & Cheese" and standing.came[0].place == "1"
    (stake,) = at_once(event_sheet_steps(live.app.state.hall, "evt_turns")).heats[0].lanes[1].stakes
    assert stake.place == "1" and stake.ahead is None and not stake.to_lead, "of a heat that is over nothing is at stake"


def test_a_page_that_shows_the_newest_is_not_sent_it_again(live: House) -> None:
    visitor = live.browser("192.0.2.9")
    first = visitor.get("/announcer/now")
    assert visitor.get("/announcer/now", headers={"if-none-match": first.headers["etag"]}).status_code == 304
    mark(live, 1, 0)
    live.clocks.pass_ms(1_000)
    second = visitor.get("/announcer/now", headers={"if-none-match": first.headers["etag"]})
    assert second.status_code == 200 and "1 of 1, 1 point" in second.text


def test_what_the_entry_form_says_of_a_name_is_on_the_sheet_and_its_print_and_stays_when_not_asked(house: House) -> None:
    desk, visitor = house.desk(), house.browser("192.0.2.9")
    form = dict(re.findall(r'name="([a-z0-9-]+)"[^>]*? value="([^"]*)"', desk.get("/desk/entries/ent_1").text)) | {
        "division": "div_open"
    }
    assert form["member-0-said"] == ""
    form["member-0-said"] = "shi-VAWN <b>"
    assert desk.post("/desk/entries/ent_1", data=form).status_code == 303
    for page in ("/announcer", "/announcer/now", "/announcer/evt_turns/sheet"):
        assert "say: <bdi>shi-VAWN &lt;b&gt;</bdi>" in visitor.get(page).text
    assert "Announcer's sheet" in html.unescape(desk.get("/desk/paper").text)
    del form["member-0-said"]
    assert desk.post("/desk/entries/ent_1", data=form).status_code == 303
    assert "shi-VAWN" in visitor.get("/announcer/now").text
    assert desk.post("/desk/entries/ent_1", data=form | {"member-0-said": ""}).status_code == 303
    assert "shi-VAWN" not in visitor.get("/announcer/now").text


def test_an_age_and_a_bodyweight_are_not_announced(house: House) -> None:
    hall = house.app.state.hall
    roster = hall.projection.roster
    aged = tuple(one.model_copy(update={"age": 97}) for one in roster.athletes)
    hall.projection.roster_changed(roster.model_copy(update={"athletes": aged}), hall.projection.runs, ())
    page = house.browser("192.0.2.9").get("/announcer/evt_turns/sheet").text
    assert "97" not in re.sub(r"<[^>]*>", "", page)


def test_a_sheet_says_of_everybody_what_the_standing_says() -> None:
    tried = 0
    for found in results(A_MEET):
        for table in found.tables:
            for row in table.rows:
                stake = at_stake(found.event, table, row.entry, open_still=True)
                assert stake.place == place_text(row)
                if row.place is not None and row.score is not None:
                    assert stake.score == score_words(row.score) and not stake.to_lead
                tried += 1
    assert tried > 5


ROWS = [row for found in results(A_MEET) for table in found.tables for row in table.rows][:1]


@given(st.lists(st.tuples(st.integers(0, 6), st.booleans()), max_size=8))
def test_whoever_went_down_would_stand_higher_without_those_who_came_in(entries: list[tuple[int, bool]]) -> None:
    """Held against ranking anew without them; places as in the trade, as many as are better, and one."""

    def place(score: int, among: list[int]) -> int:
        return 1 + sum(other > score for other in among)

    every, old = [score for score, _ in entries], [score for score, new in entries if not new]
    rows = [_row(n, place(score, every)) for n, (score, _) in enumerate(entries)]
    found = went_down(rows, {f"e{n}" for n, (_, new) in enumerate(entries) if new})
    wanted = [
        (f"Entry {n}", place(score, old), str(place(score, every)))
        for n, (score, new) in enumerate(entries)
        if not new and place(score, old) != place(score, every)
    ]
    assert [(one.entry, one.before, one.place) for one in found] == wanted


def _row(number: int, place: int) -> Row:
    entry = ROWS[0].entry.model_copy(update={"id": f"e{number}", "name": f"Entry {number}"})
    return Row(place, False, entry, (), None, None, "", None)


@pytest.mark.parametrize("named", [True, False])
def test_who_stands_in_two_heats_is_new_in_the_first_of_them_alone(tmp_path: Path, named: bool) -> None:
    """By athlete, where an entry names its own."""
    file = a_competition(a_format(CountTask(movement="swing")), {"Open": ["Larks"], "Masters": ["Crows"]}, runs=())
    larks, crows = file.entries
    entries = (larks, crows.model_copy(update={"members": larks.members}))
    if not named:
        entries = (larks.model_copy(update={"members": ()}), crows)
    (heat,) = file.heats
    first = heat.model_copy(update={"lanes": heat.lanes[:1]})
    second = heat.model_copy(update={"id": "het_later", "number": heat.number + 1, "lanes": heat.lanes[1:]})
    if not named:
        lane = heat.lanes[0].model_copy(update={"id": "asg_later"})
        second = second.model_copy(update={"lanes": (lane,)})
    file = file.model_copy(update={"entries": entries, "heats": (first, second)})
    with a_house(tmp_path, file=file) as house:
        assert [heat.all_first for heat in announced(house.app.state.hall).to_come] == [True, False]
