"""The event form: what a format says can be typed, and what is typed becomes a format or a sentence beside its field."""

from dataclasses import replace

import pytest

from app.actions.event_form import (
    EventForm,
    MovementRow,
    PartRow,
    ScoreRow,
    TaskRow,
    WindowRow,
    edited,
    format_form,
    typed_fields,
    typed_form,
)
from app.actions.event_reading import read_event, tie_step
from app.actions.forms import BadForm
from app.rules.formats import (
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
from app.rules.presets import mirrored_pair
from app.rules.units import Load

PAIR = mirrored_pair()

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
                WorkItem(movement="box", reps=10, load=Load("20", "kg"), note="each side"),
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
            ties=(TieStep(kind="count_at", at=300), TieStep(kind="part", part=1), TieStep(kind="time_of_count")),
        ),
    ),
)


def problems(form: EventForm) -> dict[str, str]:
    with pytest.raises(BadForm) as refused:
        read_event(form)
    return {problem.field: problem.sentence for problem in refused.value.problems}


@pytest.mark.parametrize("format", [PAIR, mirrored_pair("kg", change_seconds=60), MIXED], ids=["pair", "pair-kg", "mixed"])
def test_a_format_goes_through_the_form_unchanged(format: Format) -> None:
    fields = typed_fields(format_form("An event", format))
    assert read_event(typed_form(fields), format) == ("An event", format)


def test_a_window_follows_the_one_above_unless_it_says_otherwise() -> None:
    form = format_form("Pair", PAIR)
    longer = replace(form, windows=(replace(form.windows[0], length="3:30"), *form.windows[1:]))
    assert read_event(longer)[1].windows[1].start == 210


def test_new_movements_and_tasks_get_lasting_keys_from_their_names_wherever_they_are_referred_to() -> None:
    form = EventForm(
        name="Steps",
        movements=(MovementRow(key="new-1", name="Über-Steps", faults="Too low\nToo low!"),),
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
    turned = "\n".join(reversed(form.movements[0].faults.splitlines()))
    changed = replace(form, movements=(replace(form.movements[0], faults=f"{turned}\nBent arms"), *form.movements[1:]))
    before = {fault.name: fault.id for fault in PAIR.movements["press"].faults}
    after = {fault.name: fault.id for fault in read_event(changed, PAIR)[1].movements["press"].faults}
    assert after == {**before, "Bent arms": "bent-arms"}


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"name": ""}, "name", "The event's name is missing"),
        ({"members": "thirteen"}, "members", "whole number from 1 to 12"),
        ({"window-0-length": "120"}, "window-0-length", "minutes:seconds, such as 2:00"),
        ({"window-0-length": "0:00"}, "window-0-length", "more than 0:00"),
        ({"window-0-who": "7"}, "window-0-who", "no member 7"),
        ({"window-0-task": "gone"}, "window-0-task", "Window 1's work is one of: presses, skips, squat."),
        ({"task-2-bar": ""}, "task-2-bar", "bar is missing"),
        ({"task-2-step": "1,250"}, "task-2-step", "could mean two loads"),
        ({"task-0-kind": "dance"}, "task-0-kind", "kind is one of"),
        ({"task-0-movement": "gone"}, "task-0-movement", "movement is one of"),
        ({"movement-0-name": " "}, "movement-0-name", "name is missing"),
        ({"movement-0-faults": "Low\nLow"}, "movement-0-faults", "“Low” twice"),
        ({"movement-0-name": "a\u202eb"}, "movement-0-name", "control character"),
        ({"part-0-weight": "two"}, "part-0-weight", "number such as 2, 0.5 or 1/3"),
        ({"part-0-windows": "1"}, "part-0-windows", "either from tasks or from windows"),
        ({"part-0-windows": "99"}, "part-0-windows", "numbers from 1 to 10"),
        ({"score-0-ties": "coin toss"}, "score-0-ties", "“coin toss”"),
        ({"score-0-unit": "stone"}, "score-0-unit", "the unit is one of"),
    ],
)
def test_a_problem_names_its_field_and_what_is_allowed(change: dict[str, str], field: str, says: str) -> None:
    found = problems(typed_form({**typed_fields(format_form("Pair", PAIR)), **change}))
    assert says in found[field]


def test_what_the_rule_book_refuses_is_told_in_its_words() -> None:
    found = problems(typed_form({**typed_fields(format_form("Pair", PAIR)), "part-0-take": "time"}))
    assert found[""] == "Score takes a finish time; only a work list has one."


def test_a_work_list_names_its_line_and_the_movements_there_are() -> None:
    form = format_form("Mixed", MIXED)
    bad = replace(form, tasks=(replace(form.tasks[0], items="10 Rope climbs\nten Row\n"), *form.tasks[1:]))
    with pytest.raises(BadForm) as refused:
        read_event(bad)
    assert [problem.sentence for problem in refused.value.problems if problem.field == "task-0-items"] == [
        "Task list, line 1: there is no movement “Rope climbs”. The movements are: Box step-overs, Row.",
        "Task list, line 2, is a number and a movement such as “10 Box step-overs @ 20 kg ; each side”; not “ten Row”.",
    ]


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
    assert edited(edited(form, "add-task"), "add-task").tasks[-2:] == (TaskRow(key="new-1"), TaskRow(key="new-2"))
    assert edited(form, "add-score").scores[-1] == ScoreRow(id="score-1", name="Score 2")
    for nonsense in ("remove-window-99", "drop-window-1", "add-database", ""):
        assert edited(form, nonsense) == form


@pytest.mark.parametrize(
    ("line", "step"),
    [
        ("best lift", TieStep(kind="best_lift")),
        ("Best lift  sooner", TieStep(kind="earlier_best")),
        ("count at 5:00", TieStep(kind="count_at", at=300)),
        ("part 2", TieStep(kind="part", part=1)),
        ("count at 5", None),
        ("part 0", None),
        ("best lift 3", None),
        ("", None),
    ],
)
def test_tie_steps_are_read_in_words(line: str, step: TieStep | None) -> None:
    assert tie_step(line) == step
