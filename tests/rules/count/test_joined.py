"""The sheets of one lane are joined window by window, and only then do targets, eliminations and caps run, once."""

import random
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.count.joined import joined_tally
from app.rules.count.sheets import counting_tallies
from app.rules.count.tally import Tally
from app.rules.records.rulings import Ruling
from app.rules.result.results import results
from app.rules.workout.formats import CountTask, Format, JoinRule
from tests.builders.cast import FORMATS, Plain, Sheet, a_competition, a_format, a_lift_task, take, tallied
from tests.builders.second_scorer import total


def on(kind: str, device: str = "") -> Sheet:
    """A sheet of that kind beside lane asg_1."""
    sheet = Sheet("asg_1", device=device or f"tab-{kind}")
    sheet.sheet = f"asg_1/1/{kind}"
    return sheet


def counted(sheet: Sheet, *windows: int) -> list[Plain]:
    """So many repetitions in each minute, evenly from its first second on."""
    return [sheet.rep(60_000 * n + 1_000 + 58_000 * i // max(1, many), n) for n, many in enumerate(windows) for i in range(many)]


def minutes(number: int, how: Any = "lane", beyond: int | None = None, **task: Any) -> Format:
    """Minutes of swings, one after another."""
    format = a_format(CountTask(movement="swing", **task), windows=number)
    return format.model_copy(update={"counters": JoinRule(how=how, recount_beyond=beyond)})


def standing(sheet: str, *windows: int) -> Ruling:
    """A ruling that lets a sheet stand, in these windows if any are named."""
    body: Plain = {"sheet": f"asg_1/1/{sheet}", **({"windows": list(windows)} if windows else {})}
    return Ruling(id="rul_1", kind="stand", assignment="asg_1", body=body, by="Head judge", why="Seen on film")


def tally(format: Format, marks: Iterable[Plain], *rulings: Ruling) -> Tally:
    """What counts for the lane."""
    file = a_competition(format, {"Open": ["Ana"]}, list(marks))
    return counting_tallies(file, file.runs, file.marks, rulings)["asg_1"]


def works(found: Tally) -> list[Fraction]:
    """What counts in each window."""
    return [window.counted for window in found.windows]


def test_a_minute_read_out_and_two_marked_are_three_minutes_of_one_entry() -> None:
    format = minutes(3, target=12, miss_puts_out=True)
    found = tally(format, [*counted(on("paper"), 12), *counted(on("lane"), 0, 12, 12)])
    assert works(found) == [12, 12, 12]
    assert not found.flags, "nobody is out, so no mark is after being out"
    out = tally(format, [*counted(on("paper"), 11), *counted(on("lane"), 0, 12, 12)])
    assert works(out) == [11, 0, 0] and {flag.why for flag in out.flags} == {"after-out"}


def test_counters_are_joined_before_a_miss_puts_out_and_before_the_target_cuts() -> None:
    format = minutes(2, "mean", target=10, miss_puts_out=True)
    assert works(tally(format, [*counted(on("lane"), 9, 10), *counted(on("second"), 11, 10)])) == [10, 10]
    assert works(tally(format, [*counted(on("lane"), 9, 10), *counted(on("second"), 10, 10)])) == [Fraction(19, 2), 0]


def test_whose_tablet_was_dark_in_a_window_does_not_halve_it_whoever_it_was() -> None:
    format = minutes(2, "mean")
    found = tally(format, [*counted(on("lane"), 30), *counted(on("second"), 30, 30)])
    assert works(found) == [30, 30] and found.windows[1].away == ("lane",)
    other = tally(format, [*counted(on("lane"), 30, 30), *counted(on("second"), 30)])
    assert works(other) == [30, 30] and other.windows[1].away == ("second",)
    alone = tally(format, counted(on("second"), 20, 10))
    assert works(alone) == [20, 10] and alone.windows[0].away == ("lane",)


def dark(sheet: Sheet, *silences: tuple[int, int]) -> list[Plain]:
    """58 repetitions, one a second, but for those of some stretches, in seconds."""
    return [mark for mark in counted(sheet, 58) if not any(a * 1_000 <= mark["at"] < b * 1_000 for a, b in silences)]


@pytest.mark.parametrize(
    "silences",
    [[(28, 60)], [(0, 28)], [(20, 40)], [(4, 60)], [(0, 57)], [(49, 60)], [(10, 20), (30, 42)]],
    ids=["for good", "late", "and back", "early on", "but for the end", "near the bell", "twice"],
)
@pytest.mark.parametrize("signed", [False, True])
def test_whose_tablet_is_dark_for_a_while_takes_nothing_from_who_counts_on(silences: list[tuple[int, int]], signed: bool) -> None:
    lane = on("lane")
    own = dark(lane, *silences) + ([lane.mark("sign", 70_000, who="judge", name="Io")] if signed else [])
    found = tally(minutes(1, "mean"), [*own, *counted(on("second"), 58)])
    assert works(found) == [58] and {one.kind for one in found.windows[0].dark} == {"lane"}
    assert [(one.from_ms // 1_000, one.taken) for one in found.windows[0].dark] == [
        (max(0, a - 1), min(b, 59) - max(1, a)) for a, b in silences
    ]
    assert found.windows[0].reps[-1][0] > 57_000, "the time of the count is that of the sheet that has it all"


def test_two_who_are_dark_by_turns_have_all_of_it_between_them() -> None:
    found = tally(minutes(1, "mean"), [*dark(on("lane"), (20, 60)), *dark(on("second"), (0, 20))])
    assert works(found) == [58] and {one.kind for one in found.windows[0].dark} == {"lane", "second"}


def _seen_by(chance: random.Random, kind: str, times: list[int], silence: tuple[int, int]) -> list[Plain]:
    sheet = on(kind)
    taps = [at + chance.randrange(-100, 101) for at in times]
    return [sheet.rep(at, 0) for at in taps if not silence[0] <= at < silence[1]]


@given(st.integers(0, 2**32), st.sampled_from(["mean", "median", "closest_two", "drop_high_low"]), st.booleans())
def test_who_counts_alike_but_for_silences_one_after_the_other_makes_what_was_done(seed: int, how: str, third: bool) -> None:
    chance = random.Random(seed)
    times = [1_000]
    while times[-1] < 58_000:
        times.append(times[-1] + chance.randrange(700, 1_100))
    silences = [(start, start + chance.randrange(8_000, 17_000)) for start in (0, 20_000, 40_000)]
    chance.shuffle(silences)
    kinds = ["lane", "second", "third"][: 3 if third else 2]
    marks = [mark for kind, silence in zip(kinds, silences, strict=False) for mark in _seen_by(chance, kind, times, silence)]
    found = tally(minutes(1, how), marks)
    assert works(found) == [len(times)] and {one.kind for one in found.windows[0].dark} == set(kinds)


def test_a_paper_of_which_nothing_stands_says_nothing_not_zero() -> None:
    paper, format = on("paper"), minutes(2, "mean")
    typed = paper.rep(1_000, 0)
    gone = [typed, paper.strike(1_000, typed)]
    file = a_competition(format, {"Open": ["Ana"]}, gone)
    assert counting_tallies(file, file.runs, file.marks) == {}
    found = tally(format, [*gone, *counted(on("third"), 8, 8)])
    assert works(found) == [8, 8] and {one.by for one in found.windows} == {("third",)}
    again = tally(format, [*gone, paper.rep(61_000, 1), *counted(on("third"), 8, 8)])
    assert works(again) == [8, Fraction(9, 2)], "of the first minute nothing is read out"


def test_what_another_counted_after_the_entry_was_out_is_judged_though_the_judge_took_all_back() -> None:
    lane, second = on("lane"), on("second")
    tap = lane.rep(61_000, 1)
    marks = [tap, lane.strike(61_500, tap), *(second.rep(61_000 + 100 * n, 1) for n in range(4))]
    found = tally(minutes(2, "mean", target=3, miss_puts_out=True), marks)
    assert works(found) == [0, 0] and found.says(1) and found.windows[1].count == 4


def test_short_silences_and_single_misses_are_what_the_rule_joins() -> None:
    found = tally(minutes(1, "mean"), [*dark(on("lane"), (20, 25), (40, 42)), *counted(on("second"), 58)])
    assert works(found) == [Fraction(58 + 51, 2)] and found.windows[0].dark == ()


def test_who_has_half_of_what_was_read_out_is_left_out_for_nobody_knows_when_that_was_counted() -> None:
    found = tally(minutes(1, "mean"), [*counted(on("paper"), 58), *dark(on("second"), (28, 60))])
    assert works(found) == [58] and found.windows[0].away == ("second",)
    near = tally(minutes(1, "mean"), [*counted(on("paper"), 58), *dark(on("second"), (50, 60))])
    assert works(near) == [Fraction(58 + 49, 2)]


def test_the_athletes_signature_is_no_sign_that_the_judge_counted() -> None:
    format, lane = minutes(2, "mean"), on("lane")
    signed = lane.mark("sign", 130_000, who="athlete", name="Ana")
    assert works(tally(format, [*counted(lane, 30), signed, *counted(on("second"), 30, 30)])) == [30, 30]


def test_who_refuses_what_another_counts_was_there_and_counted_nothing() -> None:
    format, lane = minutes(2, "mean"), on("lane")
    refused = [lane.mark("norep", at, 1) for at in range(61_000, 120_000, 4_000)]
    found = tally(format, [*counted(lane, 30), *refused, *counted(on("second"), 30, 30)])
    assert works(found) == [30, 15] and (found.windows[1].away, found.windows[1].dark) == ((), ())


@pytest.mark.parametrize("sign_of_life", ["norep", "struck", "sign"])
def test_one_sign_of_life_does_not_show_that_all_else_was_not_worth_a_mark(sign_of_life: str) -> None:
    format, lane = minutes(2, "mean"), on("lane")
    tap = lane.rep(70_000, 1)
    said = {
        "norep": [lane.mark("norep", 70_000, 1)],
        "struck": [tap, lane.strike(71_000, tap)],
        "sign": [lane.mark("sign", 130_000, who="judge", name="Io")],
    }[sign_of_life]
    found = tally(format, [*counted(lane, 30), *said, *counted(on("second"), 30, 30)])
    assert works(found)[0] == 30 and 29 <= works(found)[1] <= 30
    assert found.windows[1].away or {one.kind for one in found.windows[1].dark} == {"lane"}


def _with_counters(format: Format) -> Format:
    return format.model_copy(update={"counters": JoinRule(how="mean")})


def _list(sheet: Sheet, taps: int, *finish: int) -> list[Plain]:
    return [*(sheet.rep(2_000 * n, 0) for n in range(1, taps + 1)), *(sheet.mark("finish", at, 0) for at in finish)]


def test_of_a_work_list_the_sheet_counts_of_who_was_at_work_all_the_time() -> None:
    format = _with_counters(FORMATS["list"])
    found = tally(format, [*_list(on("lane"), 5), *_list(on("second"), 13, 27_000)])
    assert found.windows[0].finish_ms == 27_000 and found.windows[0].by == ("second",)
    assert [one.kind for one in found.windows[0].dark] == ["lane"], "and the head judge is told"


@pytest.mark.parametrize(
    ("lane", "second", "differs"),
    [((13, 27_000), (13, 27_900), False), ((13, 27_000), (13, 28_100), True), ((13, 27_000), (12,), True), ((12,), (12,), False)],
)
def test_lists_of_two_who_were_at_work_are_compared_and_the_lane_judges_counts(
    lane: tuple[int, ...], second: tuple[int, ...], differs: bool
) -> None:
    found = tally(_with_counters(FORMATS["list"]), [*_list(on("lane"), *lane), *_list(on("second"), *second)])
    assert (found.windows[0].by, found.windows[0].unlike) == (("lane",), ("second",) if differs else ())


@pytest.mark.parametrize(
    ("own", "unlike", "value"), [(["12"], (), "12"), (["13"], ("second",), "13"), ([], (), "12")], ids=["alike", "other", "dark"]
)
def test_a_measure_is_the_lane_judges_else_who_took_one(own: list[str], unlike: tuple[str, ...], value: str) -> None:
    lane, second = on("lane"), on("second")
    marks = [second.mark("measure", 1_000, 0, value="12"), *(lane.mark("measure", 1_500, 0, value=one) for one in own)]
    (window, *_) = tally(_with_counters(FORMATS["measure"]), marks).windows
    assert (str(window.measure), window.unlike, window.away) == (value, unlike, () if own else ("lane",))


def test_a_lift_that_only_the_second_counter_judged_counts_and_one_that_both_judged_otherwise_is_named() -> None:
    format = _with_counters(a_format(a_lift_task(), take("best"), unit="kg"))
    second = on("second").lift(5_000, "100 kg", True)
    (alone,) = tally(format, [second]).windows
    assert alone.best is not None and (alone.by, alone.away) == (("second",), ("lane",))
    (both,) = tally(format, [second, on("lane").lift(5_500, "100 kg", False)]).windows
    assert both.best is None and (both.by, both.unlike) == (("lane",), ("second",))


@pytest.mark.parametrize("told", ["plan", "note", "stop", "beside"])
def test_what_changes_no_number_is_no_sign_that_the_judge_was_there_either(told: str) -> None:
    format, lane = minutes(2, "mean"), on("lane")
    said = {
        "plan": lane.mark("plan", 70_000, loads=[{"amount": "100", "unit": "kg"}], by="lifter"),
        "note": lane.mark("note", 70_000, text="Dark again"),
        "stop": lane.mark("stop", 59_999, why="Cramp"),
        "beside": lane.mark("norep", 150_000, 1),
    }[told]
    assert works(tally(format, [*counted(lane, 30), said, *counted(on("second"), 30, 30)])) == [30, 30]


def test_a_members_best_is_the_best_of_what_the_counters_make_together() -> None:
    format = a_format(CountTask(movement="swing"), take("member_best"), windows=2)
    format = format.model_copy(update={"counters": JoinRule(how="mean")})
    file = a_competition(format, {"Open": ["Ana"]}, [*counted(on("lane"), 10, 12), *counted(on("second"), 13, 5)])
    (row,) = results(file)[0].tables[0].rows
    assert row.score is not None and row.score.value == Fraction(23, 2)


def test_a_film_of_one_disputed_window_says_nothing_of_the_other() -> None:
    format = minutes(2, "mean", 2)
    marks = [*counted(on("lane"), 30, 30), *counted(on("second"), 40, 40), *counted(on("video"), 36)]
    assert works(tally(format, marks)) == [35, 35] and tally(format, marks).recounts == (0, 1), "nobody has ruled"
    for ruling in (standing("video"), standing("video", 0)):
        found = tally(format, marks, ruling)
        assert (works(found), found.recounts, found.windows[0].by) == ([36, 35], (1,), ("video",))


def test_a_ruling_that_names_windows_holds_where_the_sheet_has_nothing_too() -> None:
    marks = [*counted(on("lane"), 30, 30), *counted(on("shadow"), 28)]
    assert works(tally(minutes(2), marks, standing("shadow", 1))) == [30, 0]
    assert works(tally(minutes(2), marks, standing("shadow"), standing("lane"))) == [30, 30], "the newest holds"


def test_what_a_ruling_lets_stand_is_what_eliminates() -> None:
    format = minutes(3, target=10, miss_puts_out=True)
    marks = [*counted(on("lane"), 9, 10, 10), *counted(on("video"), 10)]
    assert works(tally(format, marks)) == [9, 0, 0]
    assert works(tally(format, marks, standing("video", 0))) == [10, 10, 10]


def test_each_members_lifts_count_by_the_sheet_that_has_the_heavier() -> None:
    format = a_format(a_lift_task(), take("member_best"), members=2, who="any", unit="kg")
    lane, paper = Sheet(), Sheet(device="desk")
    own = tallied(format, [_lifted(lane, 1_000, "100 kg", 1), _lifted(lane, 2_000, "90 kg", 2)])
    said = tallied(format, [_lifted(paper, 1_000, "105 kg", 1)])
    made = joined_tally(format, {"lane": own, "paper": said})
    assert made is not None
    assert [(one.member, one.load.text()) for one in made.windows[0].lifts] == [(1, "105 kg"), (2, "90 kg")]


def _lifted(sheet: Sheet, at: int, load: str, member: int) -> Plain:
    mark = sheet.lift(at, load, True)
    return {**mark, "body": {**mark["body"], "member": member}}


def test_a_list_read_out_as_finished_counts_beside_windows_that_were_marked() -> None:
    format = FORMATS["list"]
    done = [Sheet(device="desk").rep(1_000) | {"id": f"{n:032x}", "at": 1_000 * n, "seq": n} for n in range(1, 14)]
    paper = tallied(format, [*done, Sheet(device="d").mark("finish", 14_250)])
    made = joined_tally(format, {"lane": tallied(format, [Sheet().rep(900)]), "paper": paper})
    assert made is not None and (made.windows[0].finish_ms, made.windows[0].by) == (14_250, ("paper",))


def a_ledger(chance: random.Random) -> tuple[Format, list[Plain], list[Ruling]]:
    """Minutes of a random rule, counted by random judges who are there or not, and what was ruled."""
    number = chance.randrange(1, 5)
    target = chance.choice([None, None, 3, 8])
    task = {"target": target, "grows": chance.choice([0, 1]), "miss_puts_out": chance.random() < 0.6} if target else {}
    format = minutes(number, chance.choice(["lane", "mean", "median", "closest_two", "drop_high_low"]), **task)
    kinds = [kind for kind in ("lane", "second", "third", "paper", "video", "shadow") if chance.random() < 0.6]
    marks = [mark for kind in kinds for mark in _judged(chance, on(kind), number, target or 8)]
    rulings = []
    for at in range(chance.choice([0, 0, 1, 2])):
        some = chance.sample(range(number), chance.randrange(0, number + 1))
        made = standing(chance.choice(kinds or ["lane"]), *some)
        rulings.append(made.model_copy(update={"id": f"rul_{at}", "made_wall_ms": at}))
    chance.shuffle(marks)
    return format, marks, rulings


def _judged(chance: random.Random, sheet: Sheet, windows: int, about: int) -> list[Plain]:
    marks = []
    for n in range(windows):
        until = chance.choice([60_000, 60_000, 60_000, 25_000])
        kinds = [] if chance.random() < 0.3 else ["rep"] * max(0, about + chance.randrange(-2, 3))
        kinds += ["norep"] * (chance.random() < 0.15) + ["note"] * (chance.random() < 0.1)
        for kind in kinds:
            at = 60_000 * n + chance.randrange(until)
            marks.append(sheet.mark(kind, at, n if kind != "note" else None, **({"text": "Seen"} if kind == "note" else {})))
    if marks and chance.random() < 0.2:
        reps = [mark for mark in marks if mark["kind"] == "rep"]
        marks += [sheet.strike(marks[-1]["at"], chance.choice(reps))] if reps else []
    if chance.random() < 0.2:
        marks.append(sheet.mark("sign", 60_000 * windows + 500, who="judge", name="Io"))
    return marks


@given(st.integers(0, 2**32))
@example(7589)  # put out, then counted by the third alone: a paper that was taken back stands beside it
@example(1498408722)  # a refusal is all that was judged, and a paper was taken back
@example(1632887638)  # a refusal read out, where the tablet has a note alone
@example(3140423356)  # a paper that says nothing of a window in which another counted; a ruling names a sheet that is not there
@example(2512537284)  # two repetitions of one counter at one moment, as a silence of the other ends
@example(1224803453)  # and as one begins
def test_a_second_scorer_that_shares_no_code_agrees(seed: int) -> None:
    format, marks, rulings = a_ledger(random.Random(seed))
    file = a_competition(format, {"Open": ["Ana"]}, marks, rulings=[one.model_dump(mode="json") for one in rulings])
    (row,) = results(file)[0].tables[0].rows
    own = None if row.score is None else row.score.value
    plain = format.model_dump(mode="json")
    assert own == total(plain, marks, [one.model_dump(mode="json") for one in rulings])
