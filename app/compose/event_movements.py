"""Reads the movements of the event form, and finds those that a work list names before they have a row."""

from dataclasses import replace
from functools import partial
from typing import TypeVar, cast

from app.compose.event_context import Context, built
from app.compose.event_fields import read_fields
from app.compose.event_form import movement_row
from app.compose.event_lines import Listed, read_fault, read_list, strict_text
from app.compose.event_rows import EventForm, MovementRow, TaskRow
from app.hall.forms import slug
from app.rules.values.units import LoadUnit, shown
from app.rules.workout.format_fields import MOVEMENT
from app.rules.workout.formats import MOST_MEMBERS, MOST_MOVEMENTS, Fault, Movement
from app.rules.workout.movements import library
from app.rules.workout.written_work import BadWork

Row = TypeVar("Row", bound=TaskRow)

MEMBERS = {str(number) for number in range(1, MOST_MEMBERS + 1)}
MOST_FAULT_LINE = 500


def read_movement(context: Context, what: str, n: int, row: MovementRow) -> Movement | None:
    """The movement of row `n` of the kind `what`, or None with its problems noted."""
    read, at, called = context.read, f"{what}-{n}-", f"Movement {row.name or n + 1}"
    name = read.name(f"{at}name", f"Movement {n + 1}'s name")
    values = {
        "name": name,
        "library": row.library or None,
        **read_fields(read, MOVEMENT.fields, at, called, context.unit),
        "faults": _faults(context, f"{at}faults", called, row),
    }
    if not name:
        return None
    return cast(Movement | None, built(context, f"{at}name", lambda: Movement.model_validate(values)))


def _faults(context: Context, field: str, called: str, row: MovementRow) -> tuple[Fault, ...]:
    """The faults of a movement; one that keeps its name keeps its key, so that marks made before still name it."""
    keys = _fault_keys(context, row)
    faults: list[Fault] = []
    for line in context.read.lines(field, MOVEMENT.field("faults").called.format(called), MOST_FAULT_LINE):
        name, say = read_fault(line)
        taken = [fault.id for fault in faults] + [key for other, key in keys.items() if other != name]
        values = {"id": keys.get(name) or slug(name, taken), "name": name, "say": say or None}
        if any(fault.name == name for fault in faults):
            context.read.wrong(field, f"{called} has the fault “{shown(name)}” twice.")
        elif not name:
            context.read.wrong(field, f"{called} has a fault without a name before the bar “|”.")
        elif fault := built(context, field, partial(Fault.model_validate, values)):
            faults.append(fault)
    return tuple(faults)


def _fault_keys(context: Context, row: MovementRow) -> dict[str, str]:
    """The keys of faults by name: the format's before, else the library's."""
    known = context.known
    variant = known.variant(getattr(row, "variant", "")) if known else None
    before = (variant.movements if variant else {}).get(row.key) or (known.movements.get(row.key) if known else None)
    movement = before or library().movements.get(row.library or row.key)
    return {fault.name: fault.id for fault in movement.faults} if movement else {}


def with_written_work(form: EventForm) -> EventForm:
    """The form with its work lists written strictly, and with a row for each movement that they name and that has none yet."""
    unit: LoadUnit = "lb" if form.unit == "lb" else "kg"
    members = int(form.members) if form.members in MEMBERS else MOST_MEMBERS
    movements = list(form.movements)

    def written(row: Row) -> Row:
        own = [one for one in form.vmovements if one.variant == getattr(row, "variant", None)]
        names = {one.key: one.name for one in (*own, *movements) if one.name}
        names |= {one.key: one.name for one in own if one.name}
        try:
            work = read_list(row.text("list-items"), Listed(names, members, unit))
        except BadWork:
            return row
        if len(movements) + len(work.movements) > MOST_MOVEMENTS:
            return row
        taken = {one.key for one in (*movements, *form.vmovements)}
        keys = {key: slug(one.name, taken) if key in taken else key for key, one in work.movements.items()}
        movements.extend(movement_row(keys[key], one) for key, one in work.movements.items())
        names |= {keys[key]: one.name for key, one in work.movements.items()}
        items = tuple(one.model_copy(update={"movement": keys.get(one.movement, one.movement)}) for one in work.items)
        rounds = {"list-rounds": str(work.rounds)} if work.rounds > 1 else {}
        return row.having({"list-items": strict_text(items, names), **rounds})

    tasks = tuple(written(row) if row.kind == "list" else row for row in form.tasks)
    vtasks = tuple(written(row) if row.kind == "list" else row for row in form.vtasks)
    return replace(form, tasks=tasks, vtasks=vtasks, movements=tuple(movements))
