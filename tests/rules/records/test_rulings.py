"""Rulings: records that change a result by being applied, never by an edit, and that a later one takes back."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import ruled_sheets
from app.rules.count.tally import fold
from app.rules.records.document import CompetitionFile
from app.rules.records.in_force import signed_off, standing, taken_back
from app.rules.records.marks import Mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.overall_results import begun
from app.rules.result.results import Row, results
from app.rules.workout.formats import CountTask, Format, JoinRule, ScoreRule
from tests.builders.cast import FORMATS, Plain, Sheet, a_competition, a_format, a_lift_task, a_run, parsed, reps, take
from tests.builders.chance import sheets_of_any, shuffled

SWINGS = a_format(CountTask(movement="swing"))
TWO = {"Open": ["Ana", "Bo"]}
KILOS = take("best")


def a_ruling(kind: str, body: Plain, at: int = 1, **about: Any) -> Plain:
    return {"id": f"rul_{at}", "kind": kind, "body": body, "by": "Sam", "why": "Seen", "made_wall_ms": at, **about}


def on_lane(kind: str, body: Plain, at: int = 1, lane: int = 1) -> Plain:
    return a_ruling(kind, body, at, assignment=f"asg_{lane}")


def added(number: int, at: int = 1, lane: int = 1, window: int = 0, run: int = 1, **more: Any) -> Plain:
    return on_lane("reps", {"add": number, "window": window, "run": run, **more}, at, lane)


def undo(target: int, at: int) -> Plain:
    return a_ruling("undo", {"ruling": f"rul_{target}"}, at)


def rows(file: CompetitionFile) -> dict[str, Row]:
    return {row.entry.name: row for row in results(file)[0].tables[0].rows}


def counts(marks: list[Plain], rulings: list[Plain], format: Any = SWINGS, **more: Any) -> dict[str, str]:
    found = rows(a_competition(format, TWO, marks, rulings=rulings, **more))
    return {name: row.score.text if row.score else row.status for name, row in found.items()}


def test_repetitions_are_added_and_taken_and_the_place_follows() -> None:
    marks = reps(5, 1) + reps(6, 2)
    assert counts(marks, []) == {"Ana": "5", "Bo": "6"}
    assert counts(marks, [added(2)]) == {"Ana": "7", "Bo": "6"}
    assert counts(marks, [added(2), added(-1, 2)]) == {"Ana": "6", "Bo": "6"}
    found = rows(a_competition(SWINGS, TWO, marks, rulings=[added(1)]))
    assert (found["Ana"].place, found["Ana"].shared, [r.id for r in found["Ana"].rulings]) == (1, True, ["rul_1"])
    assert found["Bo"].rulings == ()


def test_no_more_repetitions_are_taken_than_there_are() -> None:
    assert counts(reps(5, 1), [added(-9)])["Ana"] == "0"


def test_a_ruling_on_repetitions_holds_for_its_run_alone() -> None:
    runs = [a_run(1, "stopped").model_dump(), a_run(2).model_dump()]
    marks = reps(5, 1) + reps(3, 1, run=2)
    assert counts(marks, [added(2, run=1)], runs=runs)["Ana"] == "3"
    assert counts(marks, [added(2, run=2)], runs=runs)["Ana"] == "5"


def test_a_repetition_that_is_named_is_the_one_that_goes() -> None:
    marks = reps(4, 1)
    assert times_left(marks, added(-1, marks=[marks[1]["id"]])) == [0, 1_000, 1_500]
    assert times_left(marks, added(-1)) == [0, 500, 1_000]
    assert times_left(marks, added(-1, marks=["f" * 32])) == [0, 500, 1_000], "one that is not there takes the last"
    assert times_left(marks, added(1)) == [0, 500, 1_000, 1_500, 1_500]


def times_left(marks: list[Plain], ruling: Plain) -> list[int]:
    clock = SheetClock(ruled=(Ruling.model_validate(ruling),))
    return [at for at, _, _ in fold(SWINGS, parsed(marks), clock).windows[0].reps]


def test_an_added_repetition_keeps_an_entry_in_that_the_target_had_put_out() -> None:
    ladder, sheet = FORMATS["ladder"], Sheet("asg_1")
    marks = [sheet.rep(1_000 * n) for n in range(1, 3)] + [sheet.rep(60_000 + 1_000 * n) for n in range(1, 5)]
    assert counts(marks, [], ladder)["Ana"] == "2"
    assert counts(marks, [added(1)], ladder)["Ana"] == "7"


def test_the_last_repetition_of_a_list_given_by_ruling_makes_its_finish_count() -> None:
    sheet = Sheet("asg_1")
    marks = [sheet.rep(1_000 * n) for n in range(1, 13)] + [sheet.mark("finish", 14_000)]
    assert counts(marks, [], FORMATS["list"])["Ana"] == "capped, 1 left"
    assert counts(marks, [added(1)], FORMATS["list"])["Ana"] == "0:14"
    assert counts(marks, [added(1), added(-1, 2)], FORMATS["list"])["Ana"] == "capped, 1 left"


def test_with_several_counters_a_repetition_is_added_to_each_so_the_joined_count_grows_by_one() -> None:
    format = SWINGS.model_copy(update={"counters": JoinRule(how="mean")})
    second = [{**mark, "sheet": "asg_1/1/second", "epoch": 2, "id": f"{n:032x}"} for n, mark in enumerate(reps(7, 1), start=1)]
    assert counts(reps(5, 1) + second, [], format)["Ana"] == "6"
    assert counts(reps(5, 1) + second, [added(1)], format)["Ana"] == "7"
    assert counts(reps(5, 1) + second, [added(-2)], format)["Ana"] == "4"


def test_a_lift_is_credited_and_refused() -> None:
    sheet, format = Sheet("asg_1"), a_format(a_lift_task(), KILOS, unit="kg")
    marks = [sheet.lift(5_000, "100 kg", True), sheet.lift(20_000, "110 kg", False, "depth")]
    credited = on_lane("lift", {"mark": marks[1]["id"], "good": True})
    refused = on_lane("lift", {"mark": marks[0]["id"], "good": False, "fault": "depth"}, 2)
    assert counts(marks, [], format)["Ana"] == "100"
    assert counts(marks, [credited], format)["Ana"] == "110"
    assert counts(marks, [refused], format)["Ana"] == "0"
    again = on_lane("lift", {"mark": marks[1]["id"], "good": False}, 3)
    assert counts(marks, [credited, again], format)["Ana"] == "100"


def test_a_lift_after_the_bell_counts_where_the_ruling_says_it_was_done() -> None:
    sheet, format = Sheet("asg_1"), a_format(a_lift_task(counts_when="finished"), KILOS, unit="kg")
    marks = [sheet.lift(5_000, "100 kg", True), sheet.lift(65_000, "110 kg", True, win=0)]
    assert counts(marks, [], format)["Ana"] == "100"
    assert counts(marks, [on_lane("lift", {"mark": marks[1]["id"], "good": True, "at": 59_000})], format)["Ana"] == "110"


def test_two_sheets_made_on_the_wrong_lanes_change_places_and_one_moved_alone_leaves_nothing_behind() -> None:
    marks = reps(5, 1) + reps(6, 2)
    there = on_lane("move", {"sheet": "asg_2/1/lane"}, 1, lane=1)
    back = on_lane("move", {"sheet": "asg_1/1/lane"}, 2, lane=2)
    assert counts(marks, [there, back]) == {"Ana": "6", "Bo": "5"}
    assert counts(marks, [there]) == {"Ana": "6", "Bo": "not judged yet"}
    assert counts(marks, [there, back, added(1, 3)])["Ana"] == "7", "a ruling is on the entry's own lane, whoever marked it"
    assert counts(marks, [there, on_lane("move", {"sheet": "asg_2/1/lane"}, 2, lane=2)]) == {"Ana": "5", "Bo": "6"}


def test_another_sheet_stands_alone() -> None:
    video = [{**mark, "sheet": "asg_1/1/video", "epoch": 2, "id": f"{n:032x}"} for n, mark in enumerate(reps(9, 1), start=1)]
    assert counts(reps(5, 1) + video, [])["Ana"] == "5"
    assert counts(reps(5, 1) + video, [on_lane("stand", {"sheet": "asg_1/1/video"})])["Ana"] == "9"


def test_one_lane_keeps_its_first_run_when_the_heat_was_run_again() -> None:
    runs = [a_run(1, "stopped").model_dump(), a_run(2).model_dump()]
    marks = reps(5, 1) + reps(3, 1, run=2) + reps(4, 2, run=2)
    assert counts(marks, [on_lane("run", {"run": 1})], runs=runs) == {"Ana": "5", "Bo": "4"}


def with_rerun(rulings: list[Plain], marks: list[Plain]) -> CompetitionFile:
    """Ana runs again on lane 1 of a second heat."""
    plain = a_competition(SWINGS, TWO, marks, rulings=rulings).model_dump(mode="json")
    again = {"id": "asg_9", "lane": 1, "entry": "ent_1"}
    heats = [*plain["heats"], {"id": "heat_2", "event": "evt", "number": 2, "lanes": [again]}]
    return CompetitionFile.model_validate({**plain, "heats": heats, "runs": [*plain["runs"], {"heat": "heat_2", "number": 1}]})


def test_a_rerun_is_awaited_then_counts_and_the_first_run_can_be_let_stand() -> None:
    granted = a_ruling("rerun", {"again": "asg_9", "counts": "again"}, 1, assignment="asg_1", entry="ent_1")
    first = {**granted, "body": {"again": "asg_9", "counts": "original"}, "id": "rul_2", "made_wall_ms": 2}
    second_run = [{**mark, "sheet": "asg_9/1/lane", "epoch": 9, "id": f"{n:032x}"} for n, mark in enumerate(reps(3, 1), start=1)]
    assert rows(with_rerun([granted], reps(5, 1)))["Ana"].status == "to be rerun"
    alone = with_rerun([granted], reps(5, 1)).model_copy(update={"marks": ()})
    assert not any(begun(table) for table in results(alone)[0].tables), "nobody is scored or out"
    assert rows(with_rerun([granted], reps(5, 1) + second_run))["Ana"].score.text == "3"  # type: ignore[union-attr]
    found = rows(with_rerun([granted, first], reps(5, 1) + second_run))["Ana"]
    assert found.score is not None and found.score.text == "5" and found.assignment == "asg_1"


def test_a_penalty_may_be_on_one_score_of_several() -> None:
    rule = SWINGS.scores[0]
    both = SWINGS.model_copy(update={"scores": (rule, ScoreRule(**{**rule.model_dump(), "id": "other", "name": "Other"}))})
    only = on_lane("penalty", {"amount": "2", "score": "other"})
    tables = results(a_competition(both, TWO, reps(5, 1), rulings=[only]))[0].tables
    assert [table.rows[0].penalty for table in tables] == [Fraction(0), Fraction(2)]
    assert [len(table.rows[0].rulings) for table in tables] == [0, 1]


def test_who_did_not_start_is_no_zero() -> None:
    found = rows(a_competition(SWINGS, TWO, reps(1, 2), rulings=[on_lane("status", {"status": "did_not_start"})]))
    assert (found["Ana"].place, found["Ana"].score, found["Ana"].status) == (None, None, "did not start")


def test_a_ruling_is_taken_back_by_another_and_that_by_a_third() -> None:
    marks = reps(5, 1)
    assert counts(marks, [added(2, 1), undo(1, 2)])["Ana"] == "5"
    assert counts(marks, [added(2, 1), undo(1, 2), undo(2, 3)])["Ana"] == "7"
    assert counts(marks, [undo(2, 1), added(2, 2)])["Ana"] == "7", "nothing takes back what came after it"
    file = a_competition(SWINGS, TWO, marks, rulings=[added(2, 1), undo(1, 2)])
    assert {key: by.id for key, by in taken_back(file.rulings).items()} == {"rul_1": "rul_2"}


def signed(file: CompetitionFile, at: int, state: str = "signed") -> Ruling:
    body = {"state": state} | ({"marks": marks_held(file.marks), "runs": {"heat": 1}} if state == "signed" else {})
    return Ruling.model_validate(a_ruling("sign_off", body, at, event="evt"))


def test_a_signed_event_lets_in_no_later_mark_ruling_or_run_until_it_is_opened_again() -> None:
    early = a_competition(SWINGS, TWO, reps(5, 1) + reps(6, 2))
    late = [Sheet("asg_1", device="tab-b").rep(9_000)]
    later = [added(3, 20), undo(1, 21)]
    everything = early.marks + a_competition(SWINGS, TWO, late).marks
    again = (*early.runs, a_run(2))
    rulings = [Ruling.model_validate(one) for one in later]
    locked = early.model_copy(update={"marks": everything, "runs": again, "rulings": (signed(early, 10), *rulings)})
    assert results(locked)[0].tables[0].rows[0].score == results(early)[0].tables[0].rows[0].score
    assert {name: row.place for name, row in rows(locked).items()} == {"Bo": 1, "Ana": 2}
    opened = locked.model_copy(update={"runs": early.runs, "rulings": (*locked.rulings, signed(early, 30, "open"))})
    assert signed_off(locked.rulings, "evt") and signed_off(opened.rulings, "evt") is None
    assert rows(opened)["Ana"].score.text == "9"  # type: ignore[union-attr]


@pytest.mark.parametrize("life", ["x", "x/a", "/1", "a/b/1", "x/0", "x/\uff11", "x/-1", f"x/{'9' * 5_000}", "x/1\n"])
def test_a_sign_off_names_lives_of_tablets_and_nothing_else(life: str) -> None:
    """A file with another name there was read, and every page of its hall failed on it."""
    Ruling.model_validate(a_ruling("sign_off", {"state": "signed", "marks": {"x/1": "1-3"}, "runs": {}}, event="evt"))
    with pytest.raises(ValueError, match="A sign-off says which marks"):
        Ruling.model_validate(a_ruling("sign_off", {"state": "signed", "marks": {life: "1-3"}, "runs": {}}, event="evt"))


@pytest.mark.parametrize("overall", ["places", [], {"by": "luck"}, {"by": "table"}, {"first": 1.5, "more": 2}])
def test_a_sign_off_holds_an_overall_rule_or_none(overall: object) -> None:
    body = {"state": "signed", "marks": {}, "runs": {}}
    for fits in (None, OverallRule(named="evt").model_dump(mode="json")):
        Ruling.model_validate(a_ruling("sign_off", {**body, "overall": fits}, event="evt"))
    with pytest.raises(ValueError, match="A sign-off says which marks"):
        Ruling.model_validate(a_ruling("sign_off", {**body, "overall": overall}, event="evt"))


def test_a_ruling_taken_back_after_the_sign_off_holds_for_the_signed_event() -> None:
    base = a_competition(SWINGS, TWO, reps(5, 1), rulings=[added(2, 1)])
    back = Ruling.model_validate(undo(1, 20))
    locked = base.model_copy(update={"rulings": (*base.rulings, signed(base, 10), back)})
    assert rows(locked)["Ana"].score.text == "7"  # type: ignore[union-attr]


BAD = [
    ("reps", {"add": 0, "window": 0, "run": 1}),
    ("reps", {"add": True, "window": 0, "run": 1}),
    ("reps", {"add": 2, "window": 0, "run": 1, "marks": ["a" * 32]}),
    ("lift", {"mark": "short", "good": True}),
    ("lift", {"mark": "a" * 32}),
    ("move", {"sheet": "asg_1"}),
    ("stand", {"sheet": "asg_1/0/lane"}),
    ("run", {"run": 0}),
    ("medical", {"state": "cleared"}),
    ("medical", {"state": "cleared", "medic": "  "}),
    ("call", {"call": "rain"}),
    ("flag", {"flag": "x", "marks": [], "done": "gone"}),
    ("protest", {"protest": "prt_1", "decision": "maybe"}),
    ("undo", {}),
    ("penalty", {"amount": "5", "score": "No"}),
]


@pytest.mark.parametrize(("kind", "body"), BAD)
def test_a_ruling_that_says_nonsense_is_refused(kind: str, body: Plain) -> None:
    with pytest.raises(ValidationError):
        Ruling.model_validate(on_lane(kind, body))


def test_a_ruling_on_a_lane_names_it_and_a_sign_off_its_event() -> None:
    for kind, body in (("reps", {"add": 1, "window": 0, "run": 1}), ("run", {"run": 1}), ("medical", {"state": "stopped"})):
        with pytest.raises(ValidationError, match="names its lane assignment"):
            Ruling.model_validate(a_ruling(kind, body))
    with pytest.raises(ValidationError, match="names its event"):
        Ruling.model_validate(a_ruling("sign_off", {"state": "open"}))


@st.composite
def _some_rulings(draw: st.DrawFn) -> list[Plain]:
    made: list[Plain] = []
    for at in range(1, draw(st.integers(1, 8))):
        kind = draw(st.sampled_from(["reps", "undo", "status", "penalty", "move", "run"]))
        lane = draw(st.integers(1, 2))
        body: Plain = {
            "reps": {"add": draw(st.integers(-4, 4).filter(bool)), "window": 0, "run": 1},
            "undo": {"ruling": f"rul_{draw(st.integers(1, 8))}"},
            "status": {"status": draw(st.sampled_from(["", "did_not_finish", "withdrawn"]))},
            "penalty": {"amount": str(draw(st.integers(-3, 3)))},
            "move": {"sheet": f"asg_{draw(st.integers(1, 2))}/1/lane"},
            "run": {"run": draw(st.integers(1, 2))},
        }[kind]
        made.append(a_ruling(kind, body, at, **({} if kind == "undo" else {"assignment": f"asg_{lane}"})))
    return made


@given(_some_rulings(), st.randoms(use_true_random=False))
def test_rulings_come_to_the_same_in_whatever_order_they_are_stored(rulings: list[Plain], dice: Any) -> None:
    marks = reps(5, 1) + reps(6, 2) + reps(2, 2, run=2)
    shuffled = dice.sample(rulings, len(rulings))
    assert results(a_competition(SWINGS, TWO, marks, rulings=rulings)) == results(
        a_competition(SWINGS, TWO, marks, rulings=shuffled)
    )


@given(_some_rulings())
def test_what_stands_is_left_alone_when_it_is_asked_again_and_each_sheet_counts_for_one_entry(rulings: list[Plain]) -> None:
    file = a_competition(SWINGS, TWO, rulings=rulings)
    assert standing(standing(file.rulings)) == standing(file.rulings)
    sources = [found["lane"] for found in ruled_sheets(file, file.runs, file.rulings).values() if found]
    assert len(set(sources)) == len(sources)


@given(_some_rulings())
def test_taking_every_ruling_back_gives_the_result_without_any(rulings: list[Plain]) -> None:
    marks = reps(5, 1) + reps(6, 2)
    plain = [one for one in rulings if one["kind"] != "undo"]
    back = [undo(one["made_wall_ms"], 100 + n) for n, one in enumerate(plain)]
    assert counts(marks, plain + back) == counts(marks, [])


@given(sheets_of_any(), st.integers(-3, 3).filter(bool), st.integers(0, 3), st.data())
def test_on_any_sheet_a_ruling_flags_nothing_that_nobody_marked_and_the_order_of_marks_is_no_matter(
    drawn: tuple[Format, list[Mark]], add: int, window: int, data: st.DataObject
) -> None:
    format, marks = drawn
    clock = SheetClock(ruled=(Ruling.model_validate(added(add, window=window)),))
    tally = fold(format, marks, clock)
    assert {flag.mark for flag in tally.flags} <= {mark.id for mark in marks}
    if add > 0:
        quick = {flag.mark for flag in fold(format, marks).flags if flag.why == "fast"}
        assert {flag.mark for flag in tally.flags if flag.why == "fast"} == quick, "what is added makes nobody else too quick"
    assert fold(format, data.draw(shuffled(marks)), clock) == tally
    task = (
        format.tasks[format.windows[window].task or ""] if window < len(format.windows) and format.windows[window].task else None
    )
    if isinstance(task, CountTask):
        before = fold(format, marks).windows[window].count
        assert tally.windows[window].count == max(0, before + add)
