"""One number of a tablet's life has one mark: which of two counts never depends on which came first."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.numbers import find_doubles, number_of
from app.rules.records.rulings import Ruling
from app.rules.records.seal import mark_print
from app.rules.records.signed import Held, held_faults, marks_held
from app.rules.result.results import results
from app.rules.workout.formats import CountTask
from tests.builders.cast import Sheet, a_competition, a_format, parsed, reps

FORMAT = a_format(CountTask(movement="swing"))
HERE = {"Open": ["Ana", "Bo"]}
HONEST = a_competition(FORMAT, HERE, reps(6, 1) + reps(4, 2))


def again(mark: Mark, **other: Any) -> Mark:
    """Another mark under the same number."""
    return replace(mark, id=f"f{mark.id[1:]}", **other)


def scores(file: CompetitionFile) -> list[tuple[str, str]]:
    (event,) = results(file)
    return [(row.entry.name, row.score.text if row.score else row.status) for row in event.tables[0].rows]


def ruled(file: CompetitionFile, *rulings: Ruling) -> CompetitionFile:
    return file.model_copy(update={"rulings": (*file.rulings, *rulings)})


def a_sign_off(marks: Sequence[Mark], at: int = 10) -> Ruling:
    body = {"state": "signed", "marks": marks_held(marks), "runs": {"heat": 1}}
    return Ruling(id=f"sign_{at}", kind="sign_off", event="evt", body=body, by="Ruth", why="Seen", made_wall_ms=at)


def opened(at: int) -> Ruling:
    return Ruling(id=f"open_{at}", kind="sign_off", event="evt", body={"state": "open"}, by="Ruth", why="Late", made_wall_ms=at)


def this_counts(mark: Mark, at: int) -> Ruling:
    assignment, body = sheet_key(mark.sheet).assignment, {"print": mark_print(mark)}
    return Ruling(id=f"num_{at}", kind="number", assignment=assignment, body=body, by="Ruth", why="Seen", made_wall_ms=at)


FIRST = HONEST.marks[0]
ELSEWHERE = again(FIRST, sheet="asg_2/1/lane")


@pytest.mark.parametrize("second", [again(FIRST), replace(FIRST, at=FIRST.at + 1), ELSEWHERE, replace(FIRST, seq=99)])
def test_of_two_marks_under_one_number_or_id_neither_counts_until_it_is_ruled(second: Mark) -> None:
    for marks in ((*HONEST.marks, second), (second, *HONEST.marks)):
        file = HONEST.model_copy(update={"marks": marks})
        assert scores(file) == [("Ana", "5"), ("Bo", "4")]
        assert scores(ruled(file, this_counts(FIRST, 5))) == [("Ana", "6"), ("Bo", "4")]
        assert sum(int(score) for _, score in scores(ruled(file, this_counts(second, 5)))) == 10
        assert scores(ruled(file, this_counts(second, 5), this_counts(FIRST, 6))) == [("Ana", "6"), ("Bo", "4")]


def test_what_was_signed_counts_and_a_number_used_again_moves_nothing() -> None:
    signed = ruled(HONEST, a_sign_off(HONEST.marks))
    more = tuple(again(mark, at=mark.at + 7) for mark in HONEST.marks)
    for marks in ((*HONEST.marks, *more), (*more, *HONEST.marks)):
        assert scores(signed.model_copy(update={"marks": marks})) == scores(HONEST)
    instead = signed.model_copy(update={"marks": more})  # an older backup, filled up by somebody else's marks
    assert scores(instead) == [("Ana", "not judged yet"), ("Bo", "not judged yet")]
    reopened = ruled(signed, opened(20)).model_copy(update={"marks": (*HONEST.marks, *more)})
    assert scores(reopened) == scores(HONEST), "that it was signed once says which of two was there"
    assert scores(ruled(reopened, this_counts(more[0], 30))) == scores(HONEST), "one repetition in place of another"


def test_a_sign_off_of_an_older_version_names_numbers_and_can_not_tell_two_marks_apart() -> None:
    signed = a_sign_off(HONEST.marks)
    bare = {life: said["numbers"] for life, said in signed.body["marks"].items()}
    old = ruled(HONEST, signed.model_copy(update={"body": {**signed.body, "marks": bare}}))
    assert scores(old) == scores(HONEST)
    late = Sheet("asg_1", device="late").rep(9_000)
    assert scores(old.model_copy(update={"marks": (*HONEST.marks, *parsed([late]))})) == scores(HONEST)
    assert scores(old.model_copy(update={"marks": (*HONEST.marks, again(FIRST))})) == [("Ana", "5"), ("Bo", "4")]


POOL = [*HONEST.marks, *(again(mark, at=mark.at + 7) for mark in HONEST.marks), ELSEWHERE, replace(FIRST, seq=99)]


@given(st.lists(st.sampled_from(POOL), max_size=24), st.data())
def test_no_order_and_no_repetition_of_what_arrives_changes_a_score(marks: list[Mark], data: st.DataObject) -> None:
    there = data.draw(st.lists(st.sampled_from(POOL), max_size=12, unique_by=number_of))
    decided = [a_sign_off(there, 10), opened(20), this_counts(POOL[0], 30), this_counts(POOL[10], 40)]
    rulings = data.draw(st.lists(st.sampled_from(decided), unique_by=lambda one: one.id))
    file = HONEST.model_copy(update={"marks": tuple(marks), "rulings": tuple(rulings)})
    other = tuple(data.draw(st.permutations(marks))) + tuple(marks[:3])
    shuffled = file.model_copy(update={"marks": other, "rulings": tuple(data.draw(st.permutations(rulings)))})
    assert scores(shuffled) == scores(file)
    assert {frozenset(one.marks) for one in find_doubles(other)} == {frozenset(one.marks) for one in find_doubles(marks)}


@given(st.sets(st.tuples(st.sampled_from(["a", "b"]), st.integers(1, 2), st.integers(1, 40)), max_size=60))
def test_the_marks_of_a_sign_off_are_exactly_those_that_were_there(numbers: set[tuple[str, int, int]]) -> None:
    every = [(device, epoch, seq) for device in "ab" for epoch in (1, 2) for seq in range(1, 41)]
    plain = [{**Sheet().rep(0), "device": d, "epoch": e, "seq": s, "id": f"{n:032x}"} for n, (d, e, s) in enumerate(every)]
    marks = parsed(plain)
    there = [mark for mark in marks if number_of(mark) in numbers]
    held = Held.of(a_sign_off(there))
    assert held is not None and {number_of(mark) for mark in marks if held.holds(mark)} == numbers
    assert not any(held.holds(again(mark)) for mark in marks)
    assert held_faults(held, marks) == []
    assert bool(held_faults(held, there[1:])) == bool(there)


@pytest.mark.parametrize(
    "said",
    [
        {"numbers": "1-9999999999999999", "prints": "0" * 16, "head": "0" * 64},
        {"numbers": "1,1", "prints": "0" * 32, "head": "0" * 64},
        {"numbers": "2-1", "prints": "0" * 16, "head": "0" * 64},
        {"numbers": "1", "prints": "0" * 16},
        ["1"],
    ],
)
def test_a_sign_off_says_as_many_prints_as_numbers(said: object) -> None:
    body = {"state": "signed", "marks": {"tab/1": said}, "runs": {}}
    with pytest.raises(ValueError, match="A sign-off says which marks"):
        Ruling(id="r", kind="sign_off", event="evt", body=body, by="Ruth", why="Seen")
