"""Reads the tasks of the event form, those of the event and those that a variant changes."""

from typing import Any, cast

from app.actions.event_context import Context, built
from app.actions.event_lines import Listed, read_list
from app.actions.event_rows import MovementRow, TaskRow, VariantMovementRow
from app.actions.event_words import COUNTS, KEEPS, KINDS, MEASURES
from app.rules.formats import CountTask, LiftTask, ListTask, MeasureTask, Task
from app.rules.written_work import BadWork

CLASSES: dict[str, type[CountTask | ListTask | LiftTask | MeasureTask]] = {
    "count": CountTask,
    "list": ListTask,
    "lift": LiftTask,
    "measure": MeasureTask,
}


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
    makers = {"count": _count_task, "list": _list_task, "lift": _lift_task, "measure": _measure_task}
    values = makers[kind](context, at, what, row) if kind in makers else {}
    if len(read.problems) > before or not values:
        return None
    return cast(Task | None, built(context, f"{at}kind", lambda: CLASSES[kind].model_validate(values)))


def movements_for(context: Context, row: TaskRow | VariantMovementRow) -> list[MovementRow]:
    """The movements that a row may name: its variant's own ones come before the event's."""
    variant = getattr(row, "variant", None)
    own = [one for one in context.form.vmovements if one.variant == variant]
    return [*own, *(one for one in context.form.movements if one.key not in {other.key for other in own})]


def _count_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    read = context.read
    return {
        "movement": row.movement,
        "target": read.whole(f"{at}target", f"{what}'s target", 1, 100_000),
        "grows": read.whole(f"{at}grows", f"What {what}'s target grows by", 0, 10_000, 0),
        "miss_puts_out": read.ticked(f"{at}out"),
    }


def _list_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    names = {one.key: one.name for one in movements_for(context, row) if one.name}
    rounds = context.read.whole(f"{at}rounds", f"{what}'s number of rounds", 1, 1000)
    try:
        items = read_list(row.items, Listed(names, context.members, context.unit)).items
    except BadWork as bad:
        context.read.wrong(f"{at}items", f"{what}: {bad}")
        return {}
    return {"items": items, "rounds": rounds}


def _lift_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    read, unit = context.read, context.unit
    return {
        "movement": row.movement,
        "bar": read.needed_load(f"{at}bar", f"{what}'s bar", unit, zero=True),
        "collars": read.load(f"{at}collars", f"{what}'s collars (both together)", unit, zero=True),
        "step": read.needed_load(f"{at}step", f"{what}'s step from load to load", unit),
        "least_plate": read.needed_load(f"{at}plate", f"{what}'s least plate", unit),
        "attempts": read.whole(f"{at}attempts", f"{what}'s number of attempts", 1, 100),
        "tries_until_racked": read.ticked(f"{at}retry"),
        "counts_when": read.choice(f"{at}counts", f"When a lift of {what} counts", COUNTS),
        "may_go_down": read.ticked(f"{at}down"),
        "times_reps": read.ticked(f"{at}times_reps"),
    }


def _measure_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    read = context.read
    default = MeasureTask.model_fields
    return {
        "movement": row.movement,
        "unit": read.choice(f"{at}unit", f"{what}'s unit", MEASURES),
        "step": read.number(f"{at}least", f"{what}'s least step", default["step"].default),
        "low": read.number(f"{at}low", f"{what}'s lowest value", default["low"].default),
        "high": read.number(f"{at}high", f"{what}'s highest value", default["high"].default),
        "keep": read.choice(f"{at}keep", f"What counts of several values of {what}", KEEPS),
    }
