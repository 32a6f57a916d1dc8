"""An event may put out whoever misses what one of its windows asks for: in all later windows nothing counts."""

from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.joined import joined_tally
from app.rules.count.settling import settled
from app.rules.count.tally import fold
from app.rules.count.tally_shape import Tally
from app.rules.records.marks import parse_mark
from app.rules.workout.advice import advice
from tests.builders.cast import FORMATS, Sheet
from tests.builders.out_scenes import ASKED, an_event, taps

ASKED_DONE = tuple(asked or 0 for asked in ASKED)


def tally(done: tuple[int, ...], *, out: bool = True) -> Tally:
    return fold(an_event(out=out), [parse_mark(mark) for mark in taps(Sheet(), done)])


@given(st.tuples(*(st.integers(0, 15) for _ in ASKED)))
def test_what_counts_is_that_of_the_windows_up_to_the_first_miss(done: tuple[int, ...]) -> None:
    missed = next((at for at, (number, asked) in enumerate(zip(done, ASKED, strict=True)) if number < (asked or 0)), len(done))
    without, with_ = tally(done, out=False), tally(done)
    counted = [window.counted for window in with_.windows]
    assert counted[: missed + 1] == [window.counted for window in without.windows][: missed + 1]
    assert not any(counted[missed + 1 :])
    assert len([flag for flag in with_.flags if flag.why == "after-out"]) == sum(done[missed + 1 :])


@given(st.tuples(*(st.integers(0, 15) for _ in ASKED)))
def test_a_list_of_which_nothing_counts_is_looked_at_again_with_what_another_sheet_says(done: tuple[int, ...]) -> None:
    """Window by window joined from one sheet alone the tally is the same, be it settled once or twice."""
    own = tally(done)
    again = joined_tally(an_event(), {"lane": own})
    assert again is not None and [one.counted for one in again.windows] == [one.counted for one in own.windows]
    whole = tally(ASKED_DONE)
    mixed = [whole.windows[0], *own.windows[1:]]
    expected = tally((ASKED_DONE[0], *done[1:]))
    assert [one.counted for one in settled(an_event(), mixed)[0]] == [one.counted for one in expected.windows]


def test_an_event_that_asks_for_nothing_is_told_that_a_miss_puts_nobody_out() -> None:
    asked = [one.sentence for one in advice(FORMATS["rounds"].model_copy(update={"miss_puts_out": True}))]
    assert "Missing what a window asks for puts the entry out, but no window asks for anything." in asked
    assert not any("puts the entry out" in one.sentence for one in advice(an_event()))
