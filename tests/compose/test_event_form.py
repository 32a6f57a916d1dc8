"""The event form: what a format says can be typed, and what is typed becomes a format or a sentence beside its field."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from app.compose.event_edits import edited
from app.compose.event_form import format_form, typed_fields, typed_form
from app.compose.event_lines import Listed, read_list
from app.compose.event_reading import read_event
from app.compose.event_rows import (
    EventForm,
    MovementRow,
    PartRow,
    ScoreRow,
    TaskRow,
    TieRow,
    VariantRow,
    VariantTaskRow,
    WindowRow,
)
from app.hall.forms import BadForm
from app.rehearsal.turns import turn_about
from app.rules.values.units import Load
from app.rules.workout.formats import (
    CountTask,
    Fault,
    Format,
    ListTask,
    MeasureTask,
    Movement,
    Part,
    ScoreRule,
    TieStep,
    Window,
    WorkItem,
)
from app.rules.workout.points import Point
from app.rules.workout.presets import PRESETS
from app.rules.workout.written_work import BadWork
from tests.builders.any_format import formats

PAIR = turn_about()

MIXED = Format(
    members=3,
    unit="kg",
    late_ms=500,
    movements={
        "box": Movement(name="Box step-overs", faults=(Fault(id="knee", name="Knee not straight", say="No rep, knee."),)),
        "row": Movement(name="Row", fastest_ms=300, heaviest=Load("90", "kg")),
    },
    tasks={
        "list": ListTask(
            items=(
                WorkItem(movement="box", reps=10, load=Load("20", "kg"), note="each side", who=(1, 3)),
                WorkItem(movement="row", reps=1, worth=20),
            ),
            rounds=None,
        ),
        "steps": CountTask(movement="box", target=12, grows=2, miss_puts_out=True),
        "far": MeasureTask(movement="row", unit="cal", keep="sum"),
    },
    windows=(
        Window(start=0, seconds=300, task="list", who="any"),
        Window(start=0, seconds=60, task="steps", who=(1, 3), holding=(2,)),
        Window(start=3600, seconds=90, task="far", who="all"),
    ),
    scores=(
        ScoreRule(
            id="work",
            name="Work",
            unit="reps",
            parts=(Part(take="sum", tasks=("list", "steps")), Part(take="best", windows=(2,), weight="1/2", drop=0)),
            ties=(
                TieStep(kind="count_at", at=300),
                TieStep(kind="part", part=1),
                TieStep(kind="time_of_count"),
                TieStep(kind="time_at", point=Point(line=2, round=3)),
            ),
        ),
    ),
)


def problems(form: EventForm) -> dict[str, str]:
    with pytest.raises(BadForm) as refused:
        read_event(form)
    return {problem.field: problem.sentence for problem in refused.value.problems}


@pytest.mark.parametrize("format", [PAIR, turn_about("lb", rest_seconds=0), MIXED], ids=["pair", "pair-lb", "mixed"])
def test_a_format_goes_through_the_form_unchanged(format: Format) -> None:
    fields = typed_fields(format_form("An event", format))
    assert read_event(typed_form(fields), format) == ("An event", format)


@pytest.mark.parametrize("preset", PRESETS)
def test_every_preset_goes_through_the_form_unchanged(preset: str) -> None:
    format = PRESETS[preset].make({})
    assert read_event(typed_form(typed_fields(format_form("An event", format))), format) == ("An event", format)


@settings(max_examples=25)
@given(formats())
def test_every_field_of_every_format_goes_through_the_form_unchanged(format: Format) -> None:
    fields = typed_fields(format_form("An event", format))
    assert read_event(typed_form(fields), format) == ("An event", format)


def test_a_window_follows_the_one_above_unless_it_says_otherwise() -> None:
    form = format_form("Pair", PAIR)
    longer = replace(form, windows=(replace(form.windows[0], seconds="3:30"), *form.windows[1:]))
    assert read_event(longer)[1].windows[1].start == 210


def test_new_movements_and_tasks_get_lasting_keys_from_their_names_wherever_they_are_referred_to() -> None:
    form = EventForm(
        name="Steps",
        movements=(MovementRow(key="new-1", name="Über-Steps").having({"faults": "Too low\nToo low!"}),),
        tasks=(TaskRow(key="new-1", name="All steps", movement="new-1"),),
        windows=(WindowRow(task="new-1"),),
        parts=(PartRow(tasks="new-1"),),
    )
    format = read_event(form)[1]
    assert list(format.movements) == ["uber-steps"] and list(format.tasks) == ["all-steps"]
    assert format.windows[0].task == "all-steps" and format.scores[0].parts[0].tasks == ("all-steps",)
    assert [fault.id for fault in format.movements["uber-steps"].faults] == ["too-low", "too-low-2"]


def test_a_fault_that_keeps_its_name_keeps_its_key() -> None:
    form = format_form("Pair", PAIR)
    turned = "\n".join(reversed(form.movements[0].text("faults").splitlines()))
    changed = replace(form, movements=(form.movements[0].having({"faults": f"{turned}\nBent arms"}), *form.movements[1:]))
    before = {fault.name: fault.id for fault in PAIR.movements["handtap"].faults}
    after = {fault.name: fault.id for fault in read_event(changed, PAIR)[1].movements["handtap"].faults}
    assert after == {**before, "Bent arms": "bent-arms"}


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"name": ""}, "name", "The event's name is missing"),
        ({"members": "thirteen"}, "members", "whole number from 1 to 12"),
        ({"window-0-seconds": "120"}, "window-0-seconds", "minutes:seconds, such as 2:00"),
        ({"window-0-seconds": "0:00"}, "window-0-seconds", "more than 0:00"),
        ({"window-0-who": "7"}, "window-0-who", "no member 7"),
        ({"window-0-task": "gone"}, "window-0-task", "Window 1's work is one of: handtaps, pushups, squat."),
        ({"task-2-lift-bar": ""}, "task-2-lift-bar", "bar is missing"),
        ({"task-2-lift-step": "1,250"}, "task-2-lift-step", "could mean two loads"),
        (
            {"task-2-lift-warn_seconds": "30"},
            "task-2-lift-warn_seconds",
            "Task squat's warning comes before the time of an attempt is over; the time of an attempt is not limited.",
        ),
        (
            {"task-2-lift-attempts": "0"},
            "task-2-lift-attempts",
            "Task squat's number of attempts is a whole number from 1 to 100",
        ),
        ({"task-2-lift-counts_when": ""}, "task-2-lift-counts_when", "When a lift of Task squat counts is not chosen"),
        ({"task-2-lift-step": "0"}, "task-2-lift-step", "step from load to load"),
        ({"task-0-kind": "dance"}, "task-0-kind", "kind is one of"),
        ({"task-0-movement": "gone"}, "task-0-movement", "movement is one of"),
        ({"movement-0-name": " "}, "movement-0-name", "name is missing"),
        ({"movement-0-faults": "Low\nLow"}, "movement-0-faults", "“Low” twice"),
        ({"movement-0-name": "a\u202eb"}, "movement-0-name", "control character"),
        ({"part-0-weight": "two"}, "part-0-weight", "number such as 2, 0.5 or 1/3"),
        ({"part-0-windows": "1"}, "part-0-windows", "either tasks or windows"),
        ({"part-0-windows": "99"}, "part-0-windows", "numbers from 1 to 10"),
        ({"tie-0-kind": "coin toss", "tie-0-score": "score"}, "tie-0-kind", "tie-break 1 is one of"),
        ({"tie-0-kind": "count_at", "tie-0-score": "score"}, "tie-0-at", "minutes:seconds"),
        ({"tie-0-kind": "part", "tie-0-part": "4", "tie-0-score": "score"}, "tie-0-part", "from 1 to 3"),
        ({"tie-0-kind": "time_at", "tie-0-point": "the middle", "tie-0-score": "score"}, "tie-0-point", "the end of round 2"),
        ({"late_ms": "1,5 s"}, "late_ms", "in seconds, from 0 to 10"),
        ({"movement-0-fastest_ms": "0.0005"}, "movement-0-fastest_ms", "in seconds"),
        ({"variant-0-id": "new-1", "variant-0-name": " ", "variant-0-ranked": "with"}, "variant-0-name", "name is missing"),
        ({"score-0-unit": "stone"}, "score-0-unit", "the unit is one of"),
    ],
)
def test_a_problem_names_its_field_and_what_is_allowed(change: dict[str, str], field: str, says: str) -> None:
    found = problems(typed_form({**typed_fields(format_form("Pair", PAIR)), **change}))
    assert says in found[field]


def test_what_the_rule_book_refuses_is_told_in_its_words() -> None:
    found = problems(typed_form({**typed_fields(format_form("Pair", PAIR)), "part-0-take": "time"}))
    assert found[""] == "Score takes a finish time; only a work list has one."


def a_list(items: str, rounds: str = "1") -> EventForm:
    form = format_form("Mixed", MIXED)
    return replace(form, tasks=(form.tasks[0].having({"list-items": items, "list-rounds": rounds}), *form.tasks[1:]))


def test_a_work_list_reads_as_people_say_it_and_brings_the_movements_it_names() -> None:
    form = replace(a_list("3 rounds:\n400 m run\n21 swings 24 kg\n10 Chalk rubs\n10 box step overs @ 20 kg"), unit="kg")
    format = read_event(form)[1]
    work = format.tasks["list"]
    assert isinstance(work, ListTask) and work.rounds == 3
    names = [item.called(format.movements) for item in work.items]
    assert names == ["run", "swings", "Chalk rubs", "box step overs"]
    assert [(item.reps, item.note, item.load) for item in work.items] == [
        (1, "400 m", None),
        (21, None, Load("24", "kg")),
        (10, None, None),
        (10, None, Load("20", "kg")),
    ]
    assert format.movements[work.items[1].movement].standards and not format.movements[work.items[2].movement].standards


@pytest.mark.parametrize(
    ("items", "says"),
    [
        ("", "The work is empty."),
        ("21-15-9:", "no work under it"),
        ("D: 10 Row", "names a member who is not there"),
        ("10 Row @ 9 kg @ 8 kg", "two loads"),
    ],
)
def test_a_work_list_that_can_not_be_read_is_told_at_its_field(items: str, says: str) -> None:
    said = problems(a_list(items))["task-0-list-items"]
    assert said.startswith("Task list: ") and says in said


def test_names_with_signs_of_the_list_are_quoted() -> None:
    names = {"hang": Movement(name='Clean (hang) = 2; "fast" @ speed'), "box": Movement(name="Box")}
    items = (WorkItem(movement="hang", reps=3, worth=2, note="each"), WorkItem(movement="box", reps=4, who="any"))
    windows, score = (
        (Window(start=0, seconds=60, task="work"),),
        ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("work",)),)),
    )
    format = Format(movements=names, tasks={"work": ListTask(items=items)}, windows=windows, scores=(score,))
    form = format_form("Odd", format)
    assert form.tasks[0].text("list-items").splitlines() == ['3 "Clean (hang) = 2; ""fast"" @ speed" = 2 (each)', "any: 4 Box"]
    assert read_event(form, format)[1] == format


def test_an_event_without_windows_is_refused() -> None:
    form = replace(format_form("Pair", PAIR), windows=())
    with pytest.raises(BadForm, match="The event has no window"):
        read_event(form)


def test_rows_are_added_copied_moved_and_removed() -> None:
    form = format_form("Pair", PAIR)
    assert len(edited(form, "add-window").windows) == len(form.windows) + 1
    assert edited(form, "copy-window-0").windows[1] == form.windows[0]
    assert edited(form, "down-task-0").tasks[:2] == (form.tasks[1], form.tasks[0])
    assert edited(form, "up-task-0") == form
    assert edited(form, "remove-part-2").parts == form.parts[:2]
    assert edited(edited(form, "add-task"), "add-task").tasks[-2:] == (
        TaskRow(key="new-1", movement="handtap"),
        TaskRow(key="new-2", movement="handtap"),
    )
    assert edited(form, "add-score").scores[-1] == ScoreRow(id="score-1", name="Score 2")
    for nonsense in ("remove-window-99", "drop-window-1", "add-database", ""):
        assert edited(form, nonsense) == form


def test_what_refers_to_a_row_follows_it() -> None:
    form = replace(
        format_form("Mixed", MIXED),
        parts=(PartRow(score="work", windows="1, 3"), PartRow(score="work", tasks="list"), PartRow(score="work", tasks="far")),
        ties=(TieRow(score="work", kind="part", part="3"),),
        variants=(VariantRow(id="scaled", name="Scaled"),),
        vtasks=(VariantTaskRow(key="far", name="far", kind="measure", movement="row", variant="scaled"),),
    )
    assert edited(form, "add-window-0").parts[0].windows == "1, 4"
    assert edited(form, "up-window-2").parts[0].windows == "1, 2"
    assert edited(form, "remove-window-0").parts[0].windows == "2"
    assert edited(form, "remove-part-0").ties[0].part == "2"
    assert edited(form, "copy-part-0").ties[0].part == "4"
    assert edited(form, "up-part-2").ties[0].part == "2"
    timed = replace(form, ties=(TieRow(score="work", kind="time_at", point="rep 5, window 2"),))
    assert edited(timed, "up-window-1").ties[0].point == "repetition 5, window 1"
    assert edited(timed, "remove-window-0").ties[0].point == "repetition 5, window 1"
    assert edited(timed, "remove-window-1").ties[0].point == ""
    without = edited(form, "remove-task-2")
    assert without.windows[2].task == "" and without.parts[2].tasks == "" and without.vtasks == ()
    assert edited(form, "remove-score-0").parts == () and edited(form, "remove-variant-0").vtasks == ()


def test_rows_that_belong_to_another_are_added_to_it_and_moved_within_it() -> None:
    form = replace(format_form("Pair", PAIR), variants=(VariantRow(id="scaled", name="Scaled"),))
    assert edited(form, "add-tie-0").ties == (TieRow(score="score"),)
    assert edited(form, "add-tie-7") == form
    changed = edited(form, "add-vtask-0", {"pick-vtask-0": "squat"})
    assert [(row.key, row.variant, row.text("lift-bar")) for row in changed.vtasks] == [("squat", "scaled", "20 kg")]
    assert edited(changed, "add-vtask-0", {"pick-vtask-0": "squat"}) == changed
    own = edited(form, "add-vmovement-0", {"pick-vmovement-0": "library pull_up"})
    assert own.vmovements[0].name == "Pull-ups" and own.vmovements[0].variant == "scaled"
    two = replace(
        form, scores=(*form.scores, ScoreRow(id="b")), parts=(PartRow(), PartRow(score="b"), PartRow().having({"take": "best"}))
    )
    assert [part.text("take") for part in edited(two, "up-part-2").parts] == ["best", "sum", "sum"]


def test_a_movement_is_picked_from_the_library_with_its_standards() -> None:
    form = format_form("Pair", PAIR)
    added = edited(form, "add-movement", {"pick-movement": "burpee"}).movements[-1]
    assert added.name == "Burpees" and added.text("standards") and "|" in added.text("faults")
    assert edited(form, "add-movement", {"pick-movement": "own"}).movements[-1] == MovementRow(key="new-1")


def test_two_movements_of_one_name_are_refused_for_a_list_could_not_tell_them_apart() -> None:
    form = format_form("Pair", PAIR)
    twice = replace(form.movements[0], key="other", name=form.movements[0].name)
    found = problems(replace(form, movements=(*form.movements, twice)))
    assert "two movements called Handstand shoulder taps" in found["movement-3-name"]


def test_a_list_in_a_window_reads_as_a_whole_workout_does() -> None:
    listed = Listed({}, 1, "kg")
    read = read_list("5 RFT: 400m run, 15 thrusters 43kg", listed)
    assert read.rounds == 5 and [(item.reps, item.note) for item in read.items] == [(1, "400 m"), (15, None)]
    with pytest.raises(BadWork, match="one number too many"):
        read_list("AMRAP 12: 10 burpees", listed)
