"""From a whole competition to its results: which sheets count, who stands where, what rulings change."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.count.sheets import counting_tallies, sheets_that_count
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.results import Row, Table, event_results, results
from app.rules.workout.formats import CountTask, JoinRule, MeasureTask, Part, ScoreRule, TieStep
from tests.builders.cast import FORMATS, Plain, Sheet, a_competition, a_format, a_run, reps
from tests.builders.chance import sheets, shuffled

SWINGS = a_format(CountTask(movement="swing"))
FOUR = {"Open": ["Ana", "Bo", "Cy"], "Masters": ["Di"]}


def _tables(file: CompetitionFile) -> list[Table]:
    return list(results(file)[0].tables)


def _line(row: Row) -> tuple[int | None, str, str, str]:
    return (row.place, row.entry.name, row.score.text if row.score else "", row.status)


def _open(marks: list[Plain], **more: Any) -> list[tuple[int | None, str, str, str]]:
    return [_line(row) for row in _tables(a_competition(SWINGS, FOUR, marks, **more))[0].rows]


def _ruling(kind: str, body: Plain, number: int = 1, **about: str) -> Plain:
    return {"id": f"rul_{number}", "kind": kind, "body": body, "by": "Sam", "why": "Seen", "made_wall_ms": number, **about}


def test_each_division_has_its_own_places() -> None:
    tables = _tables(a_competition(SWINGS, FOUR, reps(5, lane=1) + reps(7, lane=2) + reps(5, lane=3) + reps(1, lane=4)))
    assert [table.division_name for table in tables] == ["Open", "Masters"]
    assert [_line(row) for row in tables[0].rows] == [(1, "Bo", "7", ""), (2, "Ana", "5", ""), (2, "Cy", "5", "")]
    assert [row.shared for row in tables[0].rows] == [False, True, True]
    assert [_line(row) for row in tables[1].rows] == [(1, "Di", "1", "")]
    assert tables[0].rows[0].members == ("Bo Reed",)


def test_who_has_not_been_judged_waits_below_without_a_place_and_a_zero_is_ranked() -> None:
    no_rep = [Sheet("asg_1").mark("norep", 1_000)]
    assert _open(no_rep + reps(2, lane=3)) == [(1, "Cy", "2", ""), (2, "Ana", "0", ""), (None, "Bo", "", "not judged yet")]


def test_a_restart_leaves_the_marks_of_the_first_run_behind() -> None:
    marks = reps(9, lane=1) + reps(4, lane=1, run=2) + reps(5, lane=2, run=2)
    runs = [a_run(1, "stopped").model_dump(), a_run(2).model_dump()]
    assert _open(marks, runs=runs)[:2] == [(1, "Bo", "5", ""), (2, "Ana", "4", "")]


def test_after_an_abort_the_next_run_counts_and_it_has_no_marks_yet() -> None:
    file = a_competition(SWINGS, FOUR, reps(9), runs=[a_run(1, "stopped").model_dump()])
    assert sheets_that_count(file, file.runs)["asg_1"]["lane"] == "asg_1/2/lane"
    assert [row.status for row in _tables(file)[0].rows] == ["not judged yet"] * 3


def test_a_lane_started_by_hand_while_the_desk_was_gone_counts() -> None:
    assert _open(reps(3, lane=2), runs=[])[0] == (1, "Bo", "3", "")


def test_only_the_lane_judges_sheet_counts() -> None:
    second = Sheet("asg_1", device="tab-b")
    second.sheet = "asg_1/1/second"
    assert _open(reps(2) + [second.rep(1_000 * i) for i in range(30)])[0] == (1, "Ana", "2", "")


def test_a_note_alone_is_no_result() -> None:
    assert _open([Sheet("asg_1").mark("note", 0, text="Came late")])[0] == (None, "Ana", "", "not judged yet")


@pytest.mark.parametrize(
    ("after", "over", "lines"),
    [
        ([], False, [(None, ""), (None, "")]),
        ([("sign", 60_000, {"who": "judge", "name": "Sam"})], False, [(2, "0"), (None, "")]),
        ([("sign", 120_000, {"who": "athlete", "name": "Ana"})], False, [(None, ""), (None, "")]),
        ([("sign", 120_000, {"who": "judge", "name": "Sam"})], False, [(2, "0"), (1, "0")]),
        ([("norep", 70_000, {})], False, [(None, ""), (1, "0")]),
        ([("norep", 70_000, {})], True, [(2, "0"), (1, "0")]),
    ],
    ids=["taken back", "signed in between", "signed by the athlete", "signed", "refused", "signed off"],
)
def test_a_score_is_none_before_its_windows_were_judged_or_signed(
    after: list[tuple[str, int, Plain]], over: bool, lines: list[tuple[int | None, str]]
) -> None:
    """What was taken back is no zero: nobody is last with it while the heat runs."""
    minutes = a_format(CountTask(movement="swing"), windows=2)
    one, two = (ScoreRule(id=f"part_{n}", unit="reps", parts=(Part(take="sum", windows=(n,)),)) for n in (0, 1))
    ana, bo = Sheet("asg_1"), [*reps(3, lane=2), Sheet("asg_2", device="tab-b").mark("norep", 61_000)]
    tap = ana.rep(1_000)
    marks = [tap, ana.strike(2_000, tap), *(ana.mark(kind, at, **body) for kind, at, body in after), *bo]
    file = a_competition(minutes.model_copy(update={"scores": (one, two)}), {"Open": ["Ana", "Bo"]}, marks)
    body = {"state": "signed", "marks": marks_held(file.marks), "runs": {file.heats[0].id: 1}}
    signed = Ruling.model_validate(_ruling("sign_off", body, event="evt"))
    found = _tables(file.model_copy(update={"rulings": (signed,)}) if over else file)
    rows = [next(_line(row) for row in table.rows if row.entry.name == "Ana") for table in found]
    assert [(place, score) for place, _, score, _ in rows] == lines


@pytest.mark.parametrize(
    ("kind", "body"),
    [("reps", {"add": -3, "window": 0, "run": 1}), ("stand", {"sheet": "asg_1/1/video", "windows": [0]})],
)
def test_a_ruling_that_nothing_counts_is_a_judgement(kind: str, body: Plain) -> None:
    """It gives a place at once, not only when the heat is closed."""
    rulings = [_ruling(kind, body, assignment="asg_1")]
    assert _open(reps(3, 1) + reps(4, 2), rulings=rulings)[:2] == [(1, "Bo", "4", ""), (2, "Ana", "0", "")]


def test_what_several_counters_make_together_is_judged_where_one_of_them_took_all_back() -> None:
    lane, second = Sheet("asg_1"), Sheet("asg_1", device="tab-b")
    second.sheet = "asg_1/1/second"
    tap = lane.rep(1_000)
    joined = SWINGS.model_copy(update={"counters": JoinRule(how="mean")})
    marks = [tap, lane.strike(2_000, tap), *(second.rep(1_000 * n) for n in range(10)), *reps(4, 2)]
    row = _tables(a_competition(joined, FOUR, marks))[0].rows[0]
    assert (row.place, row.entry.name, row.status) == (1, "Ana", "") and row.score is not None and row.score.value > 4


def _two_heats(marks: list[Plain], rulings: Sequence[Plain] = ()) -> tuple[Row, ...]:
    plain = a_competition(SWINGS, {"Open": ["Ana", "Bo"]}, marks, rulings=rulings).model_dump(mode="json")
    again = {"id": "late", "event": "evt", "number": 2, "lanes": [{"id": "asg_9", "lane": 1, "entry": "ent_1"}]}
    plain["heats"] = [again, *plain["heats"]]
    return _tables(CompetitionFile.model_validate(plain))[0].rows


def test_of_an_entrys_heats_the_one_that_was_judged_counts_and_of_two_the_first_until_somebody_decides() -> None:
    first = reps(5, lane=1) + reps(3, lane=2)
    assert _line(_two_heats(first)[0]) == (1, "Ana", "5", "")
    assert _line(_two_heats(reps(2, lane=9) + reps(3, lane=2))[1]) == (2, "Ana", "2", "")
    (ana, bo) = _two_heats(first + reps(2, lane=9))
    assert _line(ana) == (1, "Ana", "5", "") and (ana.twice, bo.twice) == (("asg_1", "asg_9"), ())
    for counts, score, lane in (("again", "2", "asg_9"), ("original", "5", "asg_1")):
        decided = next(row for row in _two_heats(first + reps(2, lane=9), [_rerun(counts)]) if row.entry.name == "Ana")
        assert (decided.twice, decided.assignment, decided.score and decided.score.text) == ((), lane, score)


def _rerun(counts: str) -> Plain:
    body = {"again": "asg_9", "counts": counts}
    about = {"id": "rul_1", "kind": "rerun", "assignment": "asg_1", "entry": "ent_1", "event": "evt"}
    return {**about, "body": body, "by": "Head judge", "why": "Rope broke"}


def test_an_empty_sheet_and_one_with_all_of_it_struck_out_replace_nothing() -> None:
    first, late = reps(5, lane=1) + reps(3, lane=2), Sheet("asg_9")
    tap = late.rep(1_000)
    for more in ([late.mark("note", 0, text="Nobody here")], [tap, late.strike(2_000, tap)], [late.rep(900_000)]):
        (ana, _) = _two_heats(first + more)
        assert _line(ana) == (1, "Ana", "5", "") and ana.twice == ()


def test_before_any_marks_an_entry_belongs_to_the_last_of_its_heats() -> None:
    assert {row.entry.name: row.assignment for row in _two_heats([])} == {"Ana": "asg_9", "Bo": "asg_2"}


@pytest.mark.parametrize(
    ("status", "words"),
    [
        ("did_not_finish", "did not finish"),
        ("did_not_start", "did not start"),
        ("withdrawn", "withdrawn"),
        ("disqualified", "disqualified"),
    ],
)
def test_a_status_takes_an_entry_out_of_the_ranking_and_keeps_its_score_to_see(status: str, words: str) -> None:
    ruling = _ruling("status", {"status": status}, entry="ent_1", event="evt")
    lines = _open(reps(9, lane=1) + reps(2, lane=2), rulings=[ruling])
    assert lines == [(1, "Bo", "2", ""), (None, "Ana", "9", words), (None, "Cy", "", "not judged yet")]


def test_the_newest_status_stands_and_an_empty_one_lifts_it() -> None:
    out = _ruling("status", {"status": "withdrawn"}, 1, entry="ent_1")
    back = _ruling("status", {"status": ""}, 2, entry="ent_1")
    assert _open(reps(9), rulings=[back, out])[0] == (1, "Ana", "9", "")
    assert _open(reps(9), rulings=[out])[0] == (None, "Ana", "9", "withdrawn")


def test_a_status_of_another_event_or_entry_changes_nothing_here() -> None:
    other = _ruling("status", {"status": "disqualified"}, entry="ent_1", event="other")
    assert _open(reps(9), rulings=[other, _ruling("status", {"status": "disqualified"}, 2, entry="ent_4")])[0] == (
        1,
        "Ana",
        "9",
        "",
    )


def test_penalties_add_up_and_move_an_entry_down() -> None:
    each = {"entry": "ent_1", "event": "evt"}
    rulings = [_ruling("penalty", {"amount": "1.5"}, 1, **each), _ruling("penalty", {"amount": "2"}, 2, **each)]
    lines = _open(reps(9, lane=1) + reps(6, lane=2), rulings=rulings)
    assert lines[:2] == [(1, "Bo", "6", ""), (2, "Ana", "5.5", "")]


def test_a_penalty_on_a_lane_assignment_holds_for_it_alone() -> None:
    here = _ruling("penalty", {"amount": "4"}, assignment="asg_1")
    elsewhere = _ruling("penalty", {"amount": "4"}, 2, assignment="asg_8")
    assert _open(reps(9), rulings=[here, elsewhere])[0] == (1, "Ana", "5", "")


def test_a_penalty_is_added_to_a_time() -> None:
    rulings = [_ruling("penalty", {"amount": "10"}, entry="ent_1", event="evt")]
    first, second = Sheet("asg_1"), Sheet("asg_2")
    marks = [first.rep(1_000 * i) for i in range(1, 14)] + [first.mark("finish", 40_000)]
    marks += [second.rep(1_000 * i) for i in range(1, 14)] + [second.mark("finish", 49_999)]
    rows = _tables(a_competition(FORMATS["list"], FOUR, marks, rulings=rulings))[0].rows
    assert [_line(row)[:3] for row in rows[:2]] == [(1, "Bo", "0:49.999"), (2, "Ana", "0:50")]


def test_a_penalty_does_not_make_a_missing_measure_a_result() -> None:
    row = a_format(MeasureTask(movement="swing", unit="s"), unit="s", better="less")
    ruling = _ruling("penalty", {"amount": "5"}, entry="ent_1", event="evt")
    marks = [Sheet("asg_1").mark("norep", 1_000), Sheet("asg_2").mark("measure", 1_000, value="99")]
    rows = _tables(a_competition(row, FOUR, marks, rulings=[ruling]))[0].rows
    assert [_line(r)[:3] for r in rows[:2]] == [(1, "Bo", "1:39"), (2, "Ana", "not measured")]


def test_a_tie_that_was_broken_says_so() -> None:
    format = a_format(CountTask(movement="swing"), ties=(TieStep(kind="time_of_count"),))
    rows = _tables(a_competition(format, FOUR, reps(4, lane=1, from_ms=10) + reps(4, lane=2)))[0].rows
    assert [(row.entry.name, row.place, row.by_tie) for row in rows[:2]] == [("Bo", 1, 0), ("Ana", 2, 0)]


def test_an_entry_that_is_on_no_start_list_is_not_in_the_event() -> None:
    plain = a_competition(SWINGS, FOUR, reps(1)).model_dump(mode="json")
    plain["heats"][0]["lanes"] = plain["heats"][0]["lanes"][:2]
    rows = _tables(CompetitionFile.model_validate(plain))[0].rows
    assert [row.entry.name for row in rows] == ["Ana", "Bo"]


def test_a_second_score_of_the_event_has_its_own_tables() -> None:
    plain = SWINGS.model_dump(mode="json")
    plain["scores"].append({**plain["scores"][0], "id": "last", "better": "less"})
    marks = reps(5, lane=1) + reps(7, lane=2)
    tables = _tables(a_competition(type(SWINGS).model_validate(plain), {"Open": ["Ana", "Bo"]}, marks))
    assert [(t.rule.id, [row.entry.name for row in t.rows]) for t in tables] == [
        ("score", ["Bo", "Ana"]),
        ("last", ["Ana", "Bo"]),
    ]


@st.composite
def _competitions(draw: st.DrawFn) -> CompetitionFile:
    format = FORMATS[draw(st.sampled_from(sorted(FORMATS)))]
    marks = [mark for lane in (1, 2, 3) for mark in draw(sheets(format, f"asg_{lane}"))]
    return a_competition(format, {"Open": ["Ana", "Bo"], "Masters": ["Cy"]}, marks)


@given(_competitions(), st.data())
def test_order_and_repetition_of_marks_leave_the_results_alone(file: CompetitionFile, data: st.DataObject) -> None:
    mixed = file.model_copy(update={"marks": tuple(data.draw(shuffled(list(file.marks))))})
    assert results(mixed) == results(file)


@settings(max_examples=25)
@given(_competitions(), st.data())
def test_two_ledgers_kept_apart_and_merged_give_the_same_results(file: CompetitionFile, data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, len(file.marks)))
    overlap = data.draw(st.integers(0, cut))
    here, there = file.marks[:cut], file.marks[overlap:]
    assert results(file.model_copy(update={"marks": there + here})) == results(file)


@given(_competitions())
def test_a_file_and_its_parts_give_the_same_results(file: CompetitionFile) -> None:
    roster = Roster(**{name: getattr(file, name) for name in Roster.model_fields})
    tallies = counting_tallies(roster, file.runs, file.marks)
    assert [event_results(roster, "evt", tallies, file.rulings)] == results(file)
    assert all(row.score is None or isinstance(row.score.value, Fraction) for row in results(file)[0].tables[0].rows)
