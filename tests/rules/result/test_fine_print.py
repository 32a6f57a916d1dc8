"""What an event's words would leave open is said, of the same field that the count reads: one changed, both change."""

from typing import Any

import pytest
from hypothesis import given

from app.compose.event_plain import told
from app.rules.count.sheets import counting_tallies
from app.rules.records.document import CompetitionFile
from app.rules.result.explain import RULES, explain
from app.rules.result.fine_print import READ_OUT, fine_print
from app.rules.result.results import results
from app.rules.workout.formats import CountTask, Format, ListTask, MeasureTask, Part, TieStep, WorkItem
from app.rules.workout.joining import JoinRule
from app.rules.workout.presets import PRESETS
from tests.builders.any_format import formats
from tests.builders.cast import Plain, Sheet, a_competition, a_format, a_lift_task, load, take, tallied

SWINGS = a_format(CountTask(movement="swing"))
WORK = ListTask(items=(WorkItem(movement="swing", reps=2),))
LISTED = a_format(WORK, Part(take="time", tasks=("work",)), better="less", unit="s")


def print_of(format: Format) -> str:
    return " ".join(fine_print(format, format.scores[0]))


def changed(format: Format, **fields: Any) -> Format:
    return Format.model_validate({**format.model_dump(), **fields})


def with_task(format: Format, **fields: Any) -> Format:
    return changed(format, tasks={"work": {**format.tasks["work"].model_dump(), **fields}})


@pytest.fixture
def sheet() -> Sheet:
    """A fresh sheet."""
    return Sheet()


BEFORE = [(0, 1000, ""), (250, 1000, "0.25 s"), (None, 700, "0.7 s"), (2000, 0, "2 s")]


@pytest.mark.parametrize(("early", "late", "said"), BEFORE)
def test_before_its_window_a_mark_counts_as_long_as_the_words_say(sheet: Sheet, early: int | None, late: int, said: str) -> None:
    format = changed(SWINGS, early_ms=early, late_ms=late)
    grace = late if early is None else early
    counted = [tallied(format, [sheet.rep(at, 0)]).windows[0].count for at in (-grace - 1, -grace)]
    assert counted == [0, 1]
    nothing = "Marks made before GO, or before their window opens, do not count."
    assert (f"up to {said} before a window opens, or before GO, count" if said else nothing) in print_of(format)


def test_a_new_event_counts_nothing_before_go_and_says_so() -> None:
    for preset in PRESETS.values():
        assert preset.make({}).grace_before_ms == 0
        assert "Marks made before GO" in print_of(preset.make({}))


@pytest.mark.parametrize(("late", "said"), [(0, "at the bell or after it do not count"), (1500, "up to 1.5 s after their bell")])
def test_after_the_bell_a_mark_counts_as_long_as_the_words_say(sheet: Sheet, late: int, said: str) -> None:
    format = changed(SWINGS, late_ms=late)
    assert [tallied(format, [sheet.rep(at, 0)]).windows[0].count for at in (60_000 + late - 1, 60_000 + late)] == [1, 0]
    assert said in print_of(format)


@pytest.mark.parametrize("late", [0, 1000])
def test_a_finish_in_the_grace_is_a_finish_at_the_bell(sheet: Sheet, late: int) -> None:
    format = changed(LISTED, late_ms=late)
    marks = [sheet.rep(1_000, 0), sheet.rep(59_000, 0), sheet.mark("finish", 60_400, 0)]
    assert tallied(format, marks).windows[0].finish_ms == (60_000 if late else 59_000), "without one the last repetition is"
    assert ("is a finish at the bell" in print_of(format)) == bool(late)


def _tablets(*times: tuple[str, int]) -> list[Plain]:
    sheets: dict[str, Sheet] = {}
    return [sheets.setdefault(name, Sheet(device=name)).rep(at, 0) for name, at in times]


@pytest.mark.parametrize(("quiet", "count"), [(500, 6), (2_000, 5), (5_000, 3)])
def test_of_several_tablets_whose_marks_lie_mixed_one_counts_in_the_quiet_that_the_words_say(quiet: int, count: int) -> None:
    """The second within 1 s and 3 s of the first, the third within 4 s; each before the first is done."""
    format = changed(SWINGS, quiet_ms=quiet)
    marks = _tablets(("a", 1_000), ("b", 2_000), ("a", 10_000), ("b", 13_000), ("c", 24_000), ("a", 28_000))
    assert tallied(format, marks).windows[0].count == count
    assert f"only one of two marks no more than {quiet / 1000:g} s apart on different tablets counts" in print_of(format)


@pytest.mark.parametrize(("how", "kept"), [("down", "12"), ("nearest", "13")])
def test_a_number_between_two_steps_is_taken_as_the_words_say(sheet: Sheet, how: str, kept: str) -> None:
    format = with_task(a_format(MeasureTask(movement="swing", unit="m"), unit="m"), rounding=how)
    assert str(tallied(format, [sheet.mark("measure", 1_000, value="12.5")]).windows[0].measure) == kept
    words = {"down": "down to the lower one", "nearest": "to the nearest, halves away from zero"}
    assert f"between two steps of 1 m is taken {words[how]}" in print_of(format)


@pytest.mark.parametrize(("seconds", "said"), [(None, "decided however long after"), (20, "decided up to 20 s after the bell")])
def test_a_lift_that_was_begun_is_decided_as_long_after_the_bell_as_the_words_say(
    sheet: Sheet, seconds: int | None, said: str
) -> None:
    format = with_task(a_format(a_lift_task(), take("best"), unit="kg"), counts_when="begun", decide_seconds=seconds)
    late, over = (sheet.lift(at, "100 kg", True, win=0) for at in (79_999, 80_000))
    assert [bool(tallied(format, [mark]).windows[0].lifts) for mark in (late, over)] == [True, seconds is None]
    assert said in print_of(format)


@pytest.mark.parametrize("down", [True, False])
def test_a_load_below_one_that_was_tried_is_as_the_words_say(sheet: Sheet, down: bool) -> None:
    """Also after a missed one, and one that lies before the last."""
    format = with_task(a_format(a_lift_task(), take("best"), unit="kg"), may_go_down=down)
    marks = [sheet.lift(at, text, False) for at, text in ((1_000, "90 kg"), (2_000, "100 kg"), (3_000, "95 kg"))]
    assert [lift.counts for lift in tallied(format, marks).windows[0].lifts] == [True, True, down]
    assert ("not be lighter than one the lifter has already tried" in print_of(format)) is not down


def _weighed(file: CompetitionFile, *weights: str | None) -> CompetitionFile:
    people = [
        athlete.model_copy(update={"bodyweight": weight and load(weight)})
        for athlete, weight in zip(file.athletes, weights, strict=True)
    ]
    return file.model_copy(update={"athletes": tuple(people)})


def test_in_a_tie_by_bodyweight_who_was_not_weighed_stands_last_as_the_words_say() -> None:
    format = a_format(CountTask(movement="swing"), ties=(TieStep(kind="bodyweight"),))
    marks = [Sheet(f"asg_{lane}").rep(1_000) for lane in (1, 2)]
    file = _weighed(a_competition(format, {"Open": ["Ana", "Bo"]}, marks), None, "140 kg")
    assert [row.entry.name for row in results(file)[0].tables[0].rows] == ["Bo", "Ana"]
    assert "ranks last if a member's bodyweight is not known" in print_of(format)
    assert "bodyweight" not in print_of(SWINGS)


def test_totals_that_were_read_out_count_where_they_are_more_as_the_words_say() -> None:
    lane = [Sheet("asg_1").rep(1_000 * n) for n in (1, 2)]
    lane = [{**mark, "seq": n, "id": f"{n:032x}"} for n, mark in enumerate(lane, start=1)]
    said = [{**mark, "sheet": "asg_1/1/paper", "device": "desk", "id": f"{9 * 16 + n:032x}"} for n, mark in enumerate(lane * 2)]
    said = [{**mark, "seq": n + 1, "at": 1_000 * (n + 1)} for n, mark in enumerate(said)]
    counts = []
    for more in (said, said[:1]):
        file = a_competition(SWINGS, {"Open": ["Ana"]}, [*lane, *more])
        counts.append(counting_tallies(file, file.runs, file.marks)["asg_1"].windows[0].credited)
    assert counts == [4, 2] and READ_OUT in print_of(SWINGS)


def _penalised(*taps: int) -> list[str]:
    sheets = [Sheet(f"asg_{lane}") for lane in (1, 2)]
    marks = [one.rep(1_000 * n) for one, number in zip(sheets, taps, strict=True) for n in range(number)]
    penalty = {"id": "rul_1", "kind": "penalty", "body": {"amount": "5"}, "by": "Sam", "why": "Seen", "assignment": "asg_1"}
    marks += [one.mark("norep", 5_000) for one in sheets]
    file = a_competition(LISTED, {"Open": ["Ana", "Bo"]}, marks, rulings=[penalty])
    return [row.entry.name for row in results(file)[0].tables[0].rows]


def test_a_penalty_on_who_was_capped_parts_only_those_with_as_much_work_left_as_the_words_say() -> None:
    assert _penalised(1, 1) == ["Bo", "Ana"] and _penalised(1, 0) == ["Ana", "Bo"]
    assert "a penalty moves them only among those with as much work left" in print_of(LISTED)
    added = LISTED.scores[0].model_copy(update={"cap_adds": 1})
    assert "a penalty moves them" not in print_of(LISTED.model_copy(update={"scores": (added,)}))


@given(formats())
def test_the_brief_and_every_explanation_say_all_of_it(format: Format) -> None:
    file = a_competition(format, {"Open": ["Ana"]})
    words = told(format)
    for table in results(file)[0].tables:
        expected = fine_print(format, table.rule)
        explained = explain(format, table, table.rows[0], {}, {})
        assert {*expected} <= {*words.runs, *words.scores, *words.fine}
        assert [line.text for step in explained.steps if step.title == RULES for line in step.lines] == list(expected)


def test_what_several_counters_make_of_silences_and_of_what_can_not_be_joined_is_said_where_there_are_several() -> None:
    joined = {"counters": JoinRule(how="mean")}
    assert "A counter who marks nothing while another counts for longer than 5 s" in print_of(changed(SWINGS, **joined))
    assert "while another counts for longer than 2 s" in print_of(changed(SWINGS, quiet_ms=2_000, **joined))
    assert "Only counted repetitions are joined" not in print_of(changed(SWINGS, **joined))
    assert "Only counted repetitions are joined" in print_of(changed(LISTED, **joined))
    assert "A counter" not in print_of(SWINGS) + print_of(LISTED)
