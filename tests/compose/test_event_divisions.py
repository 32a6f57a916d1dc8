"""Which division and which lane does which variant, and how counts become one: stored, refused, and shown where it matters."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.compose.event_divisions import divisions_page, divisions_typed, save_divisions
from app.floor.lane_packet import lane_packet
from app.hall.forms import BadForm
from app.live.presence import Who
from app.plan.heat_views import heat_typed, start_list, variant_choices
from app.plan.start_list import save_heat
from app.rules.workout.joining import JoinRule
from app.store.refusals import NotThere
from app.store.roster import read_roster
from app.watch.board import board
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_meet()) as opened:
        yield opened


def stored_event(house: House, key: str = "swings") -> tuple[dict[str, str], JoinRule]:
    roster = house.app.state.hall.database.read(read_roster)
    assert roster == house.app.state.hall.projection.roster
    event = next(event for event in roster.events if event.id == key)
    return event.variants, event.format.counters


def test_a_division_does_a_variant_and_counts_are_joined_as_chosen(house: House) -> None:
    typed = {"how": "drop_high_low", "recount_beyond": "3", "division-open": "scaled", "division-masters": ""}
    house.do(save_divisions, "swings", typed)
    assert stored_event(house) == ({"open": "scaled"}, JoinRule(how="drop_high_low", recount_beyond=3))
    kept = {field: text for field, text in typed.items() if text}
    assert divisions_typed(house.app.state.hall, "swings") == kept


def test_the_page_offers_what_the_event_has(house: House) -> None:
    view = divisions_page(house.app.state.hall, "swings")
    assert [choice.words for choice in view.variants] == ["Light bell, ranked with the others", "Scaled, ranked apart"]
    assert ([field.name for field in view.divisions], view.judged) == (["Open", "Masters"], True)
    assert divisions_page(house.app.state.hall, "errands").variants == ()


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"how": "guess"}, "how", "How several counts are combined is one of: the lane judge's count alone"),
        ({"recount_beyond": "x"}, "recount_beyond", "How far apart counts may be is a whole number from 0 to 10000"),
        ({"division-open": "heavier"}, "division-open", "What Open does is one of: as written, Light bell, Scaled"),
    ],
)
def test_what_will_not_do_is_told_why_and_nothing_is_stored(
    house: House, changes: dict[str, str], field: str, sentence: str
) -> None:
    before = stored_event(house)
    with pytest.raises(BadForm) as wrong:
        house.do(save_divisions, "swings", {"how": "mean", "recount_beyond": "", **changes})
    assert {problem.field: problem.sentence for problem in wrong.value.problems}[field].startswith(sentence)
    assert stored_event(house) == before


def test_an_event_that_is_gone_is_told(house: House) -> None:
    with pytest.raises(NotThere, match="no event with the id gone"):
        house.do(save_divisions, "gone", {"how": "mean"})


# --- On a lane ------------------------------------------------------------------------------------------------------------


def test_a_lane_chooses_another_variant_than_its_division(house: House) -> None:
    hall = house.app.state.hall
    typed = {**heat_typed(hall, "heat_1"), "lane-1-variant": "scaled", "lane-6-variant": "as-written"}
    house.do(save_heat, typed, "heat_1")
    heat = hall.database.read(read_roster).heats[0]
    assert {lane.lane: lane.variant for lane in heat.lanes if lane.variant} == {1: "scaled", 6: "as-written"}
    assert heat_typed(hall, "heat_1")["lane-6-variant"] == "as-written"
    texts = start_list(hall)[0].heats[0].lanes
    assert texts[:2] == ((1, "Ada Quill (Scaled)"), (2, "Bo Farrow")) and texts[5] == (6, "Edda Thorne (as written)")


def test_a_lane_cannot_choose_what_the_event_does_not_have(house: House) -> None:
    hall = house.app.state.hall
    with pytest.raises(BadForm, match="What lane 1 does is one of: the same as its division, as written, Light bell, Scaled"):
        house.do(save_heat, {**heat_typed(hall, "heat_1"), "lane-1-variant": "heavier"}, "heat_1")
    assert variant_choices(hall, "errands") == () and variant_choices(hall, "gone") == ()
    house.do(save_heat, {**heat_typed(hall, "heat_2"), "lane-1-variant": "scaled"}, "heat_2")
    assert not any(lane.variant for lane in hall.projection.roster.heats[1].lanes), "errands have no variants"


def test_a_lane_is_sent_the_event_as_it_does_it(house: House) -> None:
    hall = house.app.state.hall
    house.do(save_heat, {**heat_typed(hall, "heat_1"), "lane-6-variant": "as-written"}, "heat_1")
    swings = {}
    for lane in (1, 6, 7):
        packet = lane_packet(hall, Who("dev", "lane", lane), lane)
        event = packet["events"][packet["heats"][0]["event"]]
        swings[lane] = (event["name"], event["format"]["movements"]["swing"]["name"])
    assert swings == {1: ("Swings", "Swings"), 6: ("Swings", "Swings"), 7: ("Swings, Light bell", "Light swings")}


def test_the_board_shows_who_did_another_variant_and_a_standing_of_its_own(house: House) -> None:
    hall = house.app.state.hall
    house.do(save_divisions, "heavy", {"how": "lane"})
    house.do(save_heat, {**heat_typed(hall, "heat_1"), "lane-1-variant": "light", "lane-3-variant": "scaled"}, "heat_1")
    tables = {
        (table.division_name, table.variant.id if table.variant else ""): table
        for table in hall.projection.event_results("swings").tables
    }
    assert [row.entry.name for row in tables["Open", "scaled"].rows] == ["Cy Marlow"]
    hall.projection.roster_changed(
        hall.projection.roster.model_copy(
            update={"events": hall.projection.roster.events[:1], "heats": hall.projection.roster.heats[:1]}
        ),
        hall.projection.runs[:1],
        (),
    )
    view = board(hall)
    assert view is not None and view.floor is not None
    assert [panel.title for panel in view.panels] == ["Swings", "Swings, Scaled", "Swings, Light bell"]
    assert {row.entry: row.variant for row in view.panels[0].rows}["Ada Quill"] == "Light bell"
    assert {row.variant for row in view.panels[2].rows} == {""}, "what the whole division does stands in the title"
    assert [lane.variant for lane in view.floor.lanes][:3] == ["Light bell", "", "Scaled"]
