"""Packed sheets: the same marks to the letter, in little room, found by their ids, and counted on when more come."""

import gc
import random
from collections.abc import Sequence
from dataclasses import replace
from types import BuiltinFunctionType, FunctionType, ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.demo.judge import SimulatedJudge
from app.live import held_marks
from app.live.packed import FULL, Ids, Reps, pack, unpack
from app.live.projection import Projection
from app.rehearsal.turns import turn_about
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, with_receipt
from app.rules.records.receipts import Receipt
from app.rules.records.seats import SEATS
from app.rules.result.results import results
from tests.builders.pairs import a_file

CODE = (type, ModuleType, FunctionType, BuiltinFunctionType)
FILE = a_file(done=((6, 9, 95), (7, 8, 80), (5, 5, 70)))
RECEIPTS = st.none() | st.builds(
    Receipt,
    number=st.integers(1, 2**40),
    seat=st.sampled_from(sorted(SEATS)),
    clock=st.none() | st.integers(-(2**40), 2**40),
    wall=st.booleans(),
    again=st.booleans(),
)


PLAIN = st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.text()
BODIES = st.dictionaries(st.text(), PLAIN | st.lists(PLAIN) | st.dictionaries(st.text(), PLAIN), max_size=3)
MARKS = st.builds(
    lambda mark, key, at, win, body, receipt: with_receipt(replace(mark, id=key, at=at, win=win, body=body), receipt),
    st.sampled_from(FILE.marks),
    st.uuids().map(lambda key: key.hex),
    st.integers(-(2**40), 2**40),
    st.none() | st.integers(0, 999),
    BODIES,
    RECEIPTS,
)


@given(st.lists(MARKS, unique_by=lambda mark: mark.id, max_size=9))
def test_what_is_packed_is_read_again_to_the_letter(marks: list[Mark]) -> None:
    read = unpack("asg_0/1/lane", pack(marks))
    assert list(read.values()) == [replace(mark, sheet="asg_0/1/lane") for mark in marks] and list(read) == [m.id for m in marks]
    assert [mark.receipt for mark in read.values()] == [mark.receipt for mark in marks]


@given(st.lists(st.tuples(st.integers(0, 900), st.sampled_from([1, 3]), st.none() | st.integers(0, 2))))
def test_packed_repetitions_are_the_tuple_that_they_were(reps: list[tuple[int, int, int | None]]) -> None:
    held, whole = Reps(reps), tuple(reps)
    assert held == whole and whole == held and len(held) == len(whole) and held[1:3] == whole[1:3]
    assert [held[at] for at in range(len(reps))] == reps


def test_an_id_is_found_under_its_numbers_and_no_other_is_looked_for() -> None:
    chance, ids = random.Random(2), Ids()
    keys = [f"{chance.getrandbits(128):032x}" for _ in range(3000)]
    for n, key in enumerate(keys):
        ids.put(key, n % 90)
        ids.put(key, n % 90)
    assert [ids.under(key) for key in keys] == [[n % 90] for n in range(len(keys))]
    assert ids.under(f"{chance.getrandbits(128):032x}") == [] and len(keys) < FULL
    assert [ids.under(key) for key in ("", "G" * 32, "f" * 31, "f" * 33)] == [[], [], [], []], "what is no id is nowhere"


def a_day(heats: int) -> tuple[CompetitionFile, Sequence[Mark]]:
    """Heats of four lanes in one event, each with a sheet of some hundred marks on every lane."""
    names = [[f"Pair {n}" for n in range(4 * heats)]]
    file = a_file(names=names, runs=heats)
    marks = [
        with_receipt(mark, Receipt(n + 1, "lane", mark.at))
        for heat in file.heats
        for lane in heat.lanes
        for n, mark in enumerate(
            SimulatedJudge(turn_about(), f"{lane.id}/1/lane", lane.id, 1_900_000_000_000, 1.0, random.Random(lane.id)).marks()
        )
    ]
    return file, marks


def test_of_packed_sheets_a_few_bytes_a_mark_stay_and_their_standing() -> None:
    file, marks = a_day(heats=2)
    held = Projection()
    held.load(file, file.runs, (), marks)
    before = held.event_results("evt")
    marks = tuple(marks)
    for heat in file.heats:
        assert all(held.pack(lane.id) for lane in heat.lanes)
    assert held.event_results("evt") == before
    sheets = [sheet for _, sheet in sorted(held._sheets.items())]
    assert sum(len(sheet.packed) for sheet in sheets) < 30 * len(marks)
    assert held.doubled._first == {} and all(not sheet.held and sheet.at_rest for sheet in sheets)
    used = {id(mark) for mark in marks}
    reached = _reached([held])
    assert len([one for one in reached if isinstance(one, Mark) and id(one) in used]) <= len(sheets), "but each sheet's last"


def _reached(begin: list[object]) -> list[object]:
    """All that some objects keep alive; what is code is left out."""
    found: dict[int, object] = {}
    waiting = begin
    while waiting:
        new = {id(one): one for one in waiting if id(one) not in found and not isinstance(one, CODE)}
        found |= new
        waiting = gc.get_referents(*new.values())
    return list(found.values())


@settings(max_examples=25)
@given(st.randoms(use_true_random=False))
def test_packed_or_not_every_question_is_answered_alike(dice: random.Random) -> None:
    packed, plain = Projection(), Projection()
    for held in (packed, plain):
        held.load(FILE.model_copy(update={"marks": ()}), FILE.runs, (), ())
    marks = [with_receipt(mark, Receipt(n + 1, "lane")) for n, mark in enumerate(FILE.marks)]
    dice.shuffle(marks)
    marks += [*dice.sample(marks, 5), replace(marks[0], at=marks[0].at + 5)]
    lanes = [lane.id for lane in FILE.heats[0].lanes]
    while marks:
        some, marks = marks[:9], marks[9:]
        for held in (packed, plain):
            held.apply(some)
        for lane in lanes:
            assert packed.pack(lane) or packed.doubled.found
            assert packed.assignment_marks(lane) == plain.assignment_marks(lane) and packed.marks_on(lane) == plain.marks_on(lane)
            assert packed.sheet_marks(f"{lane}/1/lane") == plain.sheet_marks(f"{lane}/1/lane")
            assert packed.last_mark(lane) == plain.last_mark(lane) and packed.came_late(lane) == plain.came_late(lane)
        assert all(list(packed.named(mark.id)) == list(plain.named(mark.id)) for mark in some)
        assert [packed.as_stored(mark).receipt for mark in some] == [plain.as_stored(mark).receipt for mark in some]
        assert packed.event_results("evt") == plain.event_results("evt")
    assert packed.doubled.found == plain.doubled.found != ()


def test_a_store_that_is_packed_while_it_is_read_stands_as_one_that_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(held_marks, "AT_A_TIME", 9)
    held = Projection()
    held.load(FILE, FILE.runs, FILE.rulings, FILE.marks)
    assert any(sheet.packed for sheet in held._sheets.values())
    assert [held.event_results("evt")] == results(FILE)
    assert [mark for lane in FILE.heats[0].lanes for mark in held.assignment_marks(lane.id)] == list(FILE.marks)
