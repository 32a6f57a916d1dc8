"""Setting a competition up: what is stored, what is refused with a sentence, and that nothing is ever stored half."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.compose import events
from app.compose.event_form import EventForm, format_form
from app.hall import plain
from app.hall.forms import BadForm
from app.people import bulk, entering
from app.people.organising import ATHLETE, DIVISION, save_competition
from app.plan import start_list
from app.rehearsal.turns import turn_about
from app.rules.records.roster import Roster
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS, EVENTS
from app.store.refusals import InUse, NotThere
from app.store.roster import read_roster
from tests.builders.halls import House, a_house, a_mark, sent


class Desk:
    """Somebody who sets a competition up by calling actions."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.hall = house.app.state.hall

    def do(self, action: Any, *what: Any) -> Any:
        assert self.house.inside.portal is not None
        return self.house.inside.portal.call(partial(action, self.hall, *what))

    @property
    def roster(self) -> Roster:
        """The roster as projected, checked against the store."""
        stored = self.hall.database.read(read_roster)
        assert stored == self.hall.projection.roster
        return stored

    def division(self, name: str = "Open pairs") -> str:
        return str(self.do(plain.save, DIVISION, {"name": name}))

    def entry(self, name: str, *members: str, division: str = "", key: str = "") -> str:
        """An entry; a member is `name` or `name (club)`."""
        typed = {"name": name, "division": division or self.roster.divisions[0].id}
        for number, member in enumerate(members):
            person, _, club = member.rstrip(")").partition(" (")
            typed |= {f"member-{number}-name": person, f"member-{number}-club": club}
        return str(self.do(entering.save_entry, typed, key))

    def event(self, name: str = "Mirror") -> str:
        return str(self.do(events.save_event, format_form(name, turn_about())))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with a_house(tmp_path, competition=False) as house:
        desk = Desk(house)
        desk.do(save_competition, {"name": "Quay Day", "unit": "lb"})
        yield desk


def sentences(refused: pytest.ExceptionInfo[BadForm]) -> dict[str, str]:
    return {problem.field: problem.sentence for problem in refused.value.problems}


def test_a_competition_keeps_its_id_when_it_is_renamed(desk: Desk) -> None:
    before = desk.roster.competition
    desk.do(save_competition, {"name": "Quay Night", "place": "Shed 4", "day": "2031-05-17", "unit": "kg"})
    after = desk.roster.competition
    assert (after.id, after.name, after.place, after.day, after.unit) == (before.id, "Quay Night", "Shed 4", "2031-05-17", "kg")


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": " ", "unit": "kg"}, "name"),
        ({"name": "x" * 121, "unit": "kg"}, "name"),
        ({"name": "a\x00b", "unit": "kg"}, "name"),
        ({"name": "Day", "unit": "stone"}, "unit"),
        ({"name": "Day", "unit": "kg", "day": "2031-02-30"}, "day"),
        ({"name": "Day", "unit": "kg", "day": "20310217"}, "day"),
        ({"name": "Day", "unit": "kg", "day": "0031-05-17"}, "day"),
    ],
)
def test_a_bad_competition_form_names_the_field_and_stores_nothing(desk: Desk, typed: dict[str, str], field: str) -> None:
    before = desk.roster
    with pytest.raises(BadForm) as refused:
        desk.do(save_competition, typed)
    assert set(sentences(refused)) == {field}
    assert desk.roster == before


def test_two_divisions_cant_share_a_name(desk: Desk) -> None:
    desk.division("Open")
    with pytest.raises(BadForm, match="already a division called open"):
        desk.division("open")


def test_divisions_are_moved_and_a_deleted_one_can_be_put_back(desk: Desk) -> None:
    one, two = desk.division("One"), desk.division("Two")
    desk.do(plain.move, DIVISIONS, two, -1)
    assert [division.name for division in desk.roster.divisions] == ["Two", "One"]
    gone = desk.do(plain.remove, DIVISIONS, one)
    desk.do(plain.save, DIVISION, {"name": gone.name}, gone.id)
    assert [division.id for division in desk.roster.divisions] == [two, one]


def test_a_division_with_entries_is_not_deleted(desk: Desk) -> None:
    division = desk.division("Open")
    desk.entry("Chalk Lines", "Ana", "Bo")
    with pytest.raises(InUse, match="Open still has 1 entry"):
        desk.do(plain.remove, DIVISIONS, division)
    with pytest.raises(NotThere):
        desk.do(plain.remove, DIVISIONS, "nowhere")


def test_members_stay_in_order_and_clubs_are_made_once(desk: Desk) -> None:
    desk.division()
    desk.entry("Chalk Lines", "Bo Lind (Quay)", "Ana Ruiz (quay)")
    roster = desk.roster
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    assert [names[member] for member in roster.entries[0].members] == ["Bo Lind", "Ana Ruiz"]
    assert [club.name for club in roster.clubs] == ["Quay"]


def test_somebody_in_two_entries_is_one_athlete(desk: Desk) -> None:
    desk.division()
    desk.entry("One", "Ana (Quay)", "Bo")
    desk.entry("Two", "Ana (Quay)", "Cy")
    roster = desk.roster
    assert roster.entries[0].members[0] == roster.entries[1].members[0]
    assert len(roster.athletes) == 3


def test_a_name_spelled_anew_changes_the_athlete_and_a_swap_changes_nobody(desk: Desk) -> None:
    desk.division()
    key = desk.entry("Pair", "Ana", "Bo")
    before = desk.roster.entries[0].members
    desk.entry("Pair", "Anna", "Bo", key=key)
    assert desk.roster.entries[0].members == before
    desk.entry("Pair", "Bo", "Anna", key=key)
    assert desk.roster.entries[0].members == (before[1], before[0])
    assert sorted(athlete.name for athlete in desk.roster.athletes) == ["Anna", "Bo"]


def test_an_entry_form_tells_everything_that_is_wrong_at_once(desk: Desk) -> None:
    typed = {"name": "", "division": "gone", "member-0-club": "Quay", "member-1-name": "Bo", "member-2-name": "bo"}
    with pytest.raises(BadForm) as refused:
        desk.do(entering.save_entry, typed)
    assert set(sentences(refused)) == {"name", "division", "member-0-name", "member-2-name"}
    assert desk.roster.entries == () and desk.roster.clubs == ()


def test_a_deleted_entry_takes_only_its_own_athletes_along(desk: Desk) -> None:
    desk.division()
    desk.entry("One", "Ana", "Bo")
    two = desk.entry("Two", "Ana", "Cy")
    assert desk.do(entering.remove_entry, two).name == "Two"
    assert sorted(athlete.name for athlete in desk.roster.athletes) == ["Ana", "Bo"]


def test_entries_are_moved_within_their_division(desk: Desk) -> None:
    desk.division("A")
    other = desk.division("B")
    keys = [desk.entry(name, f"{name} one") for name in ("x", "y", "z")]
    desk.entry("w", "w one", division=other)
    desk.do(entering.move_entry, keys[2], -1)
    assert [entry.name for entry in desk.roster.entries if entry.division != other] == ["x", "z", "y"]


LINES = """Open pairs; Chalk Lines; Ana Ruiz (Quay); Bo Lind
Masters; =1+1; José "Pepe" Ruiz (North, East & Co.); Mira Ek ( Quay )
"""


def test_pasted_lines_are_stored_all_at_once(desk: Desk) -> None:
    desk.division()
    assert desk.do(bulk.store_lines, LINES, True) == 2
    roster = desk.roster
    assert [division.name for division in roster.divisions] == ["Open pairs", "Masters"]
    assert [(entry.name, len(entry.members)) for entry in roster.entries] == [("Chalk Lines", 2), ("=1+1", 2)]
    assert sorted(club.name for club in roster.clubs) == ["North, East & Co.", "Quay"]


def test_one_bad_line_keeps_all_lines_out(desk: Desk) -> None:
    desk.division()
    with pytest.raises(BadForm) as refused:
        desk.do(bulk.store_lines, LINES + "Open pairs; chalk lines; Cy\nOnly two; parts", False)
    said = [problem.sentence for problem in refused.value.problems]
    assert said[0] == "Line 2: There is no division Masters. The divisions are: Open pairs."
    assert said[1] == "Line 3: There is already an entry called chalk lines in Open pairs."
    assert said[2].startswith("Line 4: A line needs a division, an entry name and a member")
    assert desk.roster.entries == () and desk.roster.athletes == ()


@pytest.mark.parametrize("member", ["(Quay)", "Ana (Quay", "Ana (Quay) Ruiz", "Ana ((Quay))"])
def test_a_member_that_cant_be_read_is_named(desk: Desk, member: str) -> None:
    desk.division()
    line = bulk.read_lines(f"Open pairs; Pair; {member}", desk.roster, False)[0]
    assert line.problems[0].startswith("Member 1 is a name, then the club in brackets")


def test_spreadsheet_columns_are_read_by_tabs(desk: Desk) -> None:
    desk.division()
    line = bulk.read_lines("Open pairs\tRock; Paper\tAna\tBo\t", desk.roster, False)[0]
    assert (line.entry, [member.name for member in line.members], line.problems) == ("Rock; Paper", ["Ana", "Bo"], ())


def test_nothing_pasted_is_told(desk: Desk) -> None:
    with pytest.raises(BadForm, match="Nothing was pasted"):
        desk.do(bulk.store_lines, " \n", True)


def test_an_event_is_changed_in_place_and_a_bad_form_changes_nothing(desk: Desk) -> None:
    key = desk.event()
    desk.do(events.save_event, format_form("Mirror, mirror", turn_about("kg")), key)
    assert [(event.id, event.name, event.format.unit) for event in desk.roster.events] == [(key, "Mirror, mirror", "kg")]
    before = desk.roster
    with pytest.raises(BadForm):
        desk.do(events.save_event, EventForm(name="Broken"), key)
    assert desk.roster == before


def test_heats_are_filled_in_order_each_entry_once(desk: Desk) -> None:
    desk.division("A")
    other = desk.division("B")
    for n in range(5):
        desk.entry(f"a{n}", f"a{n} one", f"a{n} two")
    desk.entry("b0", "b0 one", "b0 two", division=other)
    desk.entry("b1", "b1 one", division=other)
    event = desk.event()
    knobs = {"event": event, "lanes": "3", "first": "9.50", "every": "20"}
    assert desk.do(start_list.fill_heats, {**knobs, "apart": "on"}) == 3
    names = {entry.id: entry.name for entry in desk.roster.entries}
    heats = [(heat.number, heat.planned, [names[lane.entry] for lane in heat.lanes]) for heat in desk.roster.heats]
    assert heats == [(1, "09:50", ["a0", "a1", "a2"]), (2, "10:10", ["a3", "a4"]), (3, "10:30", ["b0"])]
    with pytest.raises(
        BadForm, match=r"Every entry for this event is already in one of its heats.* b1 has 1 athlete; Mirror is for"
    ):
        desk.do(start_list.fill_heats, knobs)


def test_a_heat_form_tells_what_is_wrong_with_its_lanes(desk: Desk) -> None:
    desk.division()
    entry = desk.entry("One", "Ana")
    event = desk.event()
    desk.do(start_list.save_heat, {"event": event, "number": "1"})
    bad = {
        "event": event,
        "number": "1",
        "planned": "25:00",
        "lane-1-judge": "J" * 121,
        "lane-1-entry": entry,
        "lane-3-entry": entry,
        "lane-4-entry": "gone",
    }
    with pytest.raises(BadForm) as refused:
        desk.do(start_list.save_heat, bad)
    assert sentences(refused) == {
        "number": "There is already a heat 1 in this event. Free numbers begin at 2.",
        "planned": "The planned time is a time of day such as 09:30; not “25:00”.",
        "lane-1-judge": "Lane 1's judge has 121 characters; at most 120 are allowed.",
        "lane-3-entry": "One is on lane 1 and on lane 3. Choose one of them.",
        "lane-4-entry": "Lane 4's entry is not there any more. Choose another.",
    }
    assert len(desk.roster.heats) == 1


def test_entries_that_change_lanes_take_their_marks_along_and_a_judged_one_stays(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk = Desk(house)
        heat = desk.roster.heats[0]
        first, second = heat.lanes[0], heat.lanes[1]
        house.desk().post(
            "/marks", content=sent(a_mark(sheet=f"{first.id}/1/lane")), headers={"content-type": "application/json"}
        )
        form = {"event": heat.event, "number": str(heat.number)}
        form |= {f"lane-{lane.lane}-entry": lane.entry for lane in heat.lanes}
        swapped = {**form, "lane-1-entry": second.entry, "lane-2-entry": first.entry}
        desk.do(start_list.save_heat, swapped, heat.id)
        after = {lane.entry: lane for lane in next(one for one in desk.roster.heats if one.id == heat.id).lanes}
        assert (after[first.entry].id, after[first.entry].lane) == (first.id, 2)
        with pytest.raises(InUse, match="already has marks"):
            desk.do(start_list.save_heat, {**swapped, "lane-2-entry": ""}, heat.id)
        assert first.entry in {lane.entry for lane in next(one for one in desk.roster.heats if one.id == heat.id).lanes}


def test_a_used_thing_is_not_deleted(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk = Desk(house)
        before = desk.roster
        for action, *what in (
            (plain.remove, EVENTS, before.events[0].id),
            (entering.remove_entry, before.heats[0].lanes[0].entry),
            (plain.remove, ATHLETES, before.entries[0].members[0]),
        ):
            with pytest.raises(InUse):
                desk.do(action, *what)
        assert desk.roster == before


def test_an_athlete_is_renamed_everywhere(desk: Desk) -> None:
    desk.division()
    desk.entry("One", "Ana (Quay)")
    athlete, club = desk.roster.athletes[0], desk.roster.clubs[0]
    desk.do(plain.save, ATHLETE, {"name": "Anna", "club": ""}, athlete.id)
    assert (desk.roster.athletes[0].name, desk.roster.athletes[0].club) == ("Anna", None)
    desk.do(plain.remove, CLUBS, club.id)
    with pytest.raises(BadForm):
        desk.do(plain.save, ATHLETE, {"name": "Anna", "club": club.id}, athlete.id)
