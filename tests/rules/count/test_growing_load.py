"""A load that grows until a miss: what is asked for, who is out, and that the last good load is what counts."""

import random
from collections.abc import Sequence
from typing import Any, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.count.joined import joined_tally
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.paper_rows import paper_windows
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, plain_load, scored, take, tallied

LOADS = (60, 65, 75, 80, 85, 90)  # the list of three, and on by 5


def _format(windows: int = 1, members: int = 1, **task: Any) -> Format:
    said = {"loads": tuple(map(load, ("60 kg", "65 kg", "75 kg"))), "rise": load("5 kg"), **task}
    who: Any = (1,) if members == 1 else "any"
    return a_format(a_lift_task(**said), take("member_best"), windows=windows, members=members, who=who, unit="kg")


class Try(NamedTuple):
    """A lift in a window (from 0 on), by a member: how heavy in kilograms, and whether it was good."""

    window: int
    member: int
    kg: int
    good: bool


def _marks(tries: Sequence[Try], members: int = 1) -> list[Plain]:
    """The lifts two seconds apart within their windows."""
    sheet, found = Sheet(), []
    for number, one in enumerate(tries):
        whose = {"member": one.member} if members > 1 else {}
        at = one.window * 60_000 + 1_000 + 1_500 * number
        found.append(sheet.mark("lift", at, one.window, load=plain_load(f"{one.kg} kg"), good=one.good, **whose))
    return found


def _by_hand(tries: Sequence[Try], windows: int, by_window: bool, misses: int | None) -> int:
    """The heaviest load of one lifter, as a person with pencil and paper would find it, window after window."""
    best, missed = 0, 0
    for window in range(windows):
        asked = LOADS[window] if by_window else LOADS[0]
        lifted = False
        for one in (one for one in tries if one.window == window):
            if one.kg < asked:
                continue
            if one.good:
                best, lifted, missed = max(best, one.kg), True, 0
                continue
            missed += 1
            if missed == misses:
                return best
        if by_window and not lifted:
            return best
    return best


tries = st.lists(
    st.builds(Try, st.integers(0, 2), st.integers(1, 2), st.sampled_from([55, *LOADS[:4]]), st.booleans()), max_size=16
).map(lambda found: sorted(found, key=lambda one: one.window))


@settings(max_examples=50)
@given(tries, st.booleans(), st.sampled_from([None, 1, 2, 3]))
def test_the_last_good_load_before_the_miss_that_puts_out_is_the_score(
    done: list[Try], by_window: bool, misses: int | None
) -> None:
    format = _format(3, rises="window" if by_window else "lift", misses_out=misses)
    assert scored(format, _marks(done)).value == _by_hand(done, 3, by_window, misses)


@settings(max_examples=50)
@given(tries, st.booleans(), st.sampled_from([1, 2]))
def test_each_member_climbs_for_themselves(done: list[Try], by_window: bool, misses: int) -> None:
    format = _format(3, 2, rises="window" if by_window else "lift", misses_out=misses)
    each = [_by_hand([one for one in done if one.member == member], 3, by_window, misses) for member in (1, 2)]
    assert scored(format, _marks(done, 2)).value == sum(each)


@settings(max_examples=50)
@given(tries, st.booleans(), st.integers(0, 2**32))
def test_one_more_good_lift_never_makes_less_of_a_load_that_grows(done: list[Try], by_window: bool, seed: int) -> None:
    chance = random.Random(seed)
    format = _format(3, rises="window" if by_window else "lift", misses_out=2)
    marks = _marks(done)
    at = chance.randrange(180_000)
    more = Sheet(device="tab-a")
    more.seq = 500
    added = more.mark("lift", at, at // 60_000, load=plain_load(f"{chance.choice(LOADS)} kg"), good=True)
    assert scored(format, [*marks, added]).value >= scored(format, marks).value


def test_what_is_lifted_after_being_out_is_kept_and_told() -> None:
    format = _format(3, rises="window")
    tally = tallied(format, _marks([Try(0, 1, 60, True), Try(1, 1, 65, False), Try(2, 1, 75, True)]))
    assert [(lift.good, lift.counts, lift.out) for window in tally.windows for lift in window.lifts] == [
        (True, True, False),
        (False, True, False),
        (True, False, True),
    ]
    assert [flag.why for flag in tally.flags if flag.why == "after-out"] == ["after-out"]


def test_a_load_below_the_one_asked_for_does_not_lift_it() -> None:
    tally = tallied(_format(2, rises="window"), _marks([Try(0, 1, 60, True), Try(1, 1, 60, True)]))
    assert [flag.why for flag in tally.flags if flag.why == "below-asked"] == ["below-asked"]
    assert tally.windows[1].best is None


def test_a_window_that_was_read_out_brings_back_what_a_hole_in_the_marks_had_put_out() -> None:
    format = _format(3, rises="window")
    marked = [Try(0, 1, 60, True), Try(2, 1, 75, True)]  # the second window's mark has not come
    lane, paper = tallied(format, _marks(marked)), tallied(format, _marks([Try(1, 1, 65, True)]))
    assert lane.windows[2].best is None
    joined = joined_tally(format, {"lane": lane, "paper": paper})
    assert joined is not None and joined.windows[2].best is not None
    assert joined.windows[2].best.load == load("75 kg") and not any(flag.why == "after-out" for flag in joined.flags)


def test_the_loads_of_a_list_are_followed_by_the_rise_and_those_of_turns_are_each_members_own() -> None:
    assert [_format().tasks["work"].load_at(n).kg for n in range(6)] == list(LOADS)  # type: ignore[union-attr]
    turns = _format(4, 2, rises="window").model_dump(mode="json")
    for number, window in enumerate(turns["windows"]):
        window["who"] = [1 + number % 2]
    asked = [Format.model_validate(turns).asked_load(index) for index in range(4)]
    assert [one and one.kg for one in asked] == [60, 60, 65, 65]


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"loads": (load("60 kg"), load("60 kg"))}, "from the lightest to the heaviest"),
        ({"loads": ()}, "needs the load to begin with"),
        ({"rise": load("10 lb")}, "a step in its own unit"),
    ],
)
def test_loads_that_do_not_grow_are_refused(said: Plain, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        _format(**said)


def test_a_lift_that_does_not_grow_asks_for_no_load() -> None:
    task = a_lift_task()
    assert isinstance(task, LiftTask) and a_format(task, take("best"), unit="kg").asked_load(0) is None


def test_a_scoresheet_has_the_load_of_each_try_in_its_rows() -> None:
    by_window = paper_windows(_format(3, rises="window", misses_out=2))
    assert [window.asked for window in by_window] == [(text, text) for text in ("60 kg", "65 kg", "75 kg")]
    (by_lift,) = paper_windows(_format(misses_out=2))
    assert by_lift.rows == len(by_lift.asked) == 30
    assert by_lift.asked[:5] == ("60 kg", "60 kg", "65 kg", "65 kg", "75 kg")
    (pair,) = paper_windows(_format(1, 2, rises="window", misses_out=1))
    assert pair.asked == ("60 kg", "60 kg")
