"""Tally to score: parts, weights, units, rounding, caps; and the laws that a judge relies on."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.result.scoring import score
from app.rules.values.clock_times import exact_text
from app.rules.values.units import Rounding
from app.rules.workout.formats import CountTask, Format, ListTask, MeasureTask, Part, ScoreRule, Window, WorkItem
from app.rules.workout.score_units import convert
from tests.builders.cast import (
    FORMATS,
    MOVES,
    Plain,
    Sheet,
    a_format,
    a_lift_task,
    load,
    parsed,
    plain_load,
    scored,
    take,
    tallied,
)
from tests.builders.chance import sheets, shuffled

SWINGS = CountTask(movement="swing")
LIST = ListTask(items=(WorkItem(movement="swing", reps=3), WorkItem(movement="squat", reps=1, worth=5)))
MORE = [FORMATS[name] for name in ("pair", "rounds", "ladder")]


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()


def _counts(sheet: Sheet, *counts: int) -> list[Plain]:
    """That many repetitions in each of the minutes of `a_format`."""
    return [sheet.rep(60_000 * i + 500 * n) for i, count in enumerate(counts) for n in range(count)]


@pytest.mark.parametrize(
    ("how", "more", "value"),
    [
        ("sum", {}, 16),
        ("sum", {"drop": 1}, 13),
        ("sum", {"drop": 3}, 0),
        ("best", {}, 9),
        ("worst", {}, 3),
        ("last", {}, 4),
        ("sum", {"weight": "1/2"}, 8),
        ("best", {"weight": "2.5"}, Fraction(45, 2)),
    ],
)
def test_a_part_takes_from_its_windows_what_it_says(sheet: Sheet, how: str, more: dict[str, Any], value: Any) -> None:
    assert scored(a_format(SWINGS, take(how, **more), windows=3), _counts(sheet, 9, 3, 4)).value == value


def test_best_and_worst_follow_the_way_the_score_is_better(sheet: Sheet) -> None:
    faults = _counts(sheet, 9, 3, 4)
    assert scored(a_format(SWINGS, take("best"), windows=3, better="less"), faults).value == 3
    assert scored(a_format(SWINGS, take("worst"), windows=3, better="less"), faults).value == 9


def test_a_score_shows_what_was_taken_and_where_it_came_from(sheet: Sheet) -> None:
    part = scored(a_format(SWINGS, take("sum", drop=1, weight="2"), windows=3), _counts(sheet, 9, 3, 4)).parts[0]
    assert [(term.window, term.raw, term.raw_unit) for term in part.terms] == [(0, 9, "reps"), (1, 3, "reps"), (2, 4, "reps")]
    assert (part.name, part.taken, part.weight, part.value) == ("Swings", (0, 2), 2, 26)


def test_each_members_best_lift_is_summed_in_the_scores_unit(sheet: Sheet) -> None:
    pair = FORMATS["pair"]
    marks = [sheet.lift(490_000, "210 lb", True), sheet.lift(500_000, "96 kg", True), sheet.lift(510_000, "120 kg", False)]
    made = scored(pair, [*marks, sheet.lift(670_000, "61.5 kg", True)])
    # A's best is 96 kg, for 210 lb are 95.25 kg; B's 61.5 kg.
    assert (made.value, made.unit, made.text) == (Fraction(315, 2), "points", "157.5")
    assert [(term.member, term.raw_unit) for term in made.parts[2].terms] == [(1, "kg"), (2, "kg")]


def a_relay(unit: str, **rule: Any) -> Format:
    """Three who follow one another: A carries, B lifts, C lifts and carries. All of it is added up in `unit`."""
    carries, lift = CountTask(movement="swing"), a_lift_task(step=load("2 kg"), least_plate=load("1 kg"))
    turns = (("carries", 1), ("lift", 2), ("lift", 3), ("carries", 3))
    windows = [Window(start=100 * n, seconds=80, task=task, who=(who,)) for n, (task, who) in enumerate(turns)]
    parts = (Part(take="sum", tasks=("carries",)), Part(take="member_best", tasks=("lift",)))
    plain = {"name": "Total", "unit": unit, "parts": [part.model_dump() for part in parts], **rule}
    tasks = {"carries": carries, "lift": lift}
    return Format(members=3, unit="kg", movements=MOVES, tasks=tasks, windows=tuple(windows), scores=(ScoreRule(**plain),))


def relayed(sheet: Sheet) -> list[Plain]:
    """A carries 37 times; B lifts 84 kg, then misses 92; C lifts 66 kg and carries 23 times."""
    a, c = ([sheet.rep(start + 600 * n) for n in range(count)] for start, count in ((0, 37), (300_000, 23)))
    tries = ((110_000, "84 kg", True), (150_000, "92 kg", False), (210_000, "66 kg", True))
    lifts = []
    for at, said, good in tries:
        declared = sheet.declare(at, said)
        lifts += [declared, sheet.lift(at + 20_000, said, good, declared=declared["id"])]
    return [*a, *lifts, *c]


def test_members_repetitions_and_best_lifts_are_one_total_as_a_person_adds_them_up(sheet: Sheet) -> None:
    marks, format = relayed(sheet), a_relay("kg")
    assert tallied(format, marks).flags == ()
    # 37 + 23 = 60 repetitions; 84 + 66 = 150 kg; together 210.
    made = scored(format, marks)
    assert ([part.value for part in made.parts], made.value, made.text) == ([60, 150], 210, "210")


def test_the_same_marks_in_pounds_are_another_score_so_the_unit_is_part_of_the_rule(sheet: Sheet) -> None:
    made = scored(a_relay("lb"), relayed(sheet))
    # 150 kg are 150 / 0.45359237 = 330.6933932... lb, and the 60 repetitions stay 60.
    assert made.value == 60 + Fraction(150) / Fraction("0.45359237")


@pytest.mark.parametrize(("rounding", "text"), [("down", "390"), ("nearest", "391"), ("none", "390.693")])
def test_the_rounding_is_part_of_the_rule_too(sheet: Sheet, rounding: str, text: str) -> None:
    assert scored(a_relay("lb", rounding=rounding), relayed(sheet)).text == text


def test_a_lift_declared_in_the_other_unit_is_converted_exactly(sheet: Sheet) -> None:
    made = scored(FORMATS["pair"], [sheet.lift(490_000, "210 lb", True)])
    assert made.value == 210 * Fraction(45359237, 100_000_000)
    assert made.text == "95.254"


def test_members_who_share_a_window_are_summed_by_member(sheet: Sheet) -> None:
    shared = a_format(SWINGS, take("member_best"), windows=2, members=2, who="any")
    marks = [sheet.mark("rep", 1_000 * i, member=1) for i in range(4)] + [sheet.mark("rep", 9_000, member=2)]
    marks += [sheet.mark("rep", 60_000 + 1_000 * i, member=2) for i in range(3)]
    assert scored(shared, marks).value == 4 + 3


def test_there_are_never_more_bests_than_members_whoever_marks_name(sheet: Sheet) -> None:
    shared = a_format(a_lift_task(), take("member_best"), members=2, who="any", unit="kg")
    nobodys = [sheet.lift(5_000, "90 kg", True), sheet.mark("lift", 9_000, load=plain_load("80 kg"), good=True, member=1)]
    assert scored(shared, nobodys).value == 170  # B has none yet, so what nobody in particular lifted is one more
    named = [*nobodys, sheet.mark("lift", 15_000, load=plain_load("70 kg"), good=True, member=2)]
    assert scored(shared, named).value == 170 and len(scored(shared, named).parts[0].taken) == 2


def test_one_athletes_repetitions_are_theirs_whether_a_mark_names_them_or_not(sheet: Sheet) -> None:
    alone = a_format(SWINGS, take("member_best"), who="any")
    assert scored(alone, [sheet.rep(1_000), sheet.mark("rep", 2_000, member=1), sheet.rep(3_000)]).value == 3


def test_each_members_best_is_the_least_where_less_is_better(sheet: Sheet) -> None:
    task = MeasureTask(movement="swing", unit="s", keep="least")
    run = a_format(task, take("member_best"), windows=2, better="less", unit="s")
    assert scored(run, [sheet.mark("measure", 5_000, value="50"), sheet.mark("measure", 65_000, value="48")]).value == 48


def test_a_number_of_shared_work_is_the_members_who_made_it(sheet: Sheet) -> None:
    task = MeasureTask(movement="swing", unit="m", high=Fraction(100), keep="best")
    shared = a_format(task, take("member_best"), members=2, who="any", unit="m")
    told = [sheet.mark("measure", 1_000 * n, value=value, member=member) for n, (value, member) in enumerate(THROWN)]
    assert scored(shared, told).value == 9 + 7
    assert [(share.member, share.measure) for share in tallied(shared, told).windows[0].shares] == [(1, 9), (2, 7)]
    alone = a_format(task, take("member_best"), unit="m")
    assert scored(alone, [told[0], sheet.mark("measure", 9_000, value="11")]).value == 11, "named or not, there is one athlete"


THROWN = (("8", 1), ("7", 2), ("9", 1), ("5", 2))


def test_a_window_without_a_good_lift_is_worth_nothing_and_may_be_dropped(sheet: Sheet) -> None:
    marks = [sheet.lift(5_000, "100 kg", True), sheet.lift(65_000, "110 kg", False), sheet.lift(125_000, "90 kg", True)]

    def lifted(how: str, **more: Any) -> Fraction:
        return scored(a_format(a_lift_task(), take(how, **more), windows=3, unit="kg"), marks).value

    assert (lifted("sum"), lifted("sum", drop=1), lifted("worst"), lifted("best"), lifted("last")) == (190, 190, 0, 100, 90)


def test_parts_of_several_kinds_are_added_in_one_unit(sheet: Sheet) -> None:
    marks = [sheet.rep(1_000), sheet.rep(2_000), sheet.rep(950_000), sheet.lift(490_000, "52 kg", True)]
    made = scored(FORMATS["pair"], marks)
    assert made.value == 55 and [part.value for part in made.parts] == [2, 1, 52]


@pytest.mark.parametrize(
    ("rounding", "step", "value"),
    [
        (Rounding.NONE, "1", "205/4"),
        (Rounding.DOWN, "0.5", "51"),
        (Rounding.NEAREST, "0.5", "103/2"),
        (Rounding.NEAREST, "1", "51"),
    ],
)
def test_the_published_score_is_rounded_as_the_rule_says_and_the_exact_one_is_kept(
    sheet: Sheet, rounding: Rounding, step: str, value: str
) -> None:
    format = a_format(a_lift_task(), take("best"), unit="kg", rounding=rounding, rounding_step=step)
    made = scored(format, [sheet.lift(5_000, "51.25 kg", True)])
    assert (made.value, made.exact) == (Fraction(value), Fraction("51.25"))
    assert made.key[-1] == -made.value


def _for_time(**rule: Any) -> Format:
    return a_format(LIST, take("time"), unit="s", better="less", **rule)


def _work(sheet: Sheet, taps: int, finish_at: int | None = None) -> list[Plain]:
    finish = [] if finish_at is None else [sheet.mark("finish", finish_at)]
    return [sheet.rep(1_000 * i) for i in range(1, taps + 1)] + finish


def test_a_finisher_has_a_time_and_a_capped_entry_the_work_it_had_left() -> None:
    finished = scored(_for_time(), _work(Sheet(), 4, 42_250))
    assert (finished.text, finished.left, finished.value) == ("0:42.25", None, Fraction("42.25"))
    capped = scored(_for_time(), _work(Sheet(), 2))
    assert (capped.text, capped.left, capped.value) == ("capped, 6 left", 6, 60)
    assert scored(_for_time(), []).text == "capped, 8 left"


def test_a_finisher_stands_before_the_capped_and_they_stand_by_work_left() -> None:
    slow, one_left, much_left = _work(Sheet(), 4, 59_999), _work(Sheet(), 3), _work(Sheet(), 1)
    keys = [scored(_for_time(), marks).key for marks in (slow, one_left, much_left)]
    assert keys == sorted(keys) and len(set(keys)) == 3


def test_less_work_left_comes_before_a_better_time_so_far() -> None:
    # Two lists: one is quick at the first and leaves 6 of the second, the other takes 50 s and leaves 5.
    twice = a_format(LIST, take("time"), windows=2, unit="s", better="less")
    a, b = Sheet(), Sheet()
    quick = [*_work(a, 4, 20_000), *(a.rep(61_000 + 1_000 * i) for i in range(2))]
    slow = [*_work(b, 4, 50_000), *(b.rep(61_000 + 1_000 * i) for i in range(3))]
    assert (scored(twice, quick).left, scored(twice, slow).left) == (6, 5)
    assert scored(twice, quick).value == 80 and scored(twice, slow).value == 110
    assert scored(twice, slow).key < scored(twice, quick).key


def test_where_the_cap_adds_seconds_all_work_done_is_a_time_even_without_a_finish_mark() -> None:
    rule = _for_time(cap_adds="1")
    assert scored(rule, _work(Sheet(), 2)).text == "1:06"
    unmarked = scored(rule, _work(Sheet(), 4))
    assert (unmarked.text, unmarked.left) == ("0:04", None), "its last repetition is taken for the finish"
    assert unmarked.key < scored(rule, _work(Sheet(), 3)).key


def test_an_entry_that_was_not_measured_never_wins_where_less_is_better(sheet: Sheet) -> None:
    row = a_format(MeasureTask(movement="swing", unit="s"), take("sum"), unit="s", better="less")
    missing = scored(row, [sheet.mark("norep", 1_000)])
    measured = scored(row, [sheet.mark("measure", 1_000, value="99")])
    assert measured.text == "1:39" and missing.text == "not measured"
    assert measured.key < missing.key


def test_of_several_measures_the_least_is_the_best_where_less_is_better(sheet: Sheet) -> None:
    best = a_format(MeasureTask(movement="swing", unit="s"), take("best"), windows=3, unit="s", better="less")
    marks = [sheet.mark("measure", 1_000, value="31"), sheet.mark("measure", 121_000, value="29")]
    made = scored(best, marks)
    assert (made.value, made.unmeasured) == (29, False)
    total = a_format(MeasureTask(movement="swing", unit="s"), take("sum"), windows=3, unit="s", better="less")
    assert scored(total, marks).unmeasured


def test_a_measure_missing_where_more_is_better_is_worth_nothing(sheet: Sheet) -> None:
    throw = a_format(MeasureTask(movement="swing", unit="cm"), take("sum"), windows=2, unit="m")
    made = scored(throw, [sheet.mark("measure", 1_000, value="1250")])
    assert (made.value, made.text) == (Fraction("12.5"), "12.5")


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        ("0", "0:00"),
        ("9.5", "0:09.5"),
        ("59.9994", "0:59.999"),
        ("59.9996", "1:00"),
        ("9.9996", "0:10"),
        ("60", "1:00"),
        ("582", "9:42"),
        ("3600", "60:00"),
        ("-65", "-1:05"),
    ],
)
def test_a_time_is_shown_as_minutes_and_seconds(seconds: str, text: str) -> None:
    assert exact_text(Fraction(seconds)) == text


def test_only_measures_of_one_kind_are_converted() -> None:
    assert convert(Fraction(3), "ft", "in") == 36
    assert convert(Fraction(1), "mi", "m") == Fraction("1609.344")
    assert convert(Fraction(5), "reps", "kg") == convert(Fraction(5), "m", "kg") == convert(Fraction(5), "cal", "points") == 5


@st.composite
def _one_more(draw: st.DrawFn) -> tuple[Format, list[Mark], Sheet, Mark]:
    """A sheet of a more-is-better event, and one more good repetition on it at any time."""
    format = draw(st.sampled_from(MORE))
    tablet = Sheet(device="tab-z")
    at = draw(st.integers(0, format.length_ms) | st.sampled_from([w.start_ms for w in format.windows]))
    return format, parsed(draw(sheets(format))), tablet, parsed([tablet.rep(at)])[0]


@given(_one_more())
def test_a_good_repetition_never_lowers_a_score_and_striking_it_restores_it(
    drawn: tuple[Format, list[Mark], Sheet, Mark],
) -> None:
    format, marks, tablet, rep = drawn
    rule, strike = format.scores[0], parsed([tablet.strike(0, {"id": drawn[3].id})])
    before, after = score(format, rule, fold(format, marks)), score(format, rule, fold(format, [*marks, rep]))
    assert after.value >= before.value and after.key <= before.key
    assert score(format, rule, fold(format, [*marks, rep, *strike])) == before


@given(sheets(FORMATS["pair"]), st.integers(480_000, 839_999), st.sampled_from(["20 kg", "225 lb", "400 kg"]))
def test_a_good_lift_never_lowers_a_score_and_a_miss_never_changes_it(marks: list[Plain], at: int, load: str) -> None:
    pair = FORMATS["pair"]
    before = scored(pair, marks).value
    assert scored(pair, [*marks, Sheet(device="tab-z").lift(at, load, True)]).value >= before
    assert scored(pair, [*marks, Sheet(device="tab-z").lift(at, load, False)]).value == before


@given(st.sampled_from(sorted(FORMATS)), st.data())
def test_order_and_repetition_of_marks_leave_the_score_alone(name: str, data: st.DataObject) -> None:
    format = FORMATS[name]
    marks = parsed(data.draw(sheets(format)))
    again = data.draw(shuffled(marks))
    rule = format.scores[0]
    assert score(format, rule, fold(format, again)) == score(format, rule, fold(format, marks))


OTHERS = st.lists(st.tuples(st.sampled_from([0, 4, 8]), st.integers(2, 12), st.integers(0, 110_000)), min_size=1, max_size=6)


@given(sheets(FORMATS["pair"]), OTHERS)
def test_nobody_elses_mark_changes_a_score_in_windows_that_name_their_members(marks: list[Plain], others: list[Any]) -> None:
    """A window of the pair's is one member's; whoever else is named there, by a mark or by its declaration, adds nothing."""
    pair, phone = FORMATS["pair"], Sheet(device="phone")
    more: list[Plain] = []
    for win, member, into in others:
        window = pair.windows[win]
        who = member if isinstance(window.who, tuple) and member not in window.who else 12
        at = window.start_ms + into
        if win == 4:
            said = phone.mark("declare", at, win, load=plain_load("400 kg"), by="lifter", member=who)
            more += [said, phone.mark("lift", at + 1, win, load=plain_load("400 kg"), good=True, declared=said["id"])]
        else:
            more.append(phone.mark("rep", at, win, member=who))
    assert scored(pair, [*marks, *more]) == scored(pair, marks)
