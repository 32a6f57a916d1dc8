"""A sheet that is added up mark by mark stands where it stands when it is added up whole: there is one way to count."""

from collections.abc import Iterator, Sequence
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.count import beyond
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Folding, fold
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS, Sheet, parsed
from tests.builders.chance import clocks, received, sheets_of_any, shuffled


@st.composite
def days(draw: st.DrawFn) -> tuple[Format, SheetClock, list[list[Mark]]]:
    """A format, a clock, and what comes to a sheet, batch by batch: shuffled, doubled, taken back, held, ruled on, late."""
    format, marks = draw(sheets_of_any())
    clock = draw(clocks(format, marks))
    arriving = draw(shuffled(draw(received(marks))) if draw(st.booleans()) else received(marks))
    cuts = sorted(draw(st.lists(st.integers(0, len(arriving)), max_size=6)))
    return format, clock, [arriving[a:b] for a, b in zip([0, *cuts], [*cuts, len(arriving)], strict=True)]


def continued(
    format: Format, clock: SheetClock, batches: Sequence[Sequence[Mark]], pauses: int
) -> Iterator[tuple[list[Mark], Folding]]:
    """After each batch the marks so far and what has taken them; some work is done in pieces and left half-way."""
    came: list[Mark] = []
    folding = Folding(format, clock)
    for batch in batches:
        came += batch
        if not folding.take(batch):
            folding = Folding(format, clock)
            assert folding.take(came)
        for _ in zip(folding.steps(), range(pauses), strict=False):
            pass
        yield came, folding


@given(days(), st.integers(0, 2), st.booleans(), st.sampled_from([beyond.BESIDE, 6]))
@settings(max_examples=25)
def test_mark_by_mark_is_as_whole(day: tuple[Format, SheetClock, list[list[Mark]]], pauses: int, looks: bool, most: int) -> None:
    format, clock, batches = day
    with patch.multiple(beyond, PER_SECOND=0, BESIDE=most):
        for came, folding in continued(format, clock, batches, pauses):
            if looks:
                assert folding.tally() == fold(format, came, clock)
        assert folding.tally() == fold(format, came, clock)


def test_one_more_repetition_looks_at_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = Sheet()
    folding = Folding(FORMATS["pair"])
    folding.take(parsed(sheet.rep(500 * n) for n in range(200)))
    folding.tally()
    looked: list[str] = []
    monkeypatch.setattr(Mark, "order", property(lambda mark: looked.append(mark.id) or (mark.at, mark.id)))
    (more,) = parsed([sheet.rep(100_500)])
    assert folding.take([more])
    assert folding.tally().windows[0].count == 201
    assert set(looked) <= {more.id, f"{more.id[:20]}{200:012x}"}, "itself and the last before it"
