"""Why a number is what it is: everything that went into it is told, and what is told adds up to it."""

import json
import re
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rehearsal.turns import turn_about
from app.rules.count.sheet_clock import SheetClocks
from app.rules.count.sheets import counting_tallies, formats_by_assignment, ruled_sheets
from app.rules.count.tally import fold
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import parse_mark, sheet_key
from app.rules.records.rulings import Ruling
from app.rules.result.explain import RULES, Explanation, explain, explanation_plain
from app.rules.result.explain_windows import Line, Step, window_steps
from app.rules.result.results import Row, Table, results
from app.rules.result.ruling_words import Saying, clock_lines, ruling_lines, ruling_text
from app.rules.values.units import Rounding
from app.rules.workout.formats import CountTask, Format, JoinRule, ListTask, MeasureTask, TieStep, Variant, Window
from tests.builders.cast import FORMATS, WORK, Plain, Sheet, a_competition, a_format, a_lift_task, parsed, reps, take
from tests.builders.chance import sheets
from tests.vectors.fault_scenes import several

SWINGS = a_format(CountTask(movement="swing"))


def explained(file: CompetitionFile, place: int = 0, table: int = 0) -> tuple[Table, Row, Explanation]:
    """A row of the file's first event, explained from the file alone."""
    found = results(file)[0].tables[table]
    row = found.rows[place]
    assert row.assignment is not None
    keys = ruled_sheets(file, file.runs, file.rulings)[row.assignment]
    marks: dict[Any, Any] = {}
    for mark in file.marks:
        if mark.sheet in keys.values():
            marks.setdefault(sheet_key(mark.sheet).kind, []).append(mark)
    format = formats_by_assignment(file)[row.assignment]
    clocks = SheetClocks(file, file.runs, file.rulings)
    tallies = {kind: fold(format, made, clocks.of(keys[kind])) for kind, made in marks.items()}
    said = ruling_lines(row, "evt", file.rulings, Saying(format, {}, {}))
    clock = clock_lines(clocks.of(keys["lane"]), marks.get("lane", ()))
    counted = counting_tallies(file, file.runs, file.marks, file.rulings).get(row.assignment)
    return found, row, explain(format, found, row, tallies, marks, clock, said, counted)


def told(format: Format, marks: list[Plain], **more: Any) -> Explanation:
    """The explanation of one entry that stands alone."""
    return explained(a_competition(format, {"Open": ["Ana"]}, marks, **more))[2]


def texts(step: Step) -> list[str]:
    return [line.text for line in step.lines]


def step(explanation: Explanation, title: str) -> Step:
    return next(one for one in explanation.steps if one.title.startswith(title))


def left_out(explanation: Explanation) -> list[str]:
    return [line.text for one in explanation.steps for line in one.lines if not line.counts]


def test_a_count_is_told_from_its_marks_to_its_place() -> None:
    found = told(SWINGS, reps(3))
    assert [one.title for one in found.steps] == ["Window 1: Swings, 0:00 to 1:00", "Score", "Place", RULES]
    assert texts(found.steps[0]) == ["3 repetitions marked"]
    assert texts(found.steps[1]) == ["Swings: all added up", "Window 1, 3 reps", "Swings: 3"]
    assert texts(found.steps[2]) == ["Ranked in Open among 1: more is better", "Place 1"]
    assert (found.entry, found.division, found.score, found.place) == ("Ana", "Open", "3 reps", "place 1")


def test_what_does_not_count_is_told_with_its_reason_and_its_marks() -> None:
    sheet = Sheet("asg_1")
    good, slip, no = sheet.rep(1_000), sheet.rep(2_000), sheet.mark("norep", 3_000, 0, fault="height")
    marks = [good, slip, no, sheet.strike(2_500, slip), sheet.rep(60_500, 0), sheet.rep(75_000, 0)]
    found = told(SWINGS, marks)
    assert left_out(found) == [
        "1 no-rep: height",
        "Taken back: rep at 0:02.0",
        "At 1:15.0: Marked outside every window that fits it. It does not count.",
    ]
    taken_back = next(line for line in found.steps[0].lines if line.text.startswith("Taken back"))
    assert taken_back.marks == (slip["id"],)
    assert "At 1:00.5: Marked just after the bell. It counts." in texts(found.steps[0])


def test_a_mark_in_no_window_of_work_is_told_at_the_end() -> None:
    format = SWINGS.model_copy(update={"windows": (*SWINGS.windows, Window(start=60, seconds=60))})
    stray = Sheet("asg_1").rep(90_000)
    found = told(format, [*reps(2), {**stray, "seq": 90, "id": f"{90:032x}"}])
    assert texts(step(found, "In no window of work"))[0].startswith("At 1:30.0: Marked outside every window")


def test_lifts_are_told_in_both_units_and_only_the_best_good_one_counts() -> None:
    sheet = Sheet("asg_1")
    marks = [sheet.declare(500, "100 kg"), sheet.lift(1_000, "100 kg", True), sheet.declare(1_500, "105 kg")]
    marks.append(sheet.lift(2_000, "105 kg", False, fault="depth"))
    found = told(a_format(a_lift_task(), take("best"), unit="kg"), marks)
    assert texts(found.steps[0])[:3] == [
        "100 kg (220.5 lb) at 0:01.0: good lift",
        "105 kg (231.5 lb) at 0:02.0: no lift, depth",
        "Best good lift: 100 kg (220.5 lb)",
    ]
    assert "105 kg (231.5 lb) at 0:02.0: no lift, depth" in left_out(found)
    assert found.score == "100 kg"


def test_a_conversion_and_a_rounding_are_told() -> None:
    sheet = Sheet("asg_1")
    marks = [sheet.declare(500, "225 lb"), sheet.lift(1_000, "225 lb", True)]
    format = a_format(a_lift_task(), take("best"), unit="kg", rounding=Rounding.DOWN, rounding_step=Fraction(1, 2))
    lines = texts(step(told(format, marks), "Score"))
    assert "Window 1, A: 225 lb = 102.0583 kg (1 lb = 0.45359237 kg)".replace("A: ", "") in lines
    assert lines[-1] == "Rounded down in steps of 0.5: 102 kg"


def test_parts_with_weights_and_what_is_dropped() -> None:
    format = a_format(CountTask(movement="swing"), take("sum", drop=1, weight=Fraction(1, 2)), windows=3)
    sheet = Sheet("asg_1")
    marks = [sheet.rep(60_000 * win + 400 * i, win) for win, count in enumerate((4, 2, 5)) for i in range(count)]
    found = step(told(format, marks), "Score")
    assert texts(found) == [
        "Swings: all added up, the lowest 1 dropped, times 0.5",
        "Window 1, 4 reps",
        "Window 2, 2 reps",
        "Window 3, 5 reps",
        "Swings: 4 + 5 = 9 reps, times 0.5 = 4.5 reps",
    ]
    assert [line.text for line in found.lines if not line.counts] == ["Window 2, 2 reps"]


def test_a_finished_list_a_capped_one_and_what_the_cap_adds() -> None:
    list_task = ListTask(items=WORK)
    for_time = a_format(list_task, take("time"), unit="s", better="less")
    sheet = Sheet("asg_1")
    done = [sheet.rep(1_000 * i) for i in range(1, 14)] + [sheet.mark("finish", 40_500)]
    assert "Finished in 0:40.5" in texts(told(for_time, done).steps[0])
    capped = told(for_time, done[:5])
    assert "Not finished: 8 repetitions left" in texts(capped.steps[0])
    assert texts(step(capped, "Score"))[-1] == "Capped with 8 repetitions left: ranks behind all who finished"
    assert capped.score == "capped, 8 left"
    adding = a_format(list_task, take("time"), unit="s", better="less", cap_adds=Fraction(1))
    assert "Work left at the cap adds 0:08" in texts(step(told(adding, done[:5]), "Score"))


def test_a_penalty_is_told_with_what_it_leaves() -> None:
    ruling = {
        "id": "rul",
        "kind": "penalty",
        "entry": "ent_1",
        "event": "evt",
        "body": {"amount": "2"},
        "by": "Sam",
        "why": "Late",
    }
    lines = texts(step(told(SWINGS, reps(5), rulings=[ruling]), "Score"))
    assert lines[-1] == "Penalty taken off by ruling: 2 reps, which leaves 3 reps"


def test_several_counters_are_told_and_one_alone_is_not() -> None:
    format = SWINGS.model_copy(update={"counters": JoinRule(how="closest_two", recount_beyond=2)})
    second = Sheet("asg_1", device="tab-b")
    second.sheet = "asg_1/1/second"
    near, far = [second.rep(400 * i) for i in range(6)], [second.rep(400 * i) for i in range(9)]
    assert not any("Counters" in text for text in texts(told(format, reps(5)).steps[0]))
    assert "Counters 5, 6: the mean of the two closest counts is 5.5" in texts(told(format, reps(5) + near).steps[0])
    apart = told(format, reps(5) + far)
    assert "More than 2 apart: to be counted again" in texts(apart.steps[0])
    assert "The counts of window 1 are too far apart: to be counted again" in texts(step(apart, "Place"))
    video = Sheet("asg_1", device="tab-c")
    video.sheet = "asg_1/1/video"
    filmed = reps(5) + far + [video.rep(400 * i) for i in range(8)]
    assert "More than 2 apart: to be counted again" in texts(told(format, filmed).steps[0])
    film = [
        {"id": "rul_1", "kind": "stand", "assignment": "asg_1", "body": {"sheet": "asg_1/1/video"}, "by": "Io", "why": "Film"}
    ]
    ruled = told(format, filmed, rulings=film)
    assert texts(ruled.steps[1])[:2] == ["By ruling, the sheet judged from video counts here", "8 repetitions marked"]


def test_a_tie_names_the_step_that_broke_it_or_says_that_none_did() -> None:
    format = a_format(CountTask(movement="swing"), ties=(TieStep(kind="time_of_count"),))
    broken = a_competition(format, {"Open": ["Ana", "Bo"]}, reps(4, lane=1, from_ms=10) + reps(4, lane=2))
    assert [texts(step(explained(broken, n)[2], "Place"))[1] for n in (0, 1)] == [
        "The same score as Ana; before it by tie-break 1: reached the same count sooner",
        "The same score as Bo; behind it by tie-break 1: reached the same count sooner",
    ]
    shared = a_competition(format, {"Open": ["Ana", "Bo"]}, reps(4, lane=1) + reps(4, lane=2))
    lines = texts(step(explained(shared)[2], "Place"))
    assert lines[1] == "The same score as Bo and no tie-break separates them (reached the same count sooner): the place is shared"
    assert lines[2] == "Place 1, shared"
    plain = a_competition(SWINGS, {"Open": ["Ana", "Bo"]}, reps(4, lane=1) + reps(4, lane=2))
    assert texts(step(explained(plain)[2], "Place"))[1] == "The same score as Bo: the place is shared"


def test_a_variant_a_status_and_nothing_yet() -> None:
    variant = Variant(id="light", name="Light", ranked="after")
    plain = a_competition(SWINGS.model_copy(update={"variants": (variant,)}), {"Open": ["Ana"]}, reps(1)).model_dump(mode="json")
    plain["heats"][0]["lanes"][0]["variant"] = "light"
    found = explained(CompetitionFile.model_validate(plain))[2]
    assert "Light, ranked behind everybody who did it as written" in texts(step(found, "Place"))
    out = {"id": "rul", "kind": "status", "entry": "ent_1", "body": {"status": "withdrawn"}, "by": "Sam", "why": "Hurt"}
    withdrawn = told(SWINGS, reps(1), rulings=[out])
    assert (withdrawn.place, withdrawn.score) == ("withdrawn", "1 rep")
    nothing = told(SWINGS, [])
    assert [one.title for one in nothing.steps] == ["Place", RULES] and nothing.place == "not judged yet"


def test_an_explanation_is_data_too() -> None:
    found = told(SWINGS, reps(2))
    assert json.loads(json.dumps(explanation_plain(found)))["steps"][1]["lines"][1] == {
        "text": "Window 1, 2 reps",
        "marks": [],
        "counts": True,
    }
    assert (found.entry, found.division, found.score, found.place) == ("Ana", "Open", "2 reps", "place 1")


def test_a_measure_is_told_with_its_unit() -> None:
    format = a_format(MeasureTask(movement="swing", unit="m"), unit="m")
    assert texts(told(format, [Sheet("asg_1").mark("measure", 1_000, 0, value="12")]).steps[0]) == ["Measured: 12 m"]
    assert texts(told(format, [Sheet("asg_1").mark("norep", 1_000, 0)]).steps[0])[0] == "nothing measured"


# --- Laws -----------------------------------------------------------------------------------------------------------------

TERM = re.compile(r"Window \d+, (?:[A-L]: )?(?P<raw>\S+)(?: \w+)?(?: = (?P<value>\S+) \w+.*)?")


def _number(text: str) -> Fraction:
    """`12.5`, or `1:02.5` as seconds."""
    minutes, colon, rest = text.partition(":")
    return Fraction(minutes) * 60 + Fraction(rest) if colon else Fraction(text)


def _told_total(format: Format, table: Table, lines: list[Line]) -> Fraction:
    """The score added up by hand from the lines that say they count, part by part."""
    total, part = Fraction(0), -1
    for line in lines:
        found = TERM.fullmatch(line.text)
        if found is None:
            part += any(line.text.startswith(f"{name}: ") and "=" not in line.text for name in _part_names(format, table))
        elif line.counts:
            total += (
                _number(found["value"] or found["raw"]) * table.rule.parts[max(0, min(part, len(table.rule.parts) - 1))].weight
            )
    return total


def _part_names(format: Format, table: Table) -> set[str]:
    return {movement.name for movement in format.movements.values()} | {"Work list"}


@st.composite
def _judged(draw: st.DrawFn) -> tuple[Format, CompetitionFile]:
    format = FORMATS[draw(st.sampled_from(sorted(FORMATS)))]
    marks = draw(sheets(format, "asg_1"))
    return format, a_competition(format, {"Open": ["Ana"]}, marks)


@given(_judged())
def test_what_is_told_adds_up_to_the_score(judged: tuple[Format, CompetitionFile]) -> None:
    format, file = judged
    table, row, found = explained(file)
    if row.score is None:
        assert found.score == "not judged yet"
        return
    assert all(part.weight == 1 for part in table.rule.parts), "the cast's formats weigh all parts alike"
    told_total = _told_total(format, table, list(step(found, "Score").lines))
    shown_to = Fraction(1, 1000) * sum(len(part.terms) for part in row.score.parts)  # each term is shown to four decimals
    assert abs(told_total - row.score.exact) <= shown_to


@given(_judged())
def test_every_mark_that_is_odd_or_struck_is_told(judged: tuple[Format, CompetitionFile]) -> None:
    format, file = judged
    named = {mark for one in explained(file)[2].steps for line in one.lines for mark in line.marks}
    on_sheet = [mark for mark in file.marks if mark.sheet == "asg_1/1/lane"]
    tally = fold(format, on_sheet)
    flagged = {flag.mark for flag in tally.flags if flag.mark not in tally.struck}
    assert flagged | set(tally.struck) <= named


@pytest.mark.parametrize("name", sorted(FORMATS))
def test_every_format_of_the_cast_can_be_explained_with_nothing_on_its_sheet(name: str) -> None:
    assert told(FORMATS[name], []).place == "not judged yet"


def test_a_fault_is_told_in_the_words_of_its_own_movement() -> None:
    """Both movements have a fault `touch`, in other words."""
    plain = turn_about().model_dump(mode="json")
    for key, name in (("handtap", "Wall not touched"), ("squat", "Spotter touched the bar")):
        plain["movements"][key]["faults"] = [{"id": "touch", "name": name}]
    format = Format.model_validate(plain)
    sheet = Sheet()
    marks = [parse_mark(sheet.mark("norep", at, win, fault="touch")) for at, win in ((1_000, 0), (490_000, 4))]
    steps = list(window_steps(format, {"lane": fold(format, marks)}, {"lane": marks}))
    told = {step.title.split(":")[0]: [line.text for line in step.lines if "no-rep" in line.text] for step in steps}
    assert told["Window 1, A"] == ["1 no-rep: wall not touched"] and told["Window 5, A"] == ["1 no-rep: spotter touched the bar"]


def test_a_fault_in_a_work_list_is_told_with_the_movement_that_was_judged() -> None:
    """Where an older mark names none, every fault that it could have been is said."""
    format, sheet = several(), Sheet()
    plain = [
        sheet.mark("norep", 125_000, 2, fault="lockout", movement="back_squat"),
        sheet.mark("norep", 126_000, 2, fault="lockout"),
    ]
    marks = parsed(plain)
    steps = list(window_steps(format, {"lane": fold(format, marks)}, {"lane": marks}))
    told = [line.text for line in steps[2].lines if "no-rep" in line.text]
    assert told == ["1 no-rep: arms not locked or not stood up", "1 no-rep: not stood up (Back squat)"]


def a_ruling(number: int, kind: str, body: Plain, **about: Any) -> Plain:
    about = about or {"assignment": "asg_1"}
    return {"id": f"rul_{number}", "kind": kind, "body": body, "by": "Sam", "why": "Seen", "made_wall_ms": number, **about}


def test_a_ruling_is_told_with_who_made_it_and_why_and_what_was_taken_back_is_left_out() -> None:
    first = a_ruling(1, "reps", {"add": 2, "window": 0, "run": 1})
    second = a_ruling(2, "reps", {"add": -1, "window": 0, "run": 1})
    back = a_ruling(3, "undo", {"ruling": "rul_2"}, entry="ent_1")
    found = told(SWINGS, reps(3), rulings=[first, second, back])
    assert texts(step(found, "Rulings")) == [
        "2 repetitions added to window 1: Swings, 0:00 to 1:00. Ruled by Sam: Seen",
        "1 repetition taken from window 1: Swings, 0:00 to 1:00. Ruled by Sam: Seen. Taken back by Sam: Seen",
    ]
    assert [line.counts for line in step(found, "Rulings").lines] == [True, False]
    assert found.score == "5 reps"


def test_holds_and_a_shifted_start_by_hand_are_told() -> None:
    marks = [{**mark, "body": {"hand": True, "held": 4_000}} for mark in reps(3, from_ms=20_000)]
    run = {"heat": "heat", "number": 1, "holds": [{"at_ms": 10_000, "for_ms": 4_000}]}
    shift = a_ruling(1, "shift", {"ms": 1_400, "run": 1})
    found = told(SWINGS, marks, rulings=[shift], runs=[run])
    assert texts(step(found, "Clock")) == [
        "The heat was held at 0:10.0 for 0:04.0; no time ran on any lane",
        "The judge started this lane's clock by hand, moved 1.4 s later by ruling",
    ]
    assert texts(step(found, "Rulings")) == ["The lane's clock moved 1.4 s later. Ruled by Sam: Seen"]
    assert told(SWINGS, reps(3)).steps[0].title.startswith("Window 1"), "nothing to tell, no step"


SAYINGS = [
    ("lift", {"mark": "0" * 32, "good": True, "at": 59_000}, "Good lift: the lift judged again, counted at 0:59.0"),
    ("lift", {"mark": "0" * 32, "good": False}, "No lift: the lift judged again"),
    ("penalty", {"amount": "5"}, "Penalty of 5 given"),
    ("penalty", {"amount": "-5"}, "Penalty of 5 taken back"),
    ("shift", {"ms": 0, "run": 1}, "The lane's clock put back where the judge had it"),
    ("status", {"status": "did_not_start"}, "Did not start"),
    ("status", {"status": ""}, "Takes part again"),
    ("move", {"sheet": "asg_2/1/lane"}, "Marks made on lane 2 were this entry's work"),
    ("stand", {"sheet": "asg_1/1/video"}, "The sheet judged from video of run 1 stands"),
    ("run", {"run": 1}, "Run 1 of the heat counts"),
    ("rerun", {"again": "asg_2", "counts": "again"}, "Rerun on lane 2: that run counts"),
    ("medical", {"state": "stopped"}, "Stopped for a medical reason"),
    ("medical", {"state": "cleared", "medic": "Dr Bo"}, "Cleared by the medic, Dr Bo"),
    ("call", {"call": "late"}, "Came late to the lane"),
    ("flag", {"flag": "x", "marks": [], "done": "aside"}, "Flag set aside"),
    ("protest", {"protest": "p", "decision": "upheld"}, "Protest upheld"),
    ("undo", {"ruling": "r"}, "An earlier ruling taken back"),
]


@pytest.mark.parametrize(("kind", "body", "text"), SAYINGS)
def test_every_kind_of_ruling_is_said_in_words(kind: str, body: Plain, text: str) -> None:
    ruling = Ruling.model_validate(a_ruling(1, kind, body, assignment="asg_1", entry="ent_1"))
    assert ruling_text(ruling, Saying(SWINGS, {}, {"asg_2": "lane 2"})) == text
