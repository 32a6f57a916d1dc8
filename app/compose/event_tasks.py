"""Reads the tasks of the event form, those of the event and those that a variant changes."""

from typing import Any, cast

from app.compose.event_context import Context, built
from app.compose.event_lines import Listed, read_list
from app.compose.event_rows import MovementRow, TaskRow, VariantMovementRow
from app.compose.event_words import BARS, COUNTS, JUDGES, KEEPS, KINDS, MEASURES, MISLOADS, ORDERS, OUTCOMES
from app.rules.workout.formats import CountTask, LiftTask, ListTask, MeasureTask, Task
from app.rules.workout.misload import NAMED, MisloadRule
from app.rules.workout.written_work import BadWork

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
        "collars_counted": read.ticked(f"{at}collars_in"),
        "rack": read.ticked(f"{at}rack"),
        "bars": read.choice(f"{at}bars", f"The bars of {what}", BARS),
        "order": read.choice(f"{at}order", f"Who lifts first in {what}", ORDERS),
        "step_after_good": read.load(f"{at}after_good", f"{what}'s least increase after a good lift", unit),
        "record_step": read.load(f"{at}record", f"{what}'s step of a record attempt", unit),
        "judges": int(read.choice(f"{at}judges", f"Who decides a lift of {what}", JUDGES) or 1),
        "misload": _misload(context, at, what),
        **_attempt_time(context, at, what),
    }


def _attempt_time(context: Context, at: str, what: str) -> dict[str, Any]:
    """The seconds of an attempt and of its warning, which comes before they are over."""
    read = context.read
    seconds = read.whole(f"{at}attempt_time", f"{what}'s seconds for an attempt", 5, 3600)
    warning = read.whole(f"{at}warning", f"{what}'s warning, in seconds before the time is over,", 1, 3600)
    if warning is not None and (seconds is None or warning >= seconds):
        told = "the time of an attempt is not limited" if seconds is None else f"an attempt has {seconds} s"
        read.wrong(f"{at}warning", f"{what}'s warning comes before the time of an attempt is over; {told}.")
    return {"attempt_seconds": seconds, "warn_seconds": warning}


def _misload(context: Context, at: str, what: str) -> MisloadRule:
    """The rule for a bar that was loaded wrong: one of the named ones, or case by case."""
    read = context.read
    name = read.choice(f"{at}wrong", f"{what}'s rule for a bar that was loaded wrong", MISLOADS)
    if name != "own":
        return NAMED.get(name, MisloadRule())
    cases = [case for case in MisloadRule.model_fields if case != "round_down"]
    chosen = {case: read.choice(f"{at}{case}", f"{what}, {case.replace('_', ' and ')}", OUTCOMES) for case in cases}
    values = {case: outcome if outcome in OUTCOMES else "keep" for case, outcome in chosen.items()}
    return MisloadRule.model_validate({**values, "round_down": read.ticked(f"{at}round_down")})


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
