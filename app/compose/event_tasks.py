"""Reads the tasks of the event form, those of the event and those that a variant changes."""

from collections.abc import Callable, Mapping
from typing import Any, cast

from app.compose.event_context import Context, built
from app.compose.event_fields import note_odd, read_fields
from app.compose.event_lines import Listed, read_list
from app.compose.event_rows import MovementRow, TaskRow, VariantMovementRow
from app.rules.workout.fields import Field
from app.rules.workout.formats import Task, WorkItem
from app.rules.workout.misload import NAMED, MisloadRule
from app.rules.workout.task_fields import KINDS, LIFT, TASKS
from app.rules.workout.written_work import BadWork


def read_task(context: Context, kind_of_row: str, n: int, row: TaskRow) -> Task | None:
    """The task of row `n` of a kind of row (`task`, or `vtask` for a variant's), or None with its problems noted."""
    read, at = context.read, f"{kind_of_row}-{n}-"
    what = f"Task {row.name}" if row.name else f"Task {n + 1}"
    before = len(read.problems)
    if kind_of_row == "task":
        read.name(f"{at}name", f"{what}'s name", 40)
    kind = read.choice(f"{at}kind", f"{what}'s kind", KINDS)
    rows = movements_for(context, row)
    if kind != "list":
        read.choice(f"{at}movement", f"{what}'s movement", {one.key: one.name or "the new movement" for one in rows})
    values = _values(context, at, what, row) if kind in TASKS else {}
    if len(read.problems) > before or not values:
        return None
    return cast(Task | None, built(context, f"{at}kind", lambda: TASKS[kind].model.model_validate(values)))


def movements_for(context: Context, row: TaskRow | VariantMovementRow) -> list[MovementRow]:
    """The movements that a row may name: its variant's own ones come before the event's."""
    variant = getattr(row, "variant", None)
    own = [one for one in context.form.vmovements if one.variant == variant]
    return [*own, *(one for one in context.form.movements if one.key not in {other.key for other in own})]


def _values(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    """What was typed of a task, by the names of its model."""
    fields, read = TASKS[row.kind].fields, context.read
    values = {} if row.kind == "list" else {"movement": row.movement}
    values |= read_fields(read, fields, at, what, context.unit)
    values |= {field.name: OWN[field.text](context, field, at, what, row) for field in fields if field.kind == "own"}
    note_odd(read, fields, at, what, values)
    return values


def _items(context: Context, field: Field, at: str, what: str, row: TaskRow) -> tuple[WorkItem, ...]:
    """The lines of a work list."""
    names = {one.key: one.name for one in movements_for(context, row) if one.name}
    try:
        return read_list(row.text(field.text), Listed(names, context.members, context.unit)).items
    except BadWork as bad:
        context.read.wrong(f"{at}{field.text}", f"{what}: {bad}")
        return ()


def _misload(context: Context, field: Field, at: str, what: str, row: TaskRow) -> MisloadRule:
    """The rule for a bar that was loaded wrong: one of the named ones, or case by case."""
    name = context.read.choice(f"{at}{field.text}", field.called.format(what), dict(field.options))
    if name != "own":
        return NAMED.get(name, MisloadRule())
    cases = [case for case in LIFT.shown if case.model is MisloadRule]
    return MisloadRule.model_validate(read_fields(context.read, cases, at, what))


OWN: Mapping[str, Callable[[Context, Field, str, str, TaskRow], Any]] = {"list-items": _items, "lift-misload": _misload}
