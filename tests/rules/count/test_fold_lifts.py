"""A lift window: declarations, tries under them, the bar racked; which tries count and which are only flagged."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.tally import Tally
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS, Plain, Sheet, a_format, a_lift_task, flags_of, load, plain_load, scored, take, tallied
from tests.vectors.lift_scenes import AFTER_A


def _lifting(**task: object) -> Format:
    return a_format(a_lift_task(**task), take("best"), unit="kg")


def _loads(tally: Tally) -> list[tuple[str, bool, bool]]:
    return [(lift.load.text(), lift.good, lift.counts) for lift in tally.windows[0].lifts]


def _best(tally: Tally) -> str | None:
    best = tally.windows[0].best
    return None if best is None else best.load.text()


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()


def test_a_missed_try_may_be_tried_again_until_the_bar_is_racked(sheet: Sheet) -> None:
    first = sheet.declare(1_000, "100 kg")
    miss = sheet.lift(5_000, "100 kg", False, fault="depth", declared=first["id"])
    good = sheet.lift(9_000, "100 kg", True, declared=first["id"])
    tally = tallied(_lifting(), [first, miss, good, sheet.mark("racked", 12_000)])
    assert _loads(tally) == [("100 kg", False, True), ("100 kg", True, True)]
    assert (tally.windows[0].lifts[0].fault, tally.windows[0].lifts[0].declared) == ("depth", first["id"])
    assert _best(tally) == "100 kg" and tally.windows[0].declaration is None
    assert tally.flags == ()


def test_only_a_good_lift_is_a_best_one(sheet: Sheet) -> None:
    marks = [sheet.declare(0, "120 kg"), sheet.lift(5_000, "120 kg", False)]
    assert _best(tallied(_lifting(), marks)) is None
    assert _best(tallied(_lifting(), [*marks, sheet.declare(8_000, "90 kg"), sheet.lift(9_000, "90 kg", True)])) == "90 kg"


def test_the_heaviest_counts_whatever_unit_it_was_declared_in_and_of_equals_the_first(sheet: Sheet) -> None:
    marks: list[Plain] = []
    for at, text in ((1_000, "220 lb"), (10_000, "100 kg"), (20_000, "100.0 kg"), (30_000, "210 lb")):
        marks += [sheet.declare(at, text), sheet.lift(at + 5_000, text, True)]
    best = tallied(_lifting(), marks).windows[0].best
    assert best is not None and best.load == load("100 kg") and best.at == 15_000


def test_a_declaration_stands_until_another_one_or_the_rack(sheet: Sheet) -> None:
    first, second = sheet.declare(0, "100 kg"), sheet.declare(1_000, "105 kg")
    assert tallied(_lifting(), [first]).windows[0].declaration == first["id"]
    assert tallied(_lifting(), [first, second]).windows[0].declaration == second["id"]
    racked = sheet.mark("racked", 2_000, declared=first["id"])
    assert tallied(_lifting(), [first, second, racked]).windows[0].declaration == second["id"]
    assert tallied(_lifting(), [first, second, sheet.mark("racked", 3_000)]).windows[0].declaration is None


def test_a_declaration_made_before_the_window_opens_stands_in_it(sheet: Sheet) -> None:
    early = sheet.declare(470_000, "103 kg", win=4)
    tally = tallied(FORMATS["pair"], [early, sheet.lift(485_000, "103 kg", True, win=4)])
    assert tally.windows[4].lifts[0].declared == early["id"]
    assert tally.flags == ()


@pytest.mark.parametrize(
    ("declared", "lifted", "why"),
    [
        (None, "100 kg", "no-declaration"),
        ("100 kg", "102 kg", "load-differs"),
        ("15 kg", "15 kg", "below-bar"),
        ("100.5 kg", "100.5 kg", "off-step"),
        ("225 lb", "225 lb", "off-step"),
        ("451 kg", "451 kg", "heavy"),
    ],
)
def test_a_doubt_is_flagged_and_the_lift_counts(sheet: Sheet, declared: str | None, lifted: str, why: str) -> None:
    marks = [sheet.declare(0, declared)] if declared else []
    tally = tallied(_lifting(), [*marks, sheet.lift(5_000, lifted, True)])
    assert [flag.why for flag in tally.flags] == [why]
    assert _best(tally) == lifted


def test_one_load_in_another_unit_is_the_load_declared(sheet: Sheet) -> None:
    tally = tallied(_lifting(), [sheet.declare(0, "100 kg"), sheet.lift(5_000, "100.00 kg", True)])
    assert tally.flags == ()


def test_a_bar_that_is_racked_unnamed_is_the_one_that_was_tried_not_the_next_that_was_declared(sheet: Sheet) -> None:
    first, missed = sheet.mark("declare", 1_000, load=plain_load("100 kg"), by="judge"), sheet.lift(5_000, "100 kg", False)
    second = sheet.mark("declare", 6_000, load=plain_load("102 kg"), by="lifter")
    tried = [first, missed, second, sheet.mark("racked", 8_000)]
    window = tallied(_lifting(), tried).windows[0]
    assert window.declaration == second["id"] and window.lifts[0].racked
    assert window == tallied(_lifting(), [*tried[:3], {**tried[3], "body": {"declared": first["id"]}}]).windows[0]


def test_a_lift_after_its_bar_was_racked_counts_and_is_flagged(sheet: Sheet) -> None:
    first = sheet.declare(0, "100 kg")
    marks = [first, sheet.mark("racked", 4_000), sheet.lift(5_000, "100 kg", True, declared=first["id"])]
    tally = tallied(_lifting(), marks)
    assert flags_of(tally) == [("3", "after-rack")] and _best(tally) == "100 kg"


def test_a_lift_that_names_a_struck_declaration_has_none(sheet: Sheet) -> None:
    first = sheet.declare(0, "100 kg")
    tally = tallied(_lifting(), [first, sheet.lift(5_000, "100 kg", True, declared=first["id"]), sheet.strike(6_000, first)])
    assert tally.windows[0].lifts[0].declared is None
    assert flags_of(tally) == [("2", "no-declaration")] and _best(tally) == "100 kg"


def test_where_one_try_is_allowed_a_second_does_not_count(sheet: Sheet) -> None:
    marks = [sheet.declare(0, "100 kg"), sheet.lift(5_000, "100 kg", False), sheet.lift(9_000, "100 kg", True)]
    tally = tallied(_lifting(tries_until_racked=False), marks)
    assert _best(tally) is None and flags_of(tally) == [("3", "second-try")]


def test_an_attempt_more_than_allowed_does_not_count(sheet: Sheet) -> None:
    marks: list[Plain] = []
    for at, text, good in ((0, "100 kg", True), (10_000, "110 kg", False), (20_000, "120 kg", True)):
        marks += [sheet.declare(at, text), sheet.lift(at + 5_000, text, good)]
    tally = tallied(_lifting(attempts=2), marks)
    assert _best(tally) == "100 kg" and flags_of(tally) == [("6", "attempt-over")]
    assert _best(tallied(_lifting(attempts=3), marks)) == "120 kg"


def test_a_declaration_without_a_lift_is_no_attempt_and_a_retry_no_second_one(sheet: Sheet) -> None:
    changed, second = sheet.declare(0, "100 kg"), sheet.declare(1_000, "110 kg")
    tries = [sheet.lift(5_000, "110 kg", False), sheet.lift(9_000, "110 kg", True)]
    assert _best(tallied(_lifting(attempts=1), [changed, second, *tries])) == "110 kg"


def test_where_loads_may_not_go_down_a_lift_lighter_than_the_heaviest_so_far_does_not_count(sheet: Sheet) -> None:
    marks: list[Plain] = []
    for at, text, good in ((0, "110 kg", False), (10_000, "108 kg", True), (20_000, "109 kg", True), (30_000, "110 kg", True)):
        marks += [sheet.declare(at, text), sheet.lift(at + 5_000, text, good)]
    tally = tallied(_lifting(may_go_down=False), marks)
    assert _best(tally) == "110 kg" and flags_of(tally) == [("4", "went-down"), ("6", "went-down")]
    assert [lift.counts for lift in tally.windows[0].lifts] == [True, False, False, True]


@pytest.mark.parametrize(
    ("counts_when", "at", "best", "why"),
    [
        ("finished", 60_900, "100 kg", ["late"]),
        ("finished", 61_000, None, ["outside"]),
        ("begun", 75_000, "100 kg", ["late"]),
        ("begun", -1_001, None, ["outside"]),
    ],
)
def test_a_lift_counts_when_finished_or_begun_before_the_bell(
    sheet: Sheet, counts_when: str, at: int, best: str | None, why: list[str]
) -> None:
    tally = tallied(_lifting(counts_when=counts_when), [sheet.declare(0, "100 kg", 0), sheet.lift(at, "100 kg", True, win=0)])
    assert _best(tally) == best
    assert [flag.why for flag in tally.flags] == why


def test_load_times_repetitions_prefers_the_greater_product(sheet: Sheet) -> None:
    # 100 kg five times is 500; 140 kg three times is 420.
    light = sheet.mark("lift", 5_000, load={"amount": "100", "unit": "kg"}, good=True, reps=5)
    heavy = sheet.mark("lift", 9_000, load={"amount": "140", "unit": "kg"}, good=True, reps=3)
    assert _best(tallied(_lifting(times_reps=True), [light, heavy])) == "100 kg"
    assert _best(tallied(_lifting(), [light, heavy])) == "140 kg"


def test_the_member_is_the_one_named_else_declared_else_the_windows_only_one(sheet: Sheet) -> None:
    shared = a_format(a_lift_task(), take("member_best"), members=2, who="any", unit="kg")
    declared = sheet.mark("declare", 0, load={"amount": "90", "unit": "kg"}, by="lifter", member=2)
    named = sheet.mark("lift", 9_000, load={"amount": "90", "unit": "kg"}, good=True, member=1)
    tally = tallied(shared, [declared, sheet.lift(5_000, "90 kg", True), named])
    assert [lift.member for lift in tally.windows[0].lifts] == [2, 1]
    assert tallied(_lifting(), [sheet.lift(5_000, "90 kg", True)]).windows[0].lifts[0].member == 1


def test_in_a_members_window_no_lift_of_another_counts_though_a_declaration_says_so(sheet: Sheet) -> None:
    """A phone that declared for members 2, 3 and 12 in A's window made four bests of a pair, 1140 for 300."""
    own = a_format(a_lift_task(), take("member_best"), members=2, unit="kg")
    marks = [sheet.declare(1_000, "100 kg"), sheet.lift(5_000, "100 kg", True)]
    for at, member in ((10_000, 2), (20_000, 3), (30_000, 12)):
        said = sheet.mark("declare", at, load=plain_load("350 kg"), by="lifter", member=member)
        marks += [said, sheet.lift(at + 5_000, "350 kg", True, declared=said["id"])]
    tally = tallied(own, marks)
    assert scored(own, marks).value == 100 and tally.windows[0].declaration == marks[0]["id"]
    assert [why for _, why in flags_of(tally)] == ["other-member"] * 6


@given(
    said=st.lists(st.integers(min_value=-60_000, max_value=59_999), min_size=1, max_size=4, unique=True),
    acts=st.lists(st.tuples(st.sampled_from(["declare", "begun", "lift", "racked"]), st.integers(0, 59_999)), max_size=8),
)
def test_what_b_declares_before_their_own_window_stands_in_it_whatever_happens_in_as(
    said: list[int], acts: list[tuple[str, int]]
) -> None:
    """The newest of B's stands when B's turn comes, the judge's hand in A's window locks nothing of it, and A's is as without."""
    sheet = Sheet()
    load_100 = plain_load("100 kg")
    bodies: dict[str, Plain] = {"declare": {"load": load_100, "by": "judge"}, "lift": {"load": load_100, "good": True}}
    in_as = [sheet.mark(kind, at, 0, **bodies.get(kind, {})) for kind, at in acts]
    early = [sheet.mark("declare", at, 1, load=plain_load("60 kg"), by="lifter", member=2) for at in said]
    tally, alone = tallied(AFTER_A, in_as + early), tallied(AFTER_A, in_as)
    assert tally.windows[1].declaration == max(early, key=lambda mark: int(mark["at"]))["id"]
    assert tally.windows[1].waiting is None and tally.windows[0] == alone.windows[0]
    assert [flag for flag in tally.flags if flag.mark in {mark["id"] for mark in early}] == []


def test_a_lift_after_anothers_declaration_is_the_lifters_own_under_their_own(sheet: Sheet) -> None:
    own = a_format(a_lift_task(), take("member_best"), members=2, unit="kg")
    mine = sheet.declare(1_000, "100 kg")
    theirs = sheet.mark("declare", 2_000, load=plain_load("350 kg"), by="lifter", member=2)
    tally = tallied(own, [mine, theirs, sheet.lift(5_000, "100 kg", True)])
    assert [(lift.declared, lift.member, lift.counts) for lift in tally.windows[0].lifts] == [(mine["id"], 1, True)]
