"""Reads the movements and tasks of the event form."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, cast

from pydantic import ValidationError

from app.actions.event_form import EventForm, MovementRow, TaskRow
from app.actions.event_words import COUNTS, KEEPS, KINDS, MEASURES
from app.actions.forms import Reading, problems_of, slug
from app.rules.formats import CountTask, Fault, Format, LiftTask, ListTask, MeasureTask, Movement, Task, WorkItem
from app.rules.units import LoadUnit, shown

ITEM = re.compile(
    r"(?P<reps>\d{1,6})\s+(?P<name>[^=@;]+?)\s*(?:=\s*(?P<worth>\d{1,6})\s*)?"
    r"(?:@\s*(?P<load>[^;]+?)\s*)?(?:;\s*(?P<note>.+))?"
)


@dataclass(slots=True)
class Context:
    """What the rows refer to while a form is read."""

    read: Reading
    form: EventForm
    unit: LoadUnit
    members: int
    known: Format | None


def built(context: Context, field: str, build: Callable[[], Any]) -> Any:
    """What `build` makes, or None with its problems noted at `field`."""
    try:
        return build()
    except ValidationError as error:
        for problem in problems_of(error):
            context.read.wrong(field, problem.sentence)
        return None


def read_movement(context: Context, n: int, row: MovementRow) -> Movement | None:
    read, at, what = context.read, f"movement-{n}-", f"Movement {n + 1}"
    name = read.name(f"{at}name", f"{what}'s name")
    faults = _faults(context, n, row)
    standards = tuple(read.lines(f"{at}standards", f"{what}'s standards"))
    cautions = tuple(read.lines(f"{at}cautions", f"{what}'s cautions"))
    fastest = read.whole(f"{at}fastest", f"{what}'s least time between repetitions, in milliseconds,", 1, 600_000)
    heaviest = read.load(f"{at}heaviest", f"{what}'s heaviest load", context.unit)
    if not name:
        return None
    return cast(
        Movement | None,
        built(
            context,
            f"{at}name",
            lambda: Movement(
                name=name, standards=standards, faults=faults, cautions=cautions, fastest_ms=fastest, heaviest=heaviest
            ),
        ),
    )


def _faults(context: Context, n: int, row: MovementRow) -> tuple[Fault, ...]:
    """The faults of a movement; one that keeps its name keeps its key, so that marks made before still name it."""
    known = context.known.movements.get(row.key) if context.known else None
    keys = {fault.name: fault.id for fault in known.faults} if known else {}
    faults: list[Fault] = []
    for line in context.read.lines(f"movement-{n}-faults", f"Movement {n + 1}'s faults", 120):
        name, _, say = (part.strip() for part in line.partition("|"))
        if any(fault.name == name for fault in faults):
            context.read.wrong(f"movement-{n}-faults", f"Movement {n + 1} has the fault “{shown(name)}” twice.")
        elif not name:
            context.read.wrong(f"movement-{n}-faults", f"Movement {n + 1} has a fault without a name before the bar “|”.")
        else:
            taken = [fault.id for fault in faults] + [key for other, key in keys.items() if other != name]
            faults.append(Fault(id=keys.get(name) or slug(name, taken), name=name, say=say or None))
    return tuple(faults)


def read_task(context: Context, n: int, row: TaskRow) -> Task | None:
    read, at = context.read, f"task-{n}-"
    what = f"Task {row.name}" if row.name else f"Task {n + 1}"
    read.name(f"{at}name", f"{what}'s name", 40)
    makers = {"count": _count_task, "list": _list_task, "lift": _lift_task, "measure": _measure_task}
    before = len(read.problems)
    kind = read.choice(f"{at}kind", f"{what}'s kind", KINDS)
    if kind != "list":
        read.choice(f"{at}movement", f"{what}'s movement", {m.key: m.name or "the new movement" for m in context.form.movements})
    values = makers[kind](context, at, what, row) if kind in makers else {}
    if len(read.problems) > before or not values:
        return None
    classes: dict[str, type[CountTask | ListTask | LiftTask | MeasureTask]] = {
        "count": CountTask,
        "list": ListTask,
        "lift": LiftTask,
        "measure": MeasureTask,
    }
    return cast(Task | None, built(context, f"{at}kind", lambda: classes[kind].model_validate(values)))


def _count_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    read = context.read
    return {
        "movement": row.movement,
        "target": read.whole(f"{at}target", f"{what}'s target", 1, 100_000),
        "grows": read.whole(f"{at}grows", f"What {what}'s target grows by", 0, 10_000, 0),
        "miss_puts_out": read.ticked(f"{at}out"),
    }


def _list_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    lines = context.read.lines(f"{at}items", f"{what}'s list")
    if not lines:
        context.read.wrong(f"{at}items", f"{what}'s list is empty. Type a line for each item, such as “10 Step-overs @ 20 kg”.")
    items = [item for number, line in enumerate(lines, 1) if (item := _item(context, at, f"{what}, line {number}", line))]
    return {"items": tuple(items), "rounds": context.read.whole(f"{at}rounds", f"{what}'s number of rounds", 1, 1000)}


def _item(context: Context, at: str, what: str, line: str) -> WorkItem | None:
    found = ITEM.fullmatch(line)
    if found is None:
        example = "10 Box step-overs @ 20 kg ; each side"
        context.read.wrong(f"{at}items", f"{what}, is a number and a movement such as “{example}”; not “{shown(line)}”.")
        return None
    keys = {row.name.casefold(): row.key for row in context.form.movements if row.name}
    key = keys.get(found["name"].casefold())
    if key is None:
        names = ", ".join(row.name for row in context.form.movements if row.name) or "none yet"
        context.read.wrong(f"{at}items", f"{what}: there is no movement “{shown(found['name'])}”. The movements are: {names}.")
        return None
    load = Reading({f"{at}items": found["load"] or ""})
    weight = load.load(f"{at}items", what, context.unit)
    context.read.problems += load.problems
    made = {"movement": key, "reps": int(found["reps"]), "worth": int(found["worth"] or 1), "load": weight, "note": found["note"]}
    return cast(WorkItem | None, built(context, f"{at}items", lambda: WorkItem.model_validate(made)))


def _lift_task(context: Context, at: str, what: str, row: TaskRow) -> dict[str, Any]:
    read, unit = context.read, context.unit
    return {
        "kind": "lift",
        "movement": row.movement,
        "bar": read.needed_load(f"{at}bar", f"{what}'s bar", unit),
        "collars": read.load(f"{at}collars", f"{what}'s collars (both together)", unit),
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
    return {
        "kind": "measure",
        "movement": row.movement,
        "unit": read.choice(f"{at}unit", f"{what}'s unit", MEASURES),
        "step": read.number(f"{at}least", f"{what}'s least step", Fraction(1)),
        "low": read.number(f"{at}low", f"{what}'s lowest value", Fraction(0)),
        "high": read.number(f"{at}high", f"{what}'s highest value", Fraction(100_000)),
        "keep": read.choice(f"{at}keep", f"What counts of several values of {what}", KEEPS),
    }
