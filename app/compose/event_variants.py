"""Reads the variants of the event form: the movements and tasks that they change."""

from typing import Any, cast

from app.compose.event_context import Context, built
from app.compose.event_fields import read_fields
from app.compose.event_movements import read_movement
from app.compose.event_rows import VariantMovementRow, VariantRow
from app.compose.event_tasks import movements_for, read_task
from app.rules.values.units import shown
from app.rules.workout.format_fields import VARIANT
from app.rules.workout.formats import Variant


def read_variant(context: Context, n: int, row: VariantRow) -> Variant | None:
    """The variant of row `n` with the movements and tasks that belong to it, or None with the problems noted."""
    read, form, at = context.read, context.form, f"variant-{n}-"
    before = len(read.problems)
    name = read.name(f"{at}name", f"Variant {n + 1}'s name")
    if name and any(name.casefold() == other.name.casefold() for other in form.variants[:n]):
        read.wrong(f"{at}name", f"There are two variants called {shown(name)}. Give one another name.")
    movements: dict[str, Any] = {}
    for i, movement_row in enumerate(form.vmovements):
        if movement_row.variant == row.id:
            movements[movement_row.key] = read_movement(context, "vmovement", i, movement_row)
            _one_of_its_name(context, i, movement_row)
    tasks: dict[str, Any] = {}
    for i, task_row in enumerate(form.vtasks):
        if task_row.variant == row.id:
            tasks[task_row.key] = read_task(context, "vtask", i, task_row)
    own = read_fields(read, VARIANT.fields, at, shown(name))
    if len(read.problems) > before:
        return None
    values = {"id": row.id, "name": name, **own, "movements": movements, "tasks": tasks}
    return cast(Variant | None, built(context, f"{at}name", lambda: Variant.model_validate(values)))


def _one_of_its_name(context: Context, n: int, row: VariantMovementRow) -> None:
    """A work list names movements, so within a variant no two may share a name."""
    others = [one for one in movements_for(context, row) if one.key != row.key]
    if row.name and any(row.name == other.name for other in others):
        sentence = f"This variant has two movements called {shown(row.name)}. Give one another name."
        context.read.wrong(f"vmovement-{n}-name", sentence)
