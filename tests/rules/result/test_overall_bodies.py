"""An overall standing of points by bodyweight: what it asks for, who has no place in it, what a public file says."""

from fractions import Fraction
from typing import Any

import pytest

from app.results.overall_form import whole_score
from app.rules.records.body_formulas import BodyFormula, age_factors_known, formulas_known
from app.rules.records.document import CompetitionFile
from app.rules.records.initials import with_initials
from app.rules.records.overall_rule import OverallRule
from app.rules.records.resting import deciding
from app.rules.records.roster import Event
from app.rules.result.explain_windows import Step
from app.rules.result.overall_explain import explain_overall, rule_lines
from app.rules.result.overall_results import OverallTable, overall_tables
from app.rules.result.results import results
from app.rules.result.sealing import seal_faults, seal_of, sealed
from app.rules.workout.presets import PRESETS
from tests.builders.cast import Sheet, a_competition, load, plain_load
from tests.builders.meets import OPEN, a_meet


def by_points(**more: Any) -> OverallRule:
    formula = formulas_known()["sinclair-2017"]
    assert isinstance(formula, BodyFormula)
    return OverallRule(by="formula", formulas={"heavy": formula}, **more)


def a_lifting_meet(rule: OverallRule, **unknown: Any) -> CompetitionFile:
    """The meet's deadlift alone, women in the open and men in the masters, 40 years old; `unknown` is so of the first athlete."""
    whole = a_meet(rule)
    heavy = next(event for event in whole.events if event.id == "heavy")
    lift = heavy.model_copy(update={"format": heavy.format.model_copy(update={"scores": heavy.format.scores[1:]})})
    people = [
        one.model_copy(
            update={"sex": "women" if one.name in OPEN else "men", "age": 40, **(unknown if one.id == "ath_1" else {})}
        )
        for one in whole.athletes
    ]
    heats = tuple(heat for heat in whole.heats if heat.event == "heavy")
    kept = {lane.id for heat in heats for lane in heat.lanes}
    marks = tuple(mark for mark in whole.marks if mark.sheet.split("/")[0] in kept)
    runs = tuple(run for run in whole.runs if run.heat == heats[0].id)
    update = {"events": (lift,), "athletes": tuple(people), "heats": heats, "marks": marks, "runs": runs}
    return CompetitionFile.model_validate_json(whole.model_copy(update=update).model_dump_json())


def tables(file: CompetitionFile) -> tuple[OverallTable, ...]:
    return overall_tables(file, results(file))


def told(table: OverallTable, entry: str) -> tuple[Step, ...]:
    return explain_overall(table, next(row for row in table.rows if row.entry.id == entry)).steps


def test_points_rank_by_what_a_load_is_worth_at_its_bodyweight_and_say_how() -> None:
    open_table, _ = tables(a_lifting_meet(by_points()))
    # 300 lb at 61 kg before 300 lb at 62 kg, behind 405 lb at 64 kg; 225 lb last; Dot did nothing.
    assert [row.entry.id for row in open_table.rows] == ["ent_4", "ent_1", "ent_2", "ent_3", "ent_5"]
    assert [row.place for row in open_table.rows] == [1, 2, 3, 4, None]
    lines = [line.text for line in told(open_table, "ent_1")[1].lines]
    assert "61 kg of bodyweight, women, times 1.3" in lines[0] and "which counts 181.933" in lines[0]
    assert any(line.startswith("w is the bodyweight in kg.") for line in rule_lines(open_table.rule))


def test_whoever_lacks_what_a_formula_asks_for_has_no_points_and_no_place_and_is_told_why() -> None:
    for unknown, why in (({"sex": ""}, "women's or the men's"), ({"bodyweight": None}, "not weighed")):
        table = tables(a_lifting_meet(by_points(), **unknown))[0]
        row = next(row for row in table.rows if row.entry.id == "ent_1")
        assert row.place is None and row.total == 0 and why in row.cells[0].lacking.text
        steps = told(table, "ent_1")
        assert "without points" in steps[1].lines[0].text and why in steps[2].lines[-1].text
    aged = by_points(ages=age_factors_known()["meltzer-faber"])
    table = tables(a_lifting_meet(aged, age=None))[0]
    assert next(row for row in table.rows if row.entry.id == "ent_1").cells[0].lacking.text == "age not known"


def test_all_divisions_may_be_one_standing_with_places_of_its_own() -> None:
    (everybody,) = tables(a_lifting_meet(by_points(across=True)))
    assert everybody.division_name == "All divisions" and len(everybody.rows) == 8
    assert [row.place for row in everybody.rows] == [1, 2, 3, 4, 5, 6, 7, None]
    apart = {row.entry.id: row.total for table in tables(a_lifting_meet(by_points())) for row in table.rows}
    ranked = [row for row in everybody.rows if row.place is not None]
    assert all(row.total == apart[row.entry.id] for row in ranked)
    loads = {row.entry.id: row.cells[0].place for row in ranked}
    assert loads == {"ent_4": 1, "ent_1": 2, "ent_2": 2, "ent_3": 4, "ent_8": 5, "ent_6": 6, "ent_7": 6}, "by the load, among all"


def test_a_recount_is_handed_what_points_are_made_of_and_a_file_for_everybody_no_more() -> None:
    with_points, aged = a_lifting_meet(by_points()), a_lifting_meet(by_points(ages=age_factors_known()["meltzer-faber"]))
    for file in (with_points, aged):
        assert [table.rows for table in tables(deciding(file))] == [table.rows for table in tables(file)]
        assert not seal_faults(sealed(file))
    assert {one.sex for one in deciding(with_points).athletes} == {"women", "men"}
    assert {one.age for one in deciding(with_points).athletes} == {None} and {one.age for one in deciding(aged).athletes} == {40}
    plain = a_lifting_meet(OverallRule())
    assert {(one.sex, one.bodyweight) for one in deciding(plain).athletes} == {("", None)}
    assert {(one.sex, one.age) for one in with_initials(plain).athletes} == {("", None)}
    assert [t.rows[0].total for t in tables(with_initials(aged))] == [t.rows[0].total for t in tables(aged)]


def test_the_digest_of_an_event_covers_what_its_points_are_made_of() -> None:
    told, other = a_lifting_meet(by_points()), a_lifting_meet(by_points(), sex="men")
    assert seal_of(told).events != seal_of(other).events
    assert seal_of(a_lifting_meet(OverallRule())).events == seal_of(a_lifting_meet(OverallRule(), sex="men")).events


def two_lifters(rule: OverallRule) -> CompetitionFile:
    """A meet with two lifts that are ranked too: Ana makes 170 and 220 kg; Bo has no snatch and jerks 230. Men of 83.5 kg."""
    format = PRESETS["rising_bar"].make({})
    lifts = [(n, window.start * 1000) for n, window in enumerate(format.windows) if window.task]
    marks = []
    for lane, card in enumerate(([(170, 1, True), (220, 1, True)], [(180, 3, False), (230, 1, True)]), 1):
        sheet = Sheet(f"asg_{lane}")
        for (win, start), (kg, tries, good) in zip(lifts, card, strict=True):
            for at in (start + 120_000 * n for n in range(tries)):
                declared = sheet.mark("declare", at, win, load=plain_load(f"{kg} kg"), by="lifter")
                named = {"declared": declared["id"]}
                judged = sheet.mark("lift", at + 9_000, win, load=plain_load(f"{kg} kg"), good=good, **named)
                marks += [declared, judged, sheet.mark("racked", at + 10_000, win, **named)]
    file = a_competition(format, {"Open": ["Ana", "Bo"]}, marks)
    people = tuple(one.model_copy(update={"sex": "men", "bodyweight": load("83.5 kg")}) for one in file.athletes)
    return file.model_copy(update={"athletes": people, "overall": rule})


@pytest.mark.parametrize("absent", ["last", "none", "out"])
def test_the_total_of_a_meet_counts_alone_and_who_has_none_has_no_place_by_points_either(absent: Any) -> None:
    event = two_lifters(OverallRule()).events[0]
    formulas = {event.id: formulas_known()["sinclair-2001"]}
    assert whole_score(event) == "score"
    total = OverallRule(by="formula", formulas=formulas, absent=absent, only={event.id: whole_score(event)})
    (table,) = tables(two_lifters(total))
    # 390 kg at 83.5 kg of bodyweight: 459.028, as the federation's page of 2004 has it (tests/outside/test_body_formulas.py).
    assert [(row.place, row.entry.name) for row in table.rows] == [(1, "Ana"), (None, "Bo")]
    assert table.rows[0].total == Fraction("459.028") and [column.rule for column in table.columns] == ["score"]
    each = overall_tables(two_lifters(OverallRule(by="formula", formulas=formulas)), results(two_lifters(total)))[0]
    assert len(each.columns) == 3, "where nobody says which one, each of its scores counts"
    gone = OverallRule(by="formula", formulas=formulas, only={event.id: "no_more"})
    assert len(tables(two_lifters(gone))[0].columns) == 3, "a score that the event has no more takes none of the others away"


def test_only_a_score_that_holds_all_others_is_a_whole_of_them() -> None:
    for key, whole in (("rising_bar", "score"), ("lifts_in_rounds", "score"), ("max_load", "")):
        assert whole_score(Event(id="e", name="E", format=PRESETS[key].make({}))) == whole
    heavy = next(event for event in a_meet().events if event.id == "heavy")
    assert len(heavy.format.scores) == 2 and whole_score(heavy) == "", "two scores of an event that share nothing"
