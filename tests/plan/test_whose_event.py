"""Single athletes, pairs and trios in one competition: each stands in the events that are for it and fit it, and in no other."""

import html
import json
import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.hall.hall import Hall
from app.plan.day_problem import problem_of
from app.plan.day_times import rules_of
from app.results.competition_file import read_file, write_file
from app.results.recount import recount
from app.rules.day.heats import groups_of
from app.rules.records.document import VERSION, CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event, Roster
from app.rules.result.overall_results import overall_tables
from app.rules.result.results import results
from app.rules.result.sealing import seal_of, sealed
from tests.builders.halls import House, TestClient, a_house
from tests.builders.mixed_day import DIVISIONS, a_mixed_day, an_entry, counted

PAGE = {"accept": "text/html"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_mixed_day()) as opened:
        yield opened


def post(desk: TestClient, path: str, status: int = 303, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:1500]
    return html.unescape(answer.text)


def get(desk: TestClient, path: str) -> str:
    return html.unescape(desk.get(path, headers=PAGE).text)


def roster(house: House) -> Roster:
    return cast(Roster, house.app.state.hall.projection.roster)


def lanes(house: House, event: str) -> set[str]:
    return {lane.entry for heat in roster(house).heats if heat.event == event for lane in heat.lanes}


def named(desk: TestClient, event: str, *divisions: str, status: int = 303) -> None:
    ticks = {f"does-{one}": "on" for one in divisions}
    post(desk, f"/desk/events/{event}/variants", status, how="lane", recount_beyond="", **ticks)


def test_an_event_that_names_nobody_is_filled_with_the_entries_of_its_size_and_nobody_else_is_missing(house: House) -> None:
    desk = house.desk()
    for event in ("for-1", "for-2", "for-3"):
        post(desk, "/desk/heats", event=event, lanes="4")
    assert {event.id: lanes(house, event.id) for event in roster(house).events} == {
        "for-1": {"solo1", "solo2"},
        "for-2": {"pairs1", "pairs2"},
        "for-3": {"trios1", "trios2"},
    }
    assert "in no heat" not in get(desk, "/desk") and "In no heat:" not in get(desk, "/desk/heats")


def test_what_does_not_fit_is_asked_before_go_in_one_sentence_at_the_top_and_at_the_heat(house: House) -> None:
    desk = house.desk()
    for n in range(5):
        post(
            desk,
            "/desk/entries/new",
            name=f"Whole {n}",
            division="pairs",
            **{"member-0-name": f"Cy {n}", "member-1-name": f"Di {n}"},
        )
        post(desk, "/desk/entries/new", name=f"Half {n}", division="pairs", **{"member-0-name": f"Ada {n}"})
    post(desk, "/desk/heats", event="for-2", lanes="2")
    words = "5 entries have more or fewer than the 2 members that Event of 2 is for: Half 0, Half 1, Half 2 and 2 more."
    page = get(desk, "/desk")
    first = re.search(r'<li class="need".*?</li>', page, re.S)
    assert page.count(words) == 1 and first is not None and words in first[0]
    assert 'id="unfit"' not in page, "none of them stands on a lane"
    half = next(entry for entry in roster(house).entries if entry.name == "Half 0")
    heat = roster(house).heats[0]
    post(desk, f"/desk/heats/{heat.id}/lanes", 200, event="for-2", number="1", **{"lane-1-entry": half.id})
    assert re.search(r'id="unfit">Half 0 has 1 athlete; Event of 2 is for entries of 2 members\.', get(desk, "/desk"))


def test_nobody_is_put_on_a_lane_of_an_event_that_is_not_for_their_division(house: House) -> None:
    desk = house.desk()
    named(desk, "for-2", "pairs")
    form = get(desk, "/desk/heats/new?event=for-2")
    assert "Entry pairs1" in form and "Entry trios1" not in form
    refused = post(desk, "/desk/heats/new", 422, event="for-2", number="1", lanes="2", do="store", **{"lane-1-entry": "trios1"})
    assert "Entry trios1 is of Trios, which Event of 2 is not for." in refused and lanes(house, "for-2") == set()


def test_an_entry_that_changes_its_division_late_is_told_of_and_leaves_when_the_day_is_planned_anew(house: House) -> None:
    desk = house.desk()
    named(desk, "for-2", "pairs")
    post(desk, "/desk/heats", event="for-2", lanes="4", first="10:00", every="10")
    people = {"member-0-name": "Athlete pairs1-0", "member-1-name": "Athlete pairs1-1"}
    post(desk, "/desk/entries/pairs1", 200, name="Entry pairs1", division="trios", **people)
    words = "Entry pairs1 is on a lane of Event of 2, which is not for Trios, so it is not ranked there."
    assert words in get(desk, "/desk") and words in get(desk, "/desk/heats") and words in get(desk, "/desk/events/for-2/variants")
    hall: Hall = house.app.state.hall
    order = {event.id: set(event.order) for event in problem_of(hall, rules_of(roster(house))).events}
    assert order == {"for-1": {"solo1", "solo2"}, "for-2": {"pairs2"}, "for-3": {"trios1", "trios2"}}


def test_a_division_that_an_event_names_stays_until_the_event_lets_it_go(house: House) -> None:
    desk = house.desk()
    named(desk, "for-2", "pairs")
    assert "For Pairs" in get(desk, "/desk/events") and "Divisions: Pairs." in get(desk, "/brief/for-2")
    post(desk, "/desk/divisions", name="Empty")
    empty = roster(house).divisions[-1].id
    named(desk, "for-2", "pairs", empty)
    assert "Event of 2 is for Empty." in post(desk, f"/desk/divisions/{empty}/delete", 409)
    named(desk, "for-2", status=200)  # they are let go, which can be undone
    post(desk, f"/desk/divisions/{empty}/delete", 200)
    assert roster(house).events[1].divisions == ()


def judged(**changed: Any) -> CompetitionFile:
    """Pairs did an event for all and one for pairs; a trio did the first, and stands by mistake on a lane of the second."""
    both = Event(id="both", name="Both", format=counted(2), divisions=("pairs", "trios"))
    ours = Event(id="ours", name="Ours", format=counted(2), divisions=("pairs",)).model_copy(update=changed)
    reps = {("both", "pairs1"): 3, ("both", "pairs2"): 2, ("both", "trios1"): 9, ("ours", "pairs1"): 4, ("ours", "trios1"): 8}
    standing = {"both": ["pairs1", "pairs2", "trios1"], "ours": ["pairs1", "pairs2", "trios1"]}
    return a_mixed_day(events=[both, ours], lanes=standing, reps=reps, overall=OverallRule(absent="last"))


def test_who_is_of_another_division_is_not_ranked_and_not_punished_overall() -> None:
    file = judged()
    found = results(file)
    assert {(table.division, row.entry.id) for table in found[1].tables for row in table.rows} == {
        ("pairs", "pairs1"),
        ("pairs", "pairs2"),
    }
    columns = {table.division: [column.event for column in table.columns] for table in overall_tables(file, found)}
    assert (columns["pairs"], columns["trios"]) == (["both", "ours"], ["both"])


def test_a_file_says_whom_its_events_are_for_and_its_digest_covers_that() -> None:
    file = sealed(judged())
    data = write_file(file)
    plain = json.loads(data)
    assert plain["version"] == VERSION and plain["events"][1]["divisions"] == ["pairs"]
    assert read_file(data) == file and recount(data).sealed is not None and recount(data).sealed.faults == ()  # type: ignore[union-attr]
    others = seal_of(judged(divisions=("pairs", "trios"))).events
    assert seal_of(file).events["ours"] != others["ours"] and seal_of(file).events["both"] == others["both"]


def test_a_file_of_version_4_in_which_no_event_names_divisions_keeps_its_digests() -> None:
    """They were computed by the app that wrote version 4, from this file."""
    plain = json.loads(write_file(judged(divisions=())))
    plain["version"] = 4
    for event in plain["events"]:
        event.pop("divisions")
    old = read_file(json.dumps(plain).encode())
    both = "192ffdd58203735912ac0e7cb63f68ca1e654bed623ecef314452230f449d812"
    assert seal_of(old).events == {"both": both, "ours": "7ba847b7a577aaad3bfd0ae03a647acef2ab4b9151e5c38b99a65f42b56a8e0c"}
    assert seal_of(old).digest == "c683a10887ca0f44555fba4796361397e4fc3723c0994fe369a0d09c8f4ba7d4"


SIZE = st.integers(1, 3)


@st.composite
def days(draw: st.DrawFn) -> CompetitionFile:
    """Entries of any size in any division, events of any size for any divisions."""
    whose = st.sampled_from(sorted(DIVISIONS))
    entries = [an_entry(f"e{n}", draw(whose), draw(SIZE)) for n in range(draw(st.integers(1, 9)))]
    events = [
        Event(
            id=f"v{n}", name=f"V{n}", format=counted(draw(SIZE)), divisions=tuple(draw(st.lists(whose, max_size=3, unique=True)))
        )
        for n in range(draw(st.integers(1, 4)))
    ]
    return a_mixed_day(entries, events)


@given(days())
@settings(max_examples=30, deadline=None)
def test_each_entry_is_planned_once_in_exactly_the_events_that_are_for_it_and_fit_it(file: CompetitionFile) -> None:
    hall = cast(Hall, SimpleNamespace(projection=SimpleNamespace(roster=file, runs=(), standing_rulings=())))
    groups = groups_of(problem_of(hall, rules_of(file)))
    planned = sorted((group.event, entry) for group in groups for entry in group.lanes.values())
    wanted = [
        (event.id, entry.id)
        for event in file.events
        for entry in file.entries
        if len(entry.members) == event.format.members and entry.division in (event.divisions or of_its_size(file, event))
    ]
    assert planned == sorted(wanted)


def of_its_size(file: CompetitionFile, event: Event) -> set[str]:
    """The divisions where no other size is more usual, or as usual and larger; else all where some entry has that size."""
    sizes = {one.id: [len(entry.members) for entry in file.entries if entry.division == one.id] for one in file.divisions}
    size = event.format.members
    here = {one for one, found in sizes.items() if size in found}
    usual = {one for one in here if all((sizes[one].count(size), size) >= (sizes[one].count(n), n) for n in sizes[one])}
    return usual or here
