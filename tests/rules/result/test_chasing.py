"""What would pass: the least load, held against trying every load there is."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.count.sheets import counting_tallies
from app.rules.records.document import CompetitionFile
from app.rules.result.chasing import MOST_AHEAD, Turn, WithGood, chase, with_good, with_lift
from app.rules.result.results import event_results
from app.rules.values.units import Load, Rounding
from app.rules.workout.formats import Format, TieStep
from tests.builders.meets import NAMES, a_mark, a_meet, heavy, penalty

WINDOW = 1


def lifted(loads: Sequence[int | None], **rule: Any) -> CompetitionFile:
    """The meet's open division after its deadlift with these loads in kg (None: nothing judged), under a changed score rule."""
    format = heavy()
    score = format.scores[1].model_copy(update=rule)
    changed = format.model_copy(update={"scores": (score,)})
    file = a_meet(done={})
    marks = []
    for n, load in enumerate(loads, 1):
        if load is not None:
            said = {"load": {"amount": str(load), "unit": "kg"}}
            marks.append(a_mark(f"asg_3{n}/1/lane", 1, "lift", 70_000 + n, WINDOW, **said, good=True))
    file = CompetitionFile.model_validate({**file.model_dump(mode="json"), "marks": marks})
    events = tuple(event.model_copy(update={"format": changed}) if event.id == "heavy" else event for event in file.events)
    return file.model_copy(update={"events": events})


def chased(file: CompetitionFile, entry: int) -> dict[str, str | None]:
    """Names ahead and the load that passes each."""
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    standing = event_results(file, "heavy", tallies, file.rulings)
    found = chase(file, standing, tallies, file.rulings, Turn(f"asg_3{entry}", WINDOW))
    assert found is not None
    return {one.name: one.load.text() if one.load else None for one in found.ahead}


def passes(file: CompetitionFile, entry: int, target: str, load: Load) -> bool:
    """Whether a lift of this load puts the entry before the target, the whole event ranked anew."""
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    turn = Turn(f"asg_3{entry}", WINDOW)
    format = file.events[2].format
    own = tallies.get(turn.assignment)
    from app.rules.count.tally import fold

    tried = {**tallies, turn.assignment: with_lift(format, own or fold(format, ()), turn, load)}
    table = event_results(file, "heavy", tried, file.rulings).tables[0]
    places = {row.entry.name: row.place for row in table.rows}
    mine = places[NAMES[entry - 1]]
    return mine is not None and mine < (places[target] or 99)


def good(file: CompetitionFile, entry: int, load: Load) -> WithGood | None:
    """What a good lift of this load would come to."""
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    standing = event_results(file, "heavy", tallies, file.rulings)
    return with_good(file, standing, tallies, file.rulings, Turn(f"asg_3{entry}", WINDOW), load)


def test_a_good_lift_is_told_by_its_place_and_by_whom_it_goes_past() -> None:
    file = lifted([100, 105, 110, None])
    assert good(file, 1, Load("104", "kg")) == WithGood(3, False, 3, ())
    assert good(file, 1, Load("105", "kg")) == WithGood(2, True, 3, ()), "level with Bo, and past nobody"
    assert good(file, 1, Load("112", "kg")) == WithGood(1, False, 3, ("Cy Marlow", "Bo Farrow"))
    assert good(file, 4, Load("112", "kg")) == WithGood(1, False, 4, ()), "who had no place goes past nobody by name"


def test_a_shared_place_is_passed_by_one_step() -> None:
    file = lifted([100, 100, 120])
    assert chased(file, 1) == {"Cy Marlow": "121 kg", "Bo Farrow": "101 kg"}


def test_pounds_above_are_passed_in_the_kilograms_of_the_event() -> None:
    # 225 lb are 102.05828325 kg, exactly (1 lb = 0.45359237 kg): 103 kg is the least whole kilogram above it.
    file = lifted([100, None])
    pounds = a_mark("asg_32/1/lane", 1, "lift", 70_000, WINDOW, load={"amount": "225", "unit": "lb"}, good=True)
    file = CompetitionFile.model_validate(
        {**file.model_dump(mode="json"), "marks": [*file.model_dump(mode="json")["marks"], pounds]}
    )
    assert chased(file, 1) == {"Bo Farrow": "103 kg"}


def test_the_lighter_passes_with_the_same_load_where_bodyweight_breaks_ties() -> None:
    # Ada weighs 61 kg and Bo 62.
    by_weight = (TieStep(kind="bodyweight"),)
    assert chased(lifted([90, 100], ties=by_weight), 1) == {"Bo Farrow": "100 kg"}
    assert chased(lifted([100, 90], ties=by_weight), 2) == {"Ada Quill": "101 kg"}
    assert chased(lifted([90, 100], ties=(TieStep(kind="earlier_best"),)), 1) == {"Bo Farrow": "101 kg"}


def test_a_score_rounded_down_needs_the_next_whole_step_of_the_rounding() -> None:
    rounded = {"rounding": Rounding.DOWN, "rounding_step": Fraction(5)}
    assert chased(lifted([90, 101], **rounded), 1) == {"Bo Farrow": "105 kg"}


def test_a_penalty_is_made_up_for() -> None:
    file = lifted([90, 100])
    assert chased(file.model_copy(update={"rulings": (penalty("ent_1", "heavy", "5"),)}), 1) == {"Bo Farrow": "106 kg"}


def test_before_the_first_lift_everybody_with_a_place_is_ahead() -> None:
    assert chased(lifted([None, 100, 110]), 1) == {"Cy Marlow": "111 kg", "Bo Farrow": "101 kg"}


def test_who_leads_has_nobody_ahead() -> None:
    assert chased(lifted([150, 100]), 1) == {}


def test_what_nobody_lifts_is_out_of_reach() -> None:
    assert chased(lifted([90, 600]), 1) == {"Bo Farrow": None}


def test_the_leader_and_the_nearest_are_named_and_the_rest_counted() -> None:
    file = lifted([100, 110, 120, 130, 140])
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    standing = event_results(file, "heavy", tallies, ())
    wide = [row for table in standing.tables for row in table.rows]
    found = chase(file, standing, tallies, (), Turn("asg_31", WINDOW))
    assert found is not None and len(found.ahead) == MOST_AHEAD and found.more == 0 and len(wide) == 8
    assert [one.place for one in found.ahead] == [1, 2, 3, 4] and found.place == 5


@pytest.mark.parametrize("change", [{"better": "less"}, {"parts": heavy().scores[0].parts}])
def test_nothing_is_said_where_a_heavier_lift_is_not_what_counts(change: dict[str, Any]) -> None:
    file = lifted([90, 100], **change)
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    standing = event_results(file, "heavy", tallies, ())
    assert chase(file, standing, tallies, (), Turn("asg_31", WINDOW)) is None


def test_loads_that_may_not_go_down_start_at_the_heaviest_so_far() -> None:
    file = lifted([None, 50])
    miss = a_mark("asg_31/1/lane", 1, "lift", 65_000, WINDOW, load={"amount": "80", "unit": "kg"}, good=False)
    plain = file.model_dump(mode="json")
    plain["events"][2]["format"]["tasks"]["pulls"]["may_go_down"] = False
    assert chased(CompetitionFile.model_validate({**plain, "marks": [*plain["marks"], miss]}), 1) == {"Bo Farrow": "80 kg"}


loads = st.none() | st.integers(20, 180)
ties = st.lists(
    st.sampled_from([TieStep(kind="bodyweight"), TieStep(kind="earlier_best"), TieStep(kind="best_lift")]), max_size=2
)


@settings(max_examples=25, deadline=None)
@given(st.lists(loads, min_size=3, max_size=5), ties, st.sampled_from([Rounding.NONE, Rounding.DOWN, Rounding.NEAREST]))
def test_the_least_load_passes_and_one_step_less_does_not(some: list[int | None], steps: list[TieStep], how: Rounding) -> None:
    file = lifted(some, ties=tuple(steps), rounding=how, rounding_step=Fraction(5, 2))
    for target, text in chased(file, 1).items():
        assert text is not None
        load = Load(text.removesuffix(" kg"), "kg")
        assert passes(file, 1, target, load)
        one_less = Load(str(int(load.amount) - 1), "kg")
        assert load == Load("20", "kg") or not passes(file, 1, target, one_less)
        if some[0] is not None:  # the other way round, the lift says whom it goes past
            said = [one.past for one in (good(file, 1, load), good(file, 1, one_less)) if one]
            assert target in said[0] and target not in said[-1]


def test_a_tried_lift_changes_nothing_but_its_window() -> None:
    file = lifted([100, 90])
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    format: Format = file.events[2].format
    before = tallies["asg_31"]
    after = with_lift(format, before, Turn("asg_31", WINDOW), Load("130", "kg"))
    assert after.windows[WINDOW].best is not None and after.windows[WINDOW].best.load == Load("130", "kg")
    assert replace(after, windows=before.windows) == before
