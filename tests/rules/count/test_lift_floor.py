"""A declaration is locked when the bar leaves the rack; attempts are a member's own; a bar has one lifter at a time."""

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Tally, fold
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Format, Window
from app.rules.workout.misload import MisloadRule
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, flags_of, parsed, plain_load, take, tallied
from tests.vectors.lift_scenes import FORMATS, declare, lift, loaded, mixture


def _pair(**task: Any) -> Format:
    return a_format(a_lift_task(**task), take("member_best"), members=2, who="any", unit="kg")


def _lifts(tally: Tally) -> list[tuple[int | None, str, bool]]:
    return [(one.member, one.load.text(), one.counts) for one in tally.windows[0].lifts]


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()


def test_a_declaration_can_change_until_the_bar_leaves_the_rack(sheet: Sheet) -> None:
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 2_000, "105 kg")
    begun = sheet.mark("begun", 3_000, 0)
    window = tallied(_pair(), [first, second, begun]).windows[0]
    assert (window.declaration, window.begun, window.waiting) == (second["id"], begun["id"], None)


def test_what_is_declared_while_the_bar_is_out_waits_for_the_next_lift(sheet: Sheet) -> None:
    first = declare(sheet, 1_000, "100 kg")
    begun, late = sheet.mark("begun", 3_000, 0), declare(sheet, 4_000, "110 kg")
    tally = tallied(_pair(), [first, begun, late])
    assert tally.windows[0].declaration == first["id"] and tally.windows[0].waiting == late["id"]
    assert flags_of(tally) == [("3", "declared-late")]
    lifted = tallied(_pair(), [first, begun, late, lift(sheet, 6_000, "100 kg", True)]).windows[0]
    assert lifted.lifts[0].declared == first["id"] and lifted.lifts[0].begun == begun["id"]
    assert (lifted.declaration, lifted.begun, lifted.waiting) == (late["id"], None, None)


def test_after_a_miss_the_bar_is_still_the_lifters_until_it_is_racked(sheet: Sheet) -> None:
    first = declare(sheet, 1_000, "100 kg")
    begun, late, missed = sheet.mark("begun", 3_000, 0), declare(sheet, 4_000, "110 kg"), lift(sheet, 6_000, "100 kg", False)
    marks = [first, begun, late, missed]
    assert tallied(_pair(), marks).windows[0].declaration == first["id"]
    assert tallied(_pair(tries_until_racked=False), marks).windows[0].declaration == late["id"]
    assert tallied(_pair(), [*marks, sheet.mark("racked", 8_000, 0)]).windows[0].declaration == late["id"]


def test_the_partners_next_load_waits_and_is_nothing_odd(sheet: Sheet) -> None:
    first, begun = declare(sheet, 1_000, "100 kg"), sheet.mark("begun", 3_000, 0)
    tally = tallied(_pair(), [first, begun, declare(sheet, 4_000, "60 kg", 2), lift(sheet, 6_000, "100 kg", True)])
    assert tally.flags == () and tally.windows[0].lifts[0].member == 1


def test_a_newer_declaration_that_the_judge_had_not_seen_stands_for_the_next_lift(sheet: Sheet) -> None:
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 2_000, "110 kg")
    begun = sheet.mark("begun", 3_000, 0, declared=first["id"])
    tally = tallied(_pair(), [first, second, begun])
    assert (tally.windows[0].declaration, tally.windows[0].waiting) == (first["id"], second["id"])
    assert flags_of(tally) == [("3", "begun-unseen")]


def test_pressed_twice_is_once(sheet: Sheet) -> None:
    first, begun = declare(sheet, 1_000, "100 kg"), sheet.mark("begun", 3_000, 0)
    tally = tallied(_pair(), [first, begun, sheet.mark("begun", 3_200, 0)])
    assert tally.flags == () and tally.windows[0].begun == begun["id"]


def _both_out(sheet: Sheet) -> list[Plain]:
    mine, theirs = declare(sheet, 1_000, "100 kg"), declare(sheet, 2_000, "60 kg", 2)
    return [
        mine,
        theirs,
        sheet.mark("begun", 3_000, 0, declared=mine["id"]),
        sheet.mark("begun", 4_000, 0, declared=theirs["id"]),
        lift(sheet, 6_000, "60 kg", True, declared=theirs["id"]),
        lift(sheet, 7_000, "100 kg", True, declared=mine["id"]),
    ]


def test_two_lifters_on_one_bar_are_flagged_and_with_a_bar_each_are_not(sheet: Sheet) -> None:
    marks = _both_out(sheet)
    assert [why for _, why in flags_of(tallied(_pair(), marks)) if why == "two-on-bar"] == ["two-on-bar", "two-on-bar"]
    own = tallied(_pair(bars="each"), marks)
    assert own.flags == () and _lifts(own) == [(2, "60 kg", True), (1, "100 kg", True)]


def test_attempts_and_going_down_count_for_each_member(sheet: Sheet) -> None:
    marks: list[Plain] = []
    for at, text, member in (
        (0, "100 kg", 1),
        (10_000, "60 kg", 2),
        (20_000, "105 kg", 1),
        (30_000, "62 kg", 2),
        (40_000, "61 kg", 2),
    ):
        declared = declare(sheet, at, text, member)
        marks += [declared, lift(sheet, at + 5_000, text, True, declared=declared["id"])]
    tally = tallied(_pair(attempts=2, may_go_down=False), marks)
    assert [counts for *_, counts in _lifts(tally)] == [True, True, True, True, False]
    assert {why for _, why in flags_of(tally)} == {"attempt-over", "went-down"}


@pytest.mark.parametrize(
    ("second", "record", "why"),
    [
        ("102 kg", False, "small-increase"),
        ("102.5 kg", False, None),
        ("100.5 kg", True, None),
        ("100 kg", False, "small-increase"),
    ],
)
def test_after_a_good_lift_the_load_goes_up_by_the_least_increase(
    sheet: Sheet, second: str, record: bool, why: str | None
) -> None:
    rule = {"step": {"amount": "0.5", "unit": "kg"}, "step_after_good": {"amount": "2.5", "unit": "kg"}}
    records = {"record_step": {"amount": "0.5", "unit": "kg"}, "may_go_down": False}
    first = declare(sheet, 0, "100 kg")
    next_one = declare(sheet, 10_000, second, **({"record": True} if record else {}))
    marks = [first, lift(sheet, 5_000, "100 kg", True), next_one, lift(sheet, 15_000, second, True)]
    tally = tallied(_pair(**rule, **records), marks)
    assert [flag for _, flag in flags_of(tally)] == ([why] if why else [])
    assert tally.windows[0].lifts[1].counts is (why is None)


def test_a_miss_asks_for_no_increase(sheet: Sheet) -> None:
    marks = [declare(sheet, 0, "100 kg"), lift(sheet, 5_000, "100 kg", False), sheet.mark("racked", 6_000, 0)]
    marks += [declare(sheet, 10_000, "100 kg"), lift(sheet, 15_000, "100 kg", True)]
    rule = {"step_after_good": {"amount": "2.5", "unit": "kg"}, "may_go_down": False}
    assert tallied(_pair(**rule), marks).flags == ()


def test_a_record_attempt_where_there_are_none_is_flagged(sheet: Sheet) -> None:
    marks = [declare(sheet, 0, "100 kg", record=True), lift(sheet, 5_000, "100 kg", True)]
    assert flags_of(tallied(_pair(), marks)) == [("2", "no-records")]


@pytest.mark.parametrize(("out", "counts"), [(10_990, True), (11_010, False)])
def test_the_bar_must_leave_the_rack_within_the_time_of_an_attempt(sheet: Sheet, out: int, counts: bool) -> None:
    # 10 s from the window's start, and the second of grace that a bell has too.
    marks = [declare(sheet, 1_000, "100 kg"), sheet.mark("begun", out, 0), lift(sheet, out + 2_000, "100 kg", True)]
    tally = tallied(_pair(attempt_seconds=10), marks)
    assert tally.windows[0].lifts[0].counts is counts
    assert flags_of(tally) == ([] if counts else [("3", "attempt-late")])


def test_the_time_of_the_next_attempt_begins_when_the_bar_is_free(sheet: Sheet) -> None:
    marks = [declare(sheet, 1_000, "100 kg"), sheet.mark("begun", 5_000, 0), lift(sheet, 8_000, "100 kg", True)]
    marks += [sheet.mark("racked", 9_000, 0), declare(sheet, 10_000, "101 kg"), sheet.mark("begun", 19_500, 0)]
    assert tallied(_pair(attempt_seconds=10), [*marks, lift(sheet, 22_000, "101 kg", True)]).flags == ()


def _shared(**rule: Any) -> Format:
    task = a_lift_task(order="lightest", attempt_seconds=60, counts_when="begun", **rule)
    made = a_format(task, take("best"), unit="kg")
    return made.model_copy(update={"windows": (Window(start=0, seconds=600, task="work"),)})


@pytest.mark.parametrize(
    ("told", "out", "counts"),
    [
        ((), 185_000, True),  # nobody said when the lifter was called: no clock is known to have run
        (("called", 185_000), 245_900, True),
        (("called", 185_000), 246_010, False),
        (("called", 185_000, "loaded", 200_000), 260_900, True),
        (("called", 185_000, "loaded", 200_000), 261_010, False),
        (("loaded", 180_000, "called", 185_000), 245_900, True),
        (("loaded", 180_000), 241_010, False),
    ],
)
def test_at_a_bar_that_lanes_share_the_time_runs_from_the_call_and_the_ready_bar(
    sheet: Sheet, told: tuple[Any, ...], out: int, counts: bool
) -> None:
    # It ends a minute after its end, and counts all the same: it was begun in time.
    said = declare(sheet, 10_000, "100 kg")
    words = {"loaded": {"load": plain_load("100 kg"), "by": "loader"}, "called": {}}
    marks = [sheet.mark(kind, at, 0, declared=said["id"], **words[kind]) for kind, at in zip(told[::2], told[1::2], strict=True)]
    begun = sheet.mark("begun", out, 0, declared=said["id"])
    tally = tallied(_shared(), [said, *marks, begun, lift(sheet, out + 60_000, "100 kg", True, declared=said["id"])])
    assert tally.windows[0].lifts[0].counts is counts
    assert {flag for _, flag in flags_of(tally)} == (set() if counts else {"attempt-late"})


@pytest.mark.parametrize(("follows", "out", "counts"), [(True, 161_000, True), (False, 161_000, False), (None, 161_000, True)])
def test_who_follows_themselves_has_the_longer_time(sheet: Sheet, follows: bool | None, out: int, counts: bool) -> None:
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 11_000, "101 kg")
    more = {} if follows is None else {"follows": follows}
    called = sheet.mark("called", 50_000, 0, declared=second["id"], **more)
    begun = sheet.mark("begun", out, 0, declared=second["id"])
    done = [lift(sheet, 10_000, "100 kg", True), lift(sheet, out + 2_000, "101 kg", True, declared=second["id"])]
    tally = tallied(_shared(follow_seconds=120), [first, done[0], second, called, begun, done[1]])
    assert tally.windows[0].lifts[1].counts is counts


def test_another_load_is_another_call(sheet: Sheet) -> None:
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 50_000, "102 kg")
    called = [sheet.mark("called", at, 0, declared=one["id"]) for at, one in ((5_000, first), (90_000, second))]
    begun = sheet.mark("begun", 140_000, 0, declared=second["id"])
    tally = tallied(_shared(), [first, called[0], second, called[1], begun, lift(sheet, 142_000, "102 kg", True)])
    assert tally.windows[0].lifts[0].counts and tally.flags == ()


@pytest.mark.parametrize("good", [True, False])
def test_a_ruling_restores_what_a_wrong_clock_took(sheet: Sheet, good: bool) -> None:
    said = declare(sheet, 1_000, "100 kg")
    called, begun = (sheet.mark(kind, at, 0, declared=said["id"]) for kind, at in (("called", 2_000), ("begun", 80_000)))
    done = lift(sheet, 82_000, "100 kg", True, declared=said["id"])
    marks = parsed([said, called, begun, done])
    assert fold(_shared(), marks).windows[0].best is None
    ruling = Ruling(
        id="rul", kind="lift", assignment="asg_1", body={"mark": done["id"], "good": good}, by="Wren", why="The clock ran early"
    )
    best = fold(_shared(), marks, SheetClock(ruled=(ruling,))).windows[0].best
    assert (best is not None) is good


@pytest.mark.parametrize(("out", "why"), [(59_900, ["late"]), (61_010, ["late", "begun-late"])])
def test_a_lift_begun_after_the_bell_does_not_count_even_where_begun_is_enough(sheet: Sheet, out: int, why: list[str]) -> None:
    marks = [declare(sheet, 50_000, "100 kg"), sheet.mark("begun", out, 0), lift(sheet, 64_000, "100 kg", True)]
    tally = tallied(_pair(counts_when="begun"), marks)
    assert sorted(flag for _, flag in flags_of(tally)) == sorted(why)
    assert tally.windows[0].lifts[0].counts is ("begun-late" not in why)


def test_what_was_on_the_bar_is_known_for_the_declaration_that_stands(sheet: Sheet) -> None:
    first = declare(sheet, 1_000, "100 kg")
    window = tallied(_pair(), [first, loaded(sheet, 2_000, "102.5 kg")]).windows[0]
    assert window.loaded is not None and window.loaded.text() == "102.5 kg"
    assert flags_of(tallied(_pair(), [loaded(sheet, 2_000, "102.5 kg")])) == [("3", "loads-nothing")]


def test_old_sheets_without_the_new_marks_fold_as_before(sheet: Sheet) -> None:
    first = declare(sheet, 1_000, "100 kg")
    odd = lift(sheet, 5_000, "102 kg", True, declared=first["id"])
    one = tallied(_pair(), [first, odd]).windows[0].lifts[0]
    assert (one.load.text(), one.counts, one.again) == ("102 kg", True, False)


@given(seed=st.integers(0, 10_000), rule=st.sampled_from(sorted(FORMATS)), order=st.randoms(use_true_random=False))
def test_the_order_of_arrival_changes_nothing(seed: int, rule: str, order: Any) -> None:
    marks = mixture(random.Random(seed), Sheet())
    again = [*marks, *marks[:3]]
    order.shuffle(again)
    assert tallied(FORMATS[rule], again) == tallied(FORMATS[rule], marks)


@given(seed=st.integers(0, 10_000))
def test_a_try_counts_or_some_flag_says_why_not(seed: int) -> None:
    for format in FORMATS.values():
        tally = tallied(format, mixture(random.Random(seed), Sheet()))
        flagged = {flag.mark for flag in tally.flags}
        assert all(one.counts or one.mark in flagged for one in tally.windows[0].lifts)


def test_the_lenient_rule_is_the_default() -> None:
    assert a_lift_task().misload == MisloadRule()


def _session(attempts: list[tuple[list[bool], bool]], member: int = 1) -> tuple[Sheet, list[Plain], list[str]]:
    """Attempts one after the other, each in time, of whom only the declaration names: tries that fail or not, then racked, the
    next load said before or after that; and the declarations' ids. The sheet goes on."""
    sheet, marks, ids, at = Sheet(), [], [], 1_000
    racked: Plain | None = None
    for number, (tries, early) in enumerate(attempts):
        declared = declare(sheet, at, f"{100 + 2 * number} kg", member)
        marks += [declared, *([racked] if racked else [])]
        at += 5_000
        for good in tries:
            marks.append(sheet.mark("begun", at, 0, declared=declared["id"]))
            marks.append(lift(sheet, at + 500, f"{100 + 2 * number} kg", good, declared=declared["id"]))
            at += 1_000
        racked = sheet.mark("racked", at + (600 if early else 0), 0, declared=declared["id"])
        ids.append(declared["id"])
        at += 500
    return sheet, [*marks, *([racked] if racked else [])], ids


tries_of_one = st.lists(st.just(False), max_size=2).flatmap(lambda missed: st.sampled_from([[*missed, True], [*missed, False]]))


@given(
    st.lists(st.tuples(tries_of_one, st.booleans()) | st.just(([], False)), min_size=2, max_size=6),
    st.sampled_from([1, 2]),
    st.sampled_from(["one", "each"]),
    st.data(),
)
def test_taking_back_an_old_declaration_makes_no_later_lift_late_nor_one_too_many(
    attempts: list[tuple[list[bool], bool]], member: int, bars: str, data: st.DataObject
) -> None:
    format = _pair(attempt_seconds=9, attempts=len(attempts), counts_when="begun", bars=bars)
    sheet, marks, ids = _session(attempts, member)
    before = tallied(format, marks).windows[0].lifts
    assert all(one.counts for one in before), "each was in time and one of the attempts"
    old = data.draw(st.sampled_from(ids[:-1]))
    after = tallied(format, [*marks, sheet.mark("strike", 59_000, None, mark=old)]).windows[0].lifts
    assert [(one.mark, one.counts) for one in after] == [(one.mark, True) for one in before]


@given(seed=st.integers(0, 10_000), rule=st.sampled_from(sorted(FORMATS)), data=st.data())
def test_taking_back_a_declaration_afterwards_moves_no_time_whatever_was_marked(
    seed: int, rule: str, data: st.DataObject
) -> None:
    sheet = Sheet()
    marks = mixture(random.Random(seed), sheet)
    said = data.draw(st.sampled_from([mark for mark in marks if mark["kind"] == "declare"] or marks))
    taken = [*marks, sheet.mark("strike", 90_000, None, mark=said["id"])] if said["kind"] == "declare" else marks
    lifts_late = ("attempt-late", "begun-late")
    late = [{f.mark for f in tallied(FORMATS[rule], some).flags if f.why in lifts_late} for some in (marks, taken)]
    assert late[1] <= late[0]
