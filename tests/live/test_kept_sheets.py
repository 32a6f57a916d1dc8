"""Sheets that the store kept: a start with them stands as one that reads every mark, whatever came since they were kept."""

import random
from collections.abc import Sequence
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from app.live.keeping import to_keep
from app.live.projection import Projection
from app.rules.records.marks import Mark, with_receipt
from app.rules.records.numbers import Numbers, number_of, spans_of
from app.rules.records.receipts import Receipt
from app.rules.records.rulings import Ruling
from app.store.kept.sheets import KeptSheet
from tests.builders.pairs import a_file

FILE = a_file(done=((6, 9, 95), (7, 8, 80), (5, 5, 70)))
LANES = [lane.id for lane in FILE.heats[0].lanes]
SHEETS = [f"{lane}/1/{kind}" for lane in LANES for kind in ("lane", "second")]
SHIFT = Ruling(id="rul_1", kind="shift", assignment="asg_0", body={"ms": 400, "run": 1}, by="Sam", why="Late", made_wall_ms=1)
STAND = Ruling(
    id="rul_2", kind="stand", assignment="asg_1", body={"sheet": "asg_1/1/second"}, by="Sam", why="Away", made_wall_ms=2
)
RULINGS = ((), (SHIFT,), (STAND,), (SHIFT, STAND))


def begun(marks: Sequence[Mark], rulings: Sequence[Ruling] = (), kept: Sequence[KeptSheet] = ()) -> Projection:
    """A competition as a store gives it out: marks by id, but those of the sheets that are kept."""
    held, packed = Projection(), {one.sheet for one in kept}
    others = sorted((mark for mark in marks if mark.sheet not in packed), key=lambda mark: mark.id)
    held.load(FILE, FILE.runs, rulings, others, kept)
    return held


def at_rest(held: Projection) -> list[KeptSheet]:
    """All sheets at rest as they would be kept."""
    for lane in LANES:
        while held.count_a_little(lane):
            pass
        held.pack(lane)
    return [one.kept for lane in LANES for one in to_keep(held, lane)]


def in_order(marks: Sequence[Mark]) -> list[Mark]:
    return sorted(marks, key=lambda mark: (mark.order, mark.sheet))


def stand_alike(one: Projection, other: Projection, marks: Sequence[Mark]) -> None:
    """Whether two give the same answer to every question."""
    assert one.event_results("evt") == other.event_results("evt")
    assert one.doubled.found == other.doubled.found
    for lane in LANES:
        assert one.counting_tally(lane) == other.counting_tally(lane) and one.own_sheets(lane) == other.own_sheets(lane)
        assert one.last_mark(lane) == other.last_mark(lane) and one.marks_on(lane) == other.marks_on(lane)
        assert in_order(one.came_late(lane)) == in_order(other.came_late(lane))
    for sheet in SHEETS:
        assert one.sheet_marks(sheet) == other.sheet_marks(sheet) and one.sheet_moments(sheet) == other.sheet_moments(sheet)
        assert one.came_from(sheet, "lane") == other.came_from(sheet, "lane")
    for mark in marks:
        assert in_order(one.named(mark.id)) == in_order(other.named(mark.id))
        assert one.as_stored(mark).receipt == other.as_stored(mark).receipt


@settings(max_examples=25)
@given(st.randoms(use_true_random=False), st.sampled_from(RULINGS), st.sampled_from(RULINGS), st.booleans())
def test_a_start_with_kept_sheets_stands_as_one_that_reads_every_mark(
    dice: random.Random, before: Sequence[Ruling], after: Sequence[Ruling], shared: bool
) -> None:
    marks = [with_receipt(mark, Receipt(n + 1, "lane")) for n, mark in enumerate(FILE.marks)]
    marks += [
        replace(mark, id=f"e{mark.id[1:]}", sheet="asg_1/1/second", device="tab_2")
        for mark in dice.sample([one for one in marks if one.sheet == "asg_1/1/lane"], 3)
    ]
    dice.shuffle(marks)
    first, later = marks[: len(marks) * 2 // 3], marks[len(marks) * 2 // 3 :]
    if shared:  # a number that is on a kept sheet too, on a mark that comes later
        later.append(replace(dice.choice(first), id="d" * 32, sheet=dice.choice(SHEETS)))
    kept = at_rest(begun(first, before))
    come = dice.randrange(len(later) + 1)
    touched = {mark.sheet for mark in later[:come]}
    there = first + later[:come]
    again = begun(there, after, [one for one in kept if one.sheet not in touched])
    whole = begun(there, after)
    stand_alike(again, whole, there)
    for held in (again, whole):
        held.apply(later[come:])
    stand_alike(again, whole, marks)


def test_a_tally_that_was_kept_is_not_counted_again_unless_what_it_rests_on_is_another() -> None:
    kept = at_rest(begun(FILE.marks))
    alone = [one.sheet for one in kept]
    assert len(alone) == 3
    assert all(begun(FILE.marks, kept=kept)._sheets[sheet].tally is not None for sheet in alone)
    ruled = begun(FILE.marks, (SHIFT,), kept)
    assert [sheet for sheet in alone if ruled._sheets[sheet].tally is None] == ["asg_0/1/lane"]
    assert not [one for lane in LANES[1:] for one in to_keep(ruled, lane)], "what is kept as it is is not kept again"
    assert [one.kept.sheet for one in to_keep(ruled, "asg_0")] == ["asg_0/1/lane"]


@given(st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from([1, 2]), st.integers(1, 12)), unique=True), st.integers(1, 12))
def test_numbers_taken_in_spans_are_those_taken_one_by_one(given_: list[tuple[str, int, int]], cut: int) -> None:
    mark = FILE.marks[0]
    marks = [replace(mark, device=device, epoch=epoch, seq=seq) for device, epoch, seq in given_]
    one_by_one, in_spans = Numbers(), Numbers()
    for one in marks:
        one_by_one.add(number_of(one))
    for some in (marks[:cut], marks[cut:]):
        assert in_spans.add_all(spans_of(some))
        assert not some or not in_spans.add_all(spans_of(some))
    assert all(in_spans.of(device) == one_by_one.of(device) for device in "ab")
