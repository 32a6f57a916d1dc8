"""Doing more never ranks lower, except where the event's own rule says so: each such rule is listed, told, and does that."""

import random
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.compose.event_plain import told
from app.rules.count.counters import COUNTERS
from app.rules.count.joined import joined_tally
from app.rules.count.tally import Tally
from app.rules.records.seats import SheetKind
from app.rules.result.explain import RULES, explain
from app.rules.result.results import results
from app.rules.result.scoring import score
from app.rules.result.ties import tie_keys
from app.rules.values.words import say
from app.rules.workout.formats import (
    CountTask,
    Format,
    JoinRule,
    LiftTask,
    ListTask,
    MeasureTask,
    Part,
    ScoreRule,
    TieStep,
    Window,
    WorkItem,
)
from app.rules.workout.less_for_more import ROWS
from app.rules.workout.presets import PRESETS
from tests.builders.any_format import formats
from tests.builders.cast import Plain, Sheet, a_competition, a_format, a_lift_task, load, take, tallied

PLAYED = [preset.make({}) for _, preset in sorted(PRESETS.items())]


def standing(format: Format, rule: ScoreRule, tally: Tally) -> tuple[Any, ...]:
    """What a score ranks by: smaller is better."""
    made = score(format, rule, tally)
    return (made.key, tie_keys(format, rule, tally, made))


def judged(chance: random.Random, format: Format) -> tuple[Sheet, list[Plain]]:
    """A plausible sheet: work of every window's kind in time, finishes, lifts under declarations of their own, ever heavier."""
    sheet, marks = Sheet(), []
    for index, window in enumerate(format.windows):
        task = format.tasks.get(window.task or "")
        times = sorted(chance.randrange(window.start_ms, window.end_ms) for _ in range(chance.randrange(0, 12)))
        if isinstance(task, LiftTask):
            tries = [_lifted(sheet, index, at, 20 + 5 * n, chance.random() < 0.6) for n, at in enumerate(times[:4])]
            marks += [mark for one in tries for mark in one]
        elif isinstance(task, MeasureTask):
            marks += [sheet.mark("measure", at, index, value=str(chance.randrange(1, 90))) for at in times[:2]]
        elif task is not None:
            kinds = ["rep", "rep", "norep"]
            marks += [sheet.mark(chance.choice(kinds), at, index, **_whose(chance, format, window)) for at in times]
            if isinstance(task, ListTask) and task.rounds is not None and task.taps_in_round * task.rounds < 300:
                marks += _whole_list(chance, sheet, index, window, task.taps_in_round * task.rounds)
    return sheet, marks


def _whole_list(chance: random.Random, sheet: Sheet, index: int, window: Window, taps: int) -> list[Plain]:
    if chance.random() < 0.5:
        return []
    done = [sheet.mark("rep", chance.randrange(window.start_ms, window.end_ms), index) for _ in range(taps)]
    return [*done, *([sheet.mark("finish", chance.randrange(window.start_ms, window.end_ms), index)] * (chance.random() < 0.6))]


def _whose(chance: random.Random, format: Format, window: Window) -> Plain:
    members = range(1, format.members + 1) if isinstance(window.who, str) else window.who
    return {"member": chance.choice(list(members))} if format.members > 1 and chance.random() < 0.7 else {}


def _lifted(sheet: Sheet, index: int, at: int, kg: int, good: bool, **more: Any) -> list[Plain]:
    declared = sheet.mark("declare", at, index, load={"amount": str(kg), "unit": "kg"}, by="judge", **more)
    said = {"load": {"amount": str(kg), "unit": "kg"}, "good": good, "declared": declared["id"], **more}
    return [declared, sheet.mark("lift", at, index, **said), sheet.mark("racked", at, index, declared=declared["id"])]


def more_of(chance: random.Random, format: Format, sheet: Sheet, marks: list[Plain]) -> list[Plain]:
    """The same sheet with one more good repetition anywhere, a heavier good lift at the end of a window, or an earlier finish."""
    index = chance.choice([i for i, window in enumerate(format.windows) if window.task])
    window = format.windows[index]
    task, at = format.tasks[window.task or ""], chance.randrange(window.start_ms, window.end_ms)
    whose = _whose(chance, format, window)
    if isinstance(task, LiftTask):
        return [*marks, *_lifted(sheet, index, window.end_ms - 1, 60, True, **whose)]
    if isinstance(task, MeasureTask):
        return [*marks, sheet.mark("measure", window.end_ms - 1, index, value="95")]
    if isinstance(task, ListTask) and chance.random() < 0.3:
        return [{**mark, "at": max(window.start_ms, mark["at"] - 2_000)} if mark["kind"] == "finish" else mark for mark in marks]
    return [*marks, sheet.mark("rep", at, index, **whose)]


@given(st.sampled_from(PLAYED) | formats(), st.integers(0, 2**32))
def test_doing_more_never_ranks_lower_but_where_a_listed_rule_says_so(format: Format, seed: int) -> None:
    chance = random.Random(seed)
    sheet, marks = judged(chance, format)
    before, after = (tallied(format, some) for some in (marks, more_of(chance, format, sheet, marks)))
    for rule in format.scores:
        if _exceptions(format, rule) <= {"second_tablet"}:  # one tablet marks here
            assert standing(format, rule, after) <= standing(format, rule, before)


def _exceptions(format: Format, rule: ScoreRule) -> set[str]:
    return {key for key, row in ROWS.items() if row.applies(format, rule)}


def _on(device: str, times: Iterable[int]) -> list[Plain]:
    sheet = Sheet(device=device)
    return [sheet.rep(at, 0) for at in times]


def _mixed(some: Sequence[int], others: Sequence[int]) -> bool:
    return min(some) < max(others) and min(others) < max(some)


moments = st.lists(st.integers(0, 59_999), min_size=1, max_size=40, unique=True)


@given(moments, moments, st.integers(0, 59_999), st.sampled_from([0, 500, 5_000]))
def test_of_two_tablets_for_one_judge_more_counts_no_less_but_where_it_shows_that_nobody_took_over(
    some: list[int], others: list[int], at: int, quiet_ms: int
) -> None:
    format = a_format(SWING).model_copy(update={"quiet_ms": quiet_ms})
    before = tallied(format, [*_on("tab-a", some), *_on("tab-b", others)]).windows[0].credited
    after = tallied(format, [*_on("tab-a", [*some, at]), *_on("tab-b", others)]).windows[0].credited
    assert after >= max(len(some) + 1, len(others)), "a tablet that really counts is not pulled down"
    if _mixed(some, others) or not _mixed([*some, at], others):
        assert before <= after <= before + 1


def test_a_stray_touch_on_a_tablet_that_was_left_takes_no_more_than_itself_from_who_counts() -> None:
    format, counting = a_format(SWING), _on("tab-b", range(2_000, 59_000, 1_000))
    assert tallied(format, [*_on("tab-a", [1_000]), *counting]).windows[0].credited == 58
    for at in (30_000, 59_500):
        assert tallied(format, [*_on("tab-a", [1_000, at]), *counting]).windows[0].credited == 57


@given(st.integers(0, 2**32), st.sampled_from(["mean", "median", "closest_two", "drop_high_low"]))
def test_a_last_repetition_that_all_counters_saw_never_lowers_what_they_make_together(seed: int, how: Any) -> None:
    chance = random.Random(seed)
    format = a_format(CountTask(movement="swing"), windows=2).model_copy(update={"counters": JoinRule(how=how)})
    made: dict[SheetKind, Tally] = {}
    more: dict[SheetKind, Tally] = {}
    for kind in COUNTERS:
        sheet = Sheet(device=kind)
        times = [60_000 * n + at + chance.randrange(200) for n in (0, 1) for at in range(0, 55_000, 900)]
        reps = [sheet.rep(at, at // 60_000) for number, at in enumerate(times) if number % 3 == 0 or chance.random() < 0.8]
        reps.append(sheet.mark("sign", 120_000, who="judge", name="Io"))
        made[kind], more[kind] = tallied(format, reps), tallied(format, [*reps, sheet.rep(119_000, 1)])
    before, after = joined_tally(format, made), joined_tally(format, more)
    assert before is not None and after is not None
    assert after.windows[1].counted == before.windows[1].counted + 1


def _times(*at: int) -> list[Plain]:
    sheet = Sheet()
    return [sheet.rep(one) for one in at]


def _session(*loads: int) -> list[Plain]:
    """Good lifts under declarations of their own, ten seconds apart."""
    sheet = Sheet()
    return [mark for n, kg in enumerate(loads) for mark in _lifted(sheet, 0, 1_000 + 10_000 * n, kg, True)]


def _put(format: Format, some: list[Plain], more: list[Plain]) -> tuple[Format, Tally, Tally]:
    return format, tallied(format, some), tallied(format, more)


def _counted_by(*counts: int) -> Tally:
    sheets: dict[SheetKind, Tally] = {}
    for kind, many in zip(COUNTERS, counts, strict=True):
        sheet = Sheet(device=f"tab-{kind}")
        sheets[kind] = tallied(JOINED, [sheet.rep(1_000 + 100 * n, 0) for n in range(many)])
    made = joined_tally(JOINED, sheets)
    assert made is not None
    return made


def _members(*reps: tuple[int, int]) -> list[Plain]:
    sheet = Sheet()
    return [sheet.mark("rep", at, None, member=member) for at, member in reps]


SWING = CountTask(movement="swing")
JOINED = a_format(SWING).model_copy(update={"counters": JoinRule(how="closest_two")})
LIFTED: dict[str, Any] = {"unit": "kg", "who": (1,)}
MEASURED = a_format(MeasureTask(movement="swing", unit="m", low=Fraction(0), high=Fraction(99)), unit="m")
TIMED = ListTask(items=(WorkItem(movement="swing", reps=2),))


def _measures(*values: str) -> list[Plain]:
    sheet = Sheet()
    return [sheet.mark("measure", 1_000 * n, 0, value=value) for n, value in enumerate(values, start=1)]


def _finished(at: int) -> list[Plain]:
    sheet = Sheet()
    return [sheet.rep(1_000, 0), sheet.rep(2_000, 0), sheet.mark("finish", at, 0)]


def _lifts(**task: Any) -> Format:
    return a_format(a_lift_task(**task), take("best"), **LIFTED)


TWO_LIFTS = _lifts().model_copy(
    update={
        "windows": tuple(Window(start=60 * n, seconds=60, task="work", who=(1,)) for n in range(2)),
        "scores": (ScoreRule(unit="kg", parts=tuple(Part(take="best", windows=(n,)) for n in range(2)), every_part=True),),
    }
)


def _one_each(*good: bool) -> list[Plain]:
    """One try in each window."""
    sheet = Sheet()
    return [mark for n, one in enumerate(good) for mark in _lifted(sheet, n, 60_000 * n + 1_000, 100, one)]


def _tries(*loads: int) -> list[Plain]:
    """Lifts of which the first is refused: what it used up is gone."""
    return [{**mark, "body": {**mark["body"], "good": False}} if n == 1 else mark for n, mark in enumerate(_session(*loads))]


# What is done, and the same with more, where the event's rule then says less.
WITNESSES: dict[str, tuple[Format, Tally, Tally]] = {
    "less": _put(a_format(SWING, better="less"), _times(1), _times(1, 2)),
    "longer": _put(
        a_format(TIMED, take("time"), unit="s", better="more"),
        _finished(9_000),
        _finished(8_000),
    ),
    "taken_off": _put(a_format(SWING, take("sum", weight=Fraction(-1)), unit="points"), _times(1), _times(1, 2)),
    "last": _put(a_format(SWING, take("last"), windows=2), _times(1, 2, 3), _times(1, 2, 3, 60_001)),
    "counters": (JOINED, _counted_by(10, 14, 18), _counted_by(11, 14, 18)),
    "second_tablet": _put(
        a_format(SWING),
        [*_on("tab-a", [1_000]), *_on("tab-b", [2_000, 3_000])],
        [*_on("tab-a", [1_000, 2_500]), *_on("tab-b", [2_000, 3_000])],
    ),
    "sooner": _put(
        a_format(SWING, rounding="down", rounding_step=Fraction(5), ties=(TieStep(kind="time_of_count"),)),
        _times(*range(1, 6)),
        _times(*range(1, 6), 9_000),
    ),
    "fewer": _put(
        a_format(
            a_lift_task(),
            take("best"),
            **LIFTED,
            rounding="down",
            rounding_step=Fraction(50),
            ties=(TieStep(kind="fewer_attempts"),),
        ),
        _session(100),
        _session(100, 110),
    ),
    "attempts": _put(_lifts(attempts=2), _session(100, 110), _session(90, 100, 110)),
    "going_down": _put(_lifts(may_go_down=False), _session(100), _tries(110, 100)),
    "least_increase": _put(_lifts(step_after_good=load("5 kg")), _session(100, 107), _session(100, 105, 107)),
    "every_part": (TWO_LIFTS, *(tallied(TWO_LIFTS, marks) for marks in (_one_each(False), _one_each(False, True)))),
    "shared": _put(
        a_format(CountTask(movement="swing", target=2), take("member_best"), windows=2, members=2, who="any"),
        _members((2_000, 2), (3_000, 2), (61_000, 1), (62_000, 1)),
        _members((1_000, 1), (2_000, 2), (3_000, 2), (61_000, 1), (62_000, 1)),
    ),
    "remeasured": _put(MEASURED, _measures("12"), _measures("12", "11")),
}


@pytest.mark.parametrize("key", sorted(ROWS))
def test_each_listed_rule_lets_more_rank_lower_and_is_told_in_the_brief_and_the_explanation(key: str) -> None:
    format, some, more = WITNESSES[key]
    (rule,) = format.scores
    assert standing(format, rule, more) > standing(format, rule, some)
    assert ROWS[key].applies(format, rule)
    sentence = say(f"less_for_more.{key}")
    assert sentence in told(format).fine
    table = results(a_competition(format, {"Open": ["Ana"]}, [Sheet().rep(1_000)]))[0].tables[0]
    (step,) = (step for step in explain(format, table, table.rows[0], {}, {}).steps if step.title == RULES)
    assert sentence in [line.text for line in step.lines]


def test_who_did_all_of_a_list_without_a_finish_marked_stands_by_the_last_repetition() -> None:
    format = a_format(TIMED, take("time"), unit="s", better="less")
    unmarked = tallied(format, _finished(9_000)[:2])
    assert unmarked.windows[0].finish_ms == 2_000 and [flag.why for flag in unmarked.flags] == ["finish-missing"]
    assert standing(format, format.scores[0], unmarked) < standing(format, format.scores[0], tallied(format, _finished(9_000)))


def test_work_in_a_window_that_the_score_leaves_out_does_not_come_later_in_a_tie() -> None:
    format = a_format(SWING, take("best"), windows=2, ties=(TieStep(kind="time_of_count"),))
    idle, worked = (tallied(format, marks) for marks in (_times(1, 2, 3), _times(1, 2, 3, 60_001, 60_002)))
    assert standing(format, format.scores[0], worked) == standing(format, format.scores[0], idle)
