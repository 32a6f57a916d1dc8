"""Lines of work as the reader reads them back: `400 m run`, `15 thrusters @ 43 kg`, a note in quotes."""

import re
from collections.abc import Iterator

from app.rules.workout.formats import Format
from app.rules.workout.tasks import CountTask, LiftTask, ListTask, MeasureTask, WorkItem
from app.rules.workout.words import member_letter
from app.rules.workout.written_line import worth_of

AMOUNT = re.compile(r"(\d+(?:\.\d+)? (?:m|km|mi|yd|ft|cal|kJ)|\d+:\d\d)(?:, (.+))?")
SIZE = re.compile(r"(\d+(?:\.\d+)? (?:in|cm|ft))(?:, (.+))?")
WITH = re.compile(r"(.+?), (\d+(?:\.\d+)? (?:kg|lb))")
# Whose the first and the second number are, by the name of the other version.
WHOSE = {"Women": "men/women", "Men": "women/men", "Scaled": "rx/scaled"}
MEASURES = {"cal": "max cal", "m": "max m", "s": "max"}


def list_lines(format: Format, task: ListTask) -> Iterator[str]:
    """A list, one line for each thing; what another version has otherwise is a second number."""
    other = _other(format, task)
    for place, item in enumerate(task.items):
        name = item.called(format.movements)
        second = _as_if_alike(item, other.items[place]) if other else item
        yield _item(item, second, name, format.variants[0].name if other else "")


def _as_if_alike(item: WorkItem, other: WorkItem) -> WorkItem:
    """What another version does, where it is another movement as if it were this one: which it is is told apart."""
    return other.model_copy(update={"movement": item.movement, "words": item.words})


def only_other_movements(format: Format) -> bool:
    """Whether a version has other movements in its lists with all numbers alike, and none that is loaded."""
    changed = [(task, _other(format, task)) for task in format.tasks.values() if isinstance(task, ListTask)]
    items = [pair for task, other in changed if other for pair in zip(task.items, other.items, strict=True)]
    moved = [(one, two) for one, two in items if one.movement != two.movement]
    return bool(moved) and all(_as_if_alike(one, two) == one and one.load is None for one, two in moved)


def instead_lines(format: Format) -> Iterator[str]:
    """`Scaled: Ring rows instead of Pull-ups`, once for each."""
    for variant in format.variants:
        every = format.varied(variant.id).movements
        told = [(task, _other(format, task)) for task in format.tasks.values() if isinstance(task, ListTask)]
        items = [pair for task, other in told if other for pair in zip(task.items, other.items, strict=True)]
        moved = dict.fromkeys((one.movement, two.movement) for one, two in items if one.movement != two.movement)
        yield from (f"{variant.name}: {every[new].name} instead of {every[old].name}" for old, new in moved)


def _other(format: Format, task: ListTask) -> ListTask | None:
    """The same list in the other version, where it has as many lines."""
    for variant in format.variants[:1]:
        for key, changed in variant.tasks.items():
            if format.tasks[key] == task and isinstance(changed, ListTask) and len(changed.items) == len(task.items):
                return changed
    return None


def _item(item: WorkItem, other: WorkItem, name: str, version: str) -> str:
    name = f"synchro {name}" if item.who == "all" else name
    who = "+".join(member_letter(member) for member in item.who) + ": " if isinstance(item.who, tuple) else ""
    (amount, size, note), (second, second_size, _) = _told(item), _told(other)
    told = f"{_pair(amount, second)} {name}{f' {_pair(size, second_size)}' if size else ''}{f' “{note}”' if note else ''}"
    worth = f" = {item.worth}" if item.worth != worth_of(amount) else ""
    load = f" @ {_pair(item.load.text(), other.load.text() if other.load else '')}" if item.load else ""
    return f"{who}{told}{worth}{load}{f' ({WHOSE[version]})' if item != other else ''}"


def _told(item: WorkItem) -> tuple[str, str, str]:
    """How much, how high, and what else is noted."""
    amount, size, note = str(item.reps), "", item.note or ""
    if item.reps == 1 and (found := AMOUNT.fullmatch(note)):
        amount, note = found[1], found[2] or ""
    if found := SIZE.fullmatch(note):
        size, note = found[1], found[2] or ""
    return amount, size, note


def _pair(first: str, second: str) -> str:
    """`43/30 kg` of `43 kg` and `30 kg`; one of them where they are the same."""
    (number, _, unit), (other, _, same) = first.partition(" "), second.partition(" ")
    return first if first == second or unit != same else f"{number}/{other} {unit}".strip()


def thing_line(format: Format, task: CountTask | MeasureTask | LiftTask) -> str:
    """One thing that is counted, measured or lifted."""
    name = format.movements[task.movement].name
    if isinstance(task, LiftTask):
        return name
    if isinstance(task, MeasureTask):
        return f"{MEASURES.get(task.unit, 'max')} {name}"
    found = WITH.fullmatch(name)
    told = f"{found[1]} @ {found[2]}" if found else name
    return f"max {told}" if task.target is None else f"{task.target} {told}"
