"""Reads the movements of the event form, and finds those that a work list names before they have a row."""

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import cast

from app.actions.event_context import Context, built
from app.actions.event_form import movement_row
from app.actions.event_lines import load_at_end, read_fault, read_item
from app.actions.event_rows import EventForm, MovementRow, TaskRow
from app.actions.forms import slug
from app.rules.formats import MOST_MOVEMENTS, Fault, Movement
from app.rules.movements import LIBRARY, named_movement, same_name
from app.rules.units import LoadUnit, shown

MOST_FAULT_LINE = 500


def read_movement(context: Context, what: str, n: int, row: MovementRow) -> Movement | None:
    """The movement of row `n` of the kind `what`, or None with its problems noted."""
    read, at, called = context.read, f"{what}-{n}-", f"Movement {row.name or n + 1}"
    name = read.name(f"{at}name", f"Movement {n + 1}'s name")
    values = {
        "name": name,
        "standards": tuple(read.lines(f"{at}standards", f"{called}'s standards")),
        "faults": _faults(context, f"{at}faults", called, row),
        "cautions": tuple(read.lines(f"{at}cautions", f"{called}'s cautions")),
        "fastest_ms": read.millis(f"{at}fastest", f"{called}'s least time between repetitions", 1, 600_000),
        "heaviest": read.load(f"{at}heaviest", f"{called}'s heaviest load", context.unit, zero=True),
    }
    if not name:
        return None
    return cast(Movement | None, built(context, f"{at}name", lambda: Movement.model_validate(values)))


def _faults(context: Context, field: str, called: str, row: MovementRow) -> tuple[Fault, ...]:
    """The faults of a movement; one that keeps its name keeps its key, so that marks made before still name it."""
    keys = _fault_keys(context, row)
    faults: list[Fault] = []
    for line in context.read.lines(field, f"{called}'s faults", MOST_FAULT_LINE):
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
    movement = before or LIBRARY.get(row.key)
    return {fault.name: fault.id for fault in movement.faults} if movement else {}


def with_named_movements(form: EventForm) -> EventForm:
    """The form with a movement for each name in a work list that has none yet: from the library, or a new one to describe."""
    added: list[MovementRow] = []
    unit: LoadUnit = "lb" if form.unit == "lb" else "kg"
    for row in (row for row in (*form.tasks, *form.vtasks) if row.kind == "list"):
        own = [one for one in form.vmovements if one.variant == getattr(row, "variant", None)]
        for name in _unknown_names(row, (*own, *form.movements, *added)):
            known = (*form.movements, *form.vmovements, *added)
            if len(known) < MOST_MOVEMENTS and (made := _named(name, unit, known)):
                added.append(made)
    return replace(form, movements=(*form.movements, *added))


def _unknown_names(row: TaskRow, known: Sequence[MovementRow]) -> list[str]:
    names: list[str] = []
    for line in re.split(r"[\r\n]+", row.items):
        item = read_item(line.strip())
        if item is None or row_called(known, item.name):
            continue
        name, _ = (not item.load and load_at_end(item.name)) or (item.name, "")
        if not row_called(known, name) and same_name(name) not in {same_name(one) for one in names}:
            names.append(name)
    return names


def row_called(rows: Sequence[MovementRow], name: str) -> MovementRow | None:
    """The movement row of a name: exactly so if there is one, else without regard to plurals and hyphens."""
    exact = next((row for row in rows if row.name.casefold() == name.casefold()), None)
    return exact or next((row for row in rows if row.name and same_name(row.name) == same_name(name)), None)


def _named(name: str, unit: LoadUnit, known: Sequence[MovementRow]) -> MovementRow | None:
    try:
        key, movement = named_movement(name, unit)
    except ValueError:
        return None
    taken = {row.key for row in known}
    return movement_row(key if key not in taken else slug(movement.name, taken), movement)
