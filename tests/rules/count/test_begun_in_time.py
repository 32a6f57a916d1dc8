"""A bar that leaves its rack about as time ends: struck out only where the clocks know, counted and flagged where they do not."""

from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import event, example, given
from hypothesis import strategies as st

from app.rules.count.flags import FLAGS, told_of
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Tally, fold
from app.rules.count.tally_shape import Flag
from app.rules.records.holding import Hold
from app.rules.workout.formats import Format, Window
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, parsed, plain_load, take
from tests.vectors.judge_scenes import sheets, together
from tests.vectors.lift_scenes import called, declare, lift, loaded
from tests.vectors.lifting.doubt_scenes import rulings

SECONDS, GRACE_MS, HEAT_S = 60, 1_000, 600
DRIFT_MS = 20  # of a clock in so many seconds, at 200 ppm, with its reading
LATE, DOUBT = {"attempt-late", "begun-late"}, {"attempt-doubt", "begun-doubt"}


@dataclass(frozen=True)
class Read:
    """A moment as it was, and as a device's clock read it: off by no more than its bound."""

    true_ms: int
    off_ms: int
    bound_ms: int

    def mark(self, made: Plain, life: int = 0) -> Plain:
        """A mark that was made then; in a life of a device's clock whose heat clock was moved about, and who says so."""
        says = {"life": life, "moved": self.off_ms} if life else {}
        return made | {"at": self.true_ms + self.off_ms, "err": self.bound_ms, "body": made["body"] | says}


def _read(true_ms: st.SearchStrategy[int]) -> st.SearchStrategy[Read]:
    bounds = st.sampled_from([0, 3, 150, 2_000, 30_000])
    return st.tuples(true_ms, bounds).flatmap(
        lambda had: st.integers(-had[1], had[1]).map(lambda off: Read(had[0], off, had[1])),
    )


def _shared() -> Format:
    made = a_format(a_lift_task(order="lightest", attempt_seconds=SECONDS, counts_when="begun"), take("best"), unit="kg")
    return made.model_copy(update={"windows": (Window(start=0, seconds=HEAT_S, task="work"),)})


def _attempt(call: Read, ready: Read, out: Read, good: bool = True, lives: tuple[int, int, int] = (0, 0, 0)) -> list[Plain]:
    sheet = Sheet()
    said = declare(sheet, -40_000, "100 kg")
    told = [
        call.mark(called(sheet, 0, said), lives[0]),
        ready.mark(loaded(sheet, 0, "100 kg", declared=said["id"]), lives[1]),
    ]
    begun = out.mark(sheet.mark("begun", 0, 0, declared=said["id"]), lives[2])
    judged_at = max(mark["at"] for mark in (begun, *told)) + 1_500
    return [said, *told, begun, lift(sheet, judged_at, "100 kg", good, declared=said["id"])]


def _found(marks: list[Plain], ruled: tuple[Plain, ...] = ()) -> tuple[Tally, set[str]]:
    tally = fold(_shared(), parsed(marks), SheetClock(ruled=rulings(ruled)))
    return tally, {flag.why for flag in tally.flags} & (LATE | DOUBT)


@given(
    call=_read(st.integers(100_000, 120_000)),
    ready=_read(st.integers(100_000, 120_000)),
    near=_read(st.integers(-4_000, 4_000) | st.sampled_from([-1, 0, 1])),
    bell=st.booleans(),
)
def test_no_lift_that_was_in_time_is_struck_out_and_none_that_was_late_goes_unsaid(
    call: Read, ready: Read, near: Read, bell: bool
) -> None:
    # What really was is known here alone: the rules see only readings, each off by no more than it says of itself.
    shift = HEAT_S * 1_000 - SECONDS * 1_000 - 115_000 if bell else 0
    call, ready = (Read(one.true_ms + shift, one.off_ms, one.bound_ms) for one in (call, ready))
    ends = min(max(call.true_ms, ready.true_ms) + SECONDS * 1_000, HEAT_S * 1_000) + GRACE_MS
    out = Read(ends + near.true_ms, near.off_ms, near.bound_ms)
    if out.true_ms + out.off_ms <= max(one.true_ms + one.off_ms for one in (call, ready)):
        return  # by these clocks the bar left before it was ready: that is another story
    tally, flags = _found(_attempt(call, ready, out))
    late = out.true_ms >= ends
    event(f"{'late' if late else 'in time'}, said: {', '.join(sorted(flags)) or 'nothing'}")
    assert flags if late else not flags & LATE
    assert tally.windows[0].lifts[0].counts is not bool(flags & LATE), "a doubt takes nothing"
    if not any(one.bound_ms for one in (call, ready, out)):
        assert not flags & DOUBT and bool(flags & LATE) is late, "exact clocks leave no doubt"


@given(
    call=_read(st.integers(100_000, 120_000)),
    ready=_read(st.integers(100_000, 120_000)),
    near=_read(st.integers(-4_000, 4_000)),
)
@example(call=Read(100_000, 0, 0), ready=Read(100_000, 0, 0), near=Read(0, 3, 3))
def test_one_life_of_a_clock_knows_how_long_it_was_however_far_from_the_heats_it_was(call: Read, ready: Read, near: Read) -> None:
    ends = max(call.true_ms, ready.true_ms) + SECONDS * 1_000 + GRACE_MS
    out = Read(ends + near.true_ms, near.off_ms, near.bound_ms)
    if out.true_ms + out.off_ms <= max(one.true_ms + one.off_ms for one in (call, ready)):
        return  # by these clocks the bar left before it was ready: that is another story
    flags = _found(_attempt(call, ready, out, lives=(1, 1, 1)))[1]
    if abs(near.true_ms) > DRIFT_MS:
        assert flags == ({"attempt-late"} if near.true_ms > 0 else set())
    assert flags <= _found(_attempt(call, ready, out))[1] | {"attempt-late"}, "whoever says less is no surer"


BY_HAND = Read(100_000, 0, 2_000)


@pytest.mark.parametrize(
    ("says", "held", "epoch", "lives", "flags"),
    [
        ({}, 0, 1, (1, 1, 1), {"attempt-late"}),
        ({}, 0, 1, (1, 1, 2), {"attempt-doubt"}),  # the clock may have stood still in between
        ({}, 0, 1, (0, 1, 1), {"attempt-doubt"}),  # called by who did not say it
        ({}, 0, 2, (1, 1, 1), {"attempt-doubt"}),  # a page that was loaded anew
        ({}, 500, 1, (1, 1, 1), {"attempt-doubt"}),  # it was held in between
        ({"hand": True}, 0, 1, (1, 1, 1), {"attempt-doubt"}),  # started by hand in between
    ],
)
def test_only_moments_of_one_life_of_one_clock_are_sure_of_one_another(
    says: dict[str, Any], held: int, epoch: int, lives: tuple[int, int, int], flags: set[str]
) -> None:
    marks = _attempt(BY_HAND, BY_HAND, Read(161_100, 0, 2_000), lives=lives)
    out = marks[3]
    out["body"] |= says | ({"held": held} if held else {})
    out["at"] -= held
    out["epoch"] = epoch
    assert _found(marks)[1] == flags


def test_a_life_tells_nothing_of_a_moment_that_a_hold_or_a_ruling_moved() -> None:
    marks = _attempt(BY_HAND, BY_HAND, Read(171_100, 0, 2_000), lives=(1, 1, 1))
    held = fold(_shared(), parsed(marks), SheetClock(holds=(Hold(at_ms=130_000, for_ms=10_000),)))
    assert {flag.why for flag in held.flags} & (LATE | DOUBT) == {"attempt-doubt"}
    by_hand = [mark | {"body": mark["body"] | {"hand": True}} for mark in marks]
    shifted = fold(_shared(), parsed(by_hand), SheetClock(shift_ms=700))
    assert {flag.why for flag in shifted.flags} & (LATE | DOUBT) == {"attempt-late"}, "a shift moves a whole life"


EXACT = Read(100_000, 0, 0)


def _out(at: int, bound_ms: int) -> Read:
    return Read(at, 0, bound_ms)


@pytest.mark.parametrize(
    ("call", "ready", "out", "flags"),
    [
        (EXACT, EXACT, _out(160_999, 0), set()),
        (EXACT, EXACT, _out(161_000, 0), {"attempt-late"}),
        (EXACT, EXACT, _out(160_800, 200), {"attempt-doubt"}),
        (EXACT, EXACT, _out(160_799, 200), set()),
        (EXACT, EXACT, _out(161_199, 200), {"attempt-doubt"}),
        (EXACT, EXACT, _out(161_200, 200), {"attempt-late"}),
        # The later of call and ready bar began it: a doubt of the earlier one is none, unless it may have been the later.
        (Read(90_000, 0, 200), EXACT, _out(161_000, 0), {"attempt-late"}),
        (Read(99_900, 0, 200), EXACT, _out(161_000, 0), {"attempt-doubt"}),
        (Read(99_900, 0, 200), EXACT, _out(161_100, 0), {"attempt-late"}),
        (EXACT, Read(100_000, 0, 500), _out(161_499, 0), {"attempt-doubt"}),
    ],
)
def test_the_bounds_of_all_who_told_the_time_are_added_up(call: Read, ready: Read, out: Read, flags: set[str]) -> None:
    assert _found(_attempt(call, ready, out))[1] == flags


@pytest.mark.parametrize(("good", "best"), [(True, "100 kg"), (False, None)])
def test_a_person_rules_on_what_the_clocks_left_open(good: bool, best: str | None) -> None:
    marks = _attempt(EXACT, EXACT, _out(161_000, 300))
    tally, flags = _found(marks, ({"mark": marks[-1]["id"], "good": good},))
    assert flags == set(), "what was ruled is open no more"
    found = tally.windows[0].best
    assert (found.load.text() if found else None) == best


def test_a_miss_leaves_nothing_to_rule() -> None:
    assert _found(_attempt(EXACT, EXACT, _out(161_000, 300), good=False))[1] == set()


def test_a_lift_that_another_clock_keeps_out_is_in_no_doubt() -> None:
    marks = _attempt(Read(540_500, 0, 2_000), EXACT, _out(601_000, 0))  # past the bell for sure, past its own time perhaps
    assert _found(marks)[1] == {"begun-late"}


def test_a_lift_that_waits_for_judges_is_in_no_doubt_yet() -> None:
    format, marks = _shared(), _attempt(EXACT, EXACT, _out(161_000, 300))
    three = format.model_copy(update={"tasks": {"work": format.tasks["work"].model_copy(update={"judges": 3})}})
    by, told = sheets(), marks[-1]
    second = by["second"].mark("lift", told["at"], 0, **told["body"])
    racked = by["third"].mark("racked", told["at"] + 500, 0) | {"sheet": told["sheet"]}
    assert _three(three, marks, []) == {"judges-waiting"}
    assert _three(three, marks, [second]) == {"judges-waiting"}, "a third is waited for"
    assert _three(three, [*marks, racked], [second]) == {"attempt-doubt"}


def _three(format: Format, lane: list[Plain], second: list[Plain]) -> set[str]:
    tally = together(format, {"lane": lane, "second": second})
    return {flag.why for flag in tally.flags} if tally else set()


@pytest.mark.parametrize("keeps", [why for why, row in FLAGS.items() if row.keeps_out])
def test_nothing_says_that_a_mark_counts_beside_what_keeps_it_out(keeps: str) -> None:
    told = told_of(Flag("m", why) for why in (*FLAGS, keeps) if why == keeps or not FLAGS[why].keeps_out)
    assert keeps in {flag.why for flag in told}
    assert [flag.why for flag in told if "It counts" in FLAGS[flag.why].sentence] == []


def test_the_time_of_the_next_attempt_is_as_unsure_as_the_clock_that_freed_the_bar() -> None:
    sheet, format = Sheet(), a_format(a_lift_task(attempt_seconds=10), take("best"), unit="kg")
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 9_500, "101 kg")
    freed: dict[str, Any] = lift(sheet, 8_000, "100 kg", True) | {"err": 400}
    marks = [first, sheet.mark("begun", 5_000, 0), freed, second]
    out = sheet.mark("begun", 18_800, 0) | {"err": 0}  # it was free at 8 s: 10 s and the grace are over at 19
    done = sheet.mark("lift", 20_000, 0, load=plain_load("101 kg"), good=True)
    assert {flag.why for flag in fold(format, parsed([*marks, out, done])).flags} == {"attempt-doubt"}
