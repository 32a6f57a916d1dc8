"""Team points: the best so many of a club or of a named team, from overall places or totals, per division or over all."""

from collections import defaultdict
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.results.recount import recount_of, recount_plain, recount_table
from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.resting import deciding
from app.rules.records.team_rule import TeamRule
from app.rules.result.overall_results import OverallLine, OverallTable
from app.rules.result.results import results
from app.rules.result.teams import TeamTable, team_lines, team_tables
from tests.builders.meets import a_meet

TABLE = (Fraction(12), Fraction(9), Fraction(8), Fraction(7), Fraction(6))


def a_rule(**more: Any) -> OverallRule:
    return OverallRule(by="linear", teams=TeamRule(**{"points": TABLE, "best": 2, **more}))


def a_team_meet(rule: OverallRule) -> CompetitionFile:
    """The meet with every second entry of each division named for Oak, the others for Elm but for the last."""
    whole = a_meet(rule)
    teams = ["Elm", "Oak", "Elm", "Oak", "Elm", "Oak", "Elm", ""]
    named = [one.model_copy(update={"team": team}) for one, team in zip(whole.entries, teams, strict=True)]
    return whole.model_copy(update={"entries": tuple(named)})


def teams(file: CompetitionFile) -> tuple[TeamTable, ...]:
    return recount_of(file, results(file)).teams


def standing(table: TeamTable) -> list[tuple[int, str, Fraction, list[tuple[str, bool]]]]:
    return [(row.place, row.team, row.total, [(one.entry.id, one.counts) for one in row.cells]) for row in table.rows]


def test_the_best_of_a_named_team_count_over_all_divisions() -> None:
    # Overall: Bo (ent_2) 1, the sisterhood (ent_4) 2, Ada (ent_1) 3, Cy (ent_3) 4; of the masters Edda (ent_6) or others 1 to 3.
    (table,) = teams(a_team_meet(a_rule(of="named")))
    masters = {row.entry.id: row.place for row in recount_of(*_counted(a_rule(of="named"))).overall[1].rows}
    assert masters == {"ent_6": 2, "ent_7": 1, "ent_8": 3}
    assert standing(table) == [
        (1, "Oak", Fraction(21), [("ent_2", True), ("ent_6", True), ("ent_4", False)]),
        (2, "Elm", Fraction(20), [("ent_7", True), ("ent_1", True), ("ent_3", False)]),
    ]
    assert table.without == ("Gil Haverstock",)


def test_a_team_that_is_spelt_otherwise_is_the_same_team() -> None:
    file = a_team_meet(a_rule(of="named"))
    odd = {"ent_4": "oak ", "ent_6": "OAK"}
    other = file.model_copy(update={"entries": tuple(e.model_copy(update={"team": odd.get(e.id, e.team)}) for e in file.entries)})
    assert [standing(table) for table in teams(other)] == [standing(table) for table in teams(file)]


def test_teams_that_share_a_place_and_entries_that_are_level_stand_in_the_order_of_names() -> None:
    whole = a_meet(a_rule(of="named"))
    named = [("Zinc", "Zoe"), ("Éclair", "Élan"), ("Zinc", "Ödön"), ("Éclair", "Fee")]
    entries = [
        whole.entries[0].model_copy(update={"id": f"e{n}", "team": team, "name": name}) for n, (team, name) in enumerate(named)
    ]
    rows = tuple(OverallLine(1, True, entry, (), (), Fraction(0), None) for entry in entries)
    roster = whole.model_copy(update={"entries": tuple(entries)})
    (table,) = team_tables(roster, [OverallTable(a_rule(), "open", "Open", (), rows)])
    told = [(row.place, row.team, [cell.entry.name for cell in row.cells]) for row in table.rows]
    assert told == [(1, "Éclair", ["Élan", "Fee"]), (1, "Zinc", ["Ödön", "Zoe"])]


def _counted(rule: OverallRule) -> tuple[CompetitionFile, Any]:
    file = a_team_meet(rule)
    return file, results(file)


def test_clubs_are_teams_of_their_own_and_each_division_can_have_its_standing() -> None:
    apart = teams(a_meet(a_rule(over="division")))
    assert [table.division_name for table in apart] == ["Open", "Masters"]
    assert standing(apart[0]) == [(1, "Quay Barbell", Fraction(15), [("ent_1", True), ("ent_3", True)])]
    assert set(apart[0].without) == {"Bo Farrow", a_meet().entries[3].name}


def test_overall_totals_can_be_what_an_entry_brings() -> None:
    file = a_team_meet(a_rule(of="named", by="total", best=1))
    (table,) = teams(file)
    best = max(row.total for one in recount_of(file, results(file)).overall for row in one.rows if row.place is not None)
    assert table.rows[0].total == best
    with pytest.raises(ValidationError, match="would reward the worst"):
        OverallRule(by="places", teams=TeamRule(by="total"))
    with pytest.raises(ValidationError, match="at least one place"):
        TeamRule()


def test_a_recount_of_what_decides_gives_the_same_teams_and_says_them() -> None:
    file = a_team_meet(a_rule(of="named"))
    assert teams(deciding(file)) == teams(file)
    found = recount_of(file, results(file))
    assert "Teams · All divisions" in recount_table(found)
    assert [row["team"] for row in recount_plain(found)["teams"][0]["rows"]] == ["Oak", "Elm"]
    assert "its best 2 entries count" in " ".join(team_lines(a_rule().teams or TeamRule(points=TABLE)))


@given(st.lists(st.tuples(st.sampled_from("PQR"), st.integers(1, 9)), min_size=1, max_size=12), st.integers(1, 4))
def test_sums_and_places_are_those_of_adding_up_by_hand(placed: list[tuple[str, int]], best: int) -> None:
    """Against an oracle of its own: points sorted and summed, teams compared by sums and then by sorted places."""
    whole = a_meet(a_rule(of="named", best=best))
    entries = [whole.entries[0].model_copy(update={"id": f"e{n}", "team": team}) for n, (team, _) in enumerate(placed)]
    roster = whole.model_copy(update={"entries": tuple(entries)})
    rows = tuple(
        OverallLine(place, False, entry, (), (), Fraction(0), None) for entry, (_, place) in zip(entries, placed, strict=True)
    )
    (table,) = team_tables(roster, [OverallTable(a_rule(), "open", "Open", (), rows)])
    places: dict[str, list[int]] = defaultdict(list)
    for team, place in placed:
        places[team].append(place)
    worth = {place: int(TABLE[place - 1]) if place <= 5 else 0 for place in range(1, 10)}
    key = {
        team: (-sum(worth[one] for one in sorted(own)[:best]), sorted(own)[:best] + [10**9] * (best - len(own)))
        for team, own in places.items()
    }
    assert {row.team: (row.place, int(row.total)) for row in table.rows} == {
        team: (1 + sum(other < own for other in key.values()), -own[0]) for team, own in key.items()
    }
