"""The event form: made from a format or from a posted form, and back into the fields that a browser posts.

Nothing here judges what was typed; app.compose.event_reading turns a form into a format or says why it can't.
"""

from dataclasses import asdict
from typing import Any

from app.compose.event_fields import texts_of_model
from app.compose.event_lines import Listed, fault_line, list_text
from app.compose.event_rows import (
    EVENT_FIELDS,
    HEAD,
    ROWS,
    TASK_FIELDS,
    EventForm,
    MovementRow,
    PartRow,
    ScoreRow,
    TaskRow,
    TieRow,
    VariantMovementRow,
    VariantRow,
    VariantTaskRow,
    WindowRow,
    fresh,
    row_of,
    texts_in,
    texts_of,
)
from app.hall.forms import Typed, row_numbers
from app.rules.values.clock_times import hours_text
from app.rules.workout.format_fields import MOVEMENT, PART, SCORE, TIE, VARIANT
from app.rules.workout.formats import (
    Format,
    LiftTask,
    ListTask,
    Movement,
    Part,
    Task,
    TieStep,
    Variant,
    Who,
    Window,
)
from app.rules.workout.misload import misload_name
from app.rules.workout.task_fields import LIFT, TASKS


def typed_form(typed: Typed) -> EventForm:
    """The form as it was posted."""
    values: dict[str, Any] = {name: typed.get(name, "").strip() for name in HEAD}
    values["more"] = {field.text: typed.get(field.text, "").strip() for field in EVENT_FIELDS}
    values |= {f"{what}s": tuple(_typed_row(typed, what, n) for n in row_numbers(typed, what)) for what in ROWS}
    return EventForm(**values)


def _typed_row(typed: Typed, what: str, number: int) -> Any:
    values = {name: typed.get(f"{what}-{number}-{name}", "").strip() for name in texts_of(what)}
    if what == "part":
        start = f"part-{number}-task-"
        values["tasks"] = " ".join(name.removeprefix(start) for name in typed if name.startswith(start))
    return row_of(what, values)


def typed_fields(form: EventForm) -> dict[str, str]:
    """The form as the fields that a browser would post: the inverse of typed_form."""
    posted = {name: getattr(form, name) for name in HEAD} | dict(form.more)
    for what in ROWS:
        for number, row in enumerate(getattr(form, f"{what}s")):
            for name, value in texts_in(row).items():
                if what == "part" and name == "tasks":
                    posted |= {f"part-{number}-task-{key}": "on" for key in value.split()}
                else:
                    posted[f"{what}-{number}-{name}"] = value
    return posted


def format_form(name: str, format: Format) -> EventForm:
    """The form that says what a format says."""
    return EventForm(
        name=name,
        members=str(format.members),
        unit=format.unit,
        more=texts_of_model(EVENT_FIELDS, format),
        movements=tuple(movement_row(key, movement) for key, movement in format.movements.items()),
        tasks=tuple(task_row(key, task, listed_of(format)) for key, task in format.tasks.items()),
        windows=_window_rows(format.windows),
        scores=tuple(ScoreRow(id=score.id, name=score.name, more=texts_of_model(SCORE.fields, score)) for score in format.scores),
        parts=tuple(_part_row(score.id, part) for score in format.scores for part in score.parts),
        ties=tuple(_tie_row(score.id, step) for score in format.scores for step in score.ties),
        variants=tuple(
            VariantRow(id=variant.id, name=variant.name, more=texts_of_model(VARIANT.fields, variant))
            for variant in format.variants
        ),
        vmovements=tuple(row for variant in format.variants for row in _variant_movements(variant)),
        vtasks=tuple(row for variant in format.variants for row in _variant_tasks(variant, format)),
    )


def movement_row(key: str, movement: Movement) -> MovementRow:
    """A movement as texts."""
    faults = "\n".join(fault_line(fault) for fault in movement.faults)
    texts = {**texts_of_model(MOVEMENT.fields, movement), "faults": faults}
    return MovementRow(key=key, name=movement.name, library=movement.library or "", more=texts)


def listed_of(format: Format) -> Listed:
    """What a work list of a format may name."""
    names = {key: movement.name for key, movement in format.movements.items()}
    return Listed(names, format.members, format.unit)


def task_row(key: str, task: Task, listed: Listed) -> TaskRow:
    """A task as texts."""
    movement = "" if isinstance(task, ListTask) else task.movement
    texts = {**fresh(TASK_FIELDS), **texts_of_model(TASKS[task.kind].fields, task), **_own_texts(task, listed)}
    return TaskRow(key=key, name=key_words(key), kind=task.kind, movement=movement, more=texts)


def _own_texts(task: Task, listed: Listed) -> dict[str, str]:
    """The texts of what is not written as the model holds it: the lines of a work list, a rule by its name and case by case."""
    match task:
        case ListTask():
            return {"list-items": list_text(task.items, listed)}
        case LiftTask(misload=rule):
            cases = [field for field in LIFT.shown if field.model is type(rule)]
            return {"lift-misload": misload_name(rule), **texts_of_model(cases, rule)}
        case _:
            return {}


def key_words(key: str) -> str:
    """A key as words: `max-lift` is `max lift`."""
    return " ".join(key.replace("-", " ").replace("_", " ").split())


def _window_rows(windows: tuple[Window, ...]) -> tuple[WindowRow, ...]:
    rows, after = [], 0
    for window in windows:
        start = "" if window.start == after else hours_text(window.start)
        rows.append(
            WindowRow(start, hours_text(window.seconds), who_text(window.who), window.task or "", who_text(window.holding))
        )
        after = window.start + window.seconds
    return tuple(rows)


def _part_row(score: str, part: Part) -> PartRow:
    windows = ", ".join(str(index + 1) for index in part.windows)
    return PartRow(score=score, tasks=" ".join(part.tasks), windows=windows, more=texts_of_model(PART.fields, part))


def _tie_row(score: str, step: TieStep) -> TieRow:
    part = "" if step.part is None else str(step.part + 1)
    point = step.point.words() if step.point else ""
    return TieRow(score=score, part=part, point=point, **texts_of_model(TIE.fields, step))


def _variant_movements(variant: Variant) -> list[VariantMovementRow]:
    rows = [movement_row(key, movement) for key, movement in variant.movements.items()]
    return [VariantMovementRow(**asdict(row), variant=variant.id) for row in rows]


def _variant_tasks(variant: Variant, format: Format) -> list[VariantTaskRow]:
    listed = listed_of(format.varied(variant.id))
    rows = [task_row(key, task, listed) for key, task in variant.tasks.items()]
    return [VariantTaskRow(**asdict(row), variant=variant.id) for row in rows]


def who_text(who: Who) -> str:
    """Who works, as the value of a choice: `all`, `any`, `1`, `1+2`."""
    return who if isinstance(who, str) else "+".join(str(member) for member in who)
