"""The event form as it stands on the screen: rows of texts, exactly as typed, made from a format or from a posted form.

Nothing here judges what was typed; app.actions.event_reading turns a form into a format or says why it can't.
"""

import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from app.actions.forms import Typed, row_numbers
from app.rules.formats import (
    CountTask,
    Format,
    LiftTask,
    ListTask,
    MeasureTask,
    Movement,
    Part,
    ScoreRule,
    Task,
    TieStep,
    Who,
    Window,
)
from app.rules.units import Load, decimal_text

NEW = "new-"  # a key that a row has until its name is first stored


@dataclass(frozen=True, slots=True)
class MovementRow:
    """A movement: standards, faults and cautions one a line, a fault's spoken words after a bar (`Too shallow | Hips!`)."""

    key: str = ""
    name: str = ""
    standards: str = ""
    faults: str = ""
    cautions: str = ""
    fastest: str = ""  # ms
    heaviest: str = ""


@dataclass(frozen=True, slots=True)
class TaskRow:
    """A task of any kind; only the texts of its kind are read."""

    key: str = ""
    name: str = ""
    kind: str = "count"
    movement: str = ""
    target: str = ""
    grows: str = ""
    out: str = ""
    items: str = ""
    rounds: str = "1"
    bar: str = ""
    collars: str = ""
    step: str = ""
    plate: str = ""
    attempts: str = ""
    retry: str = "on"
    counts: str = "finished"
    down: str = "on"
    times_reps: str = ""
    unit: str = "m"
    least: str = "1"
    low: str = "0"
    high: str = "100000"
    keep: str = "last"


@dataclass(frozen=True, slots=True)
class WindowRow:
    """A window: `start` is empty when it follows the row above; `who` and `holding` are `all`, `any` or members (`1+2`)."""

    start: str = ""
    length: str = "2:00"
    who: str = "all"
    task: str = ""
    holding: str = ""


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """A ranked score without its parts; ties one a line."""

    id: str = "score"
    name: str = "Score"
    better: str = "more"
    unit: str = "reps"
    rounding: str = "none"
    rounding_step: str = "1"
    cap_adds: str = ""
    ties: str = ""


@dataclass(frozen=True, slots=True)
class PartRow:
    """A score part: tasks as keys with blanks between, or windows as numbers from 1 with commas between."""

    score: str = "score"
    take: str = "sum"
    tasks: str = ""
    windows: str = ""
    weight: str = "1"
    drop: str = ""


@dataclass(frozen=True, slots=True)
class EventForm:
    """The whole form."""

    name: str = ""
    members: str = "1"
    unit: str = "kg"
    late: str = "1000"  # ms
    movements: tuple[MovementRow, ...] = field(default=(MovementRow(key="new-1"),))
    tasks: tuple[TaskRow, ...] = field(default=(TaskRow(key="new-1", movement="new-1"),))
    windows: tuple[WindowRow, ...] = field(default=(WindowRow(task="new-1"),))
    scores: tuple[ScoreRow, ...] = field(default=(ScoreRow(),))
    parts: tuple[PartRow, ...] = field(default=(PartRow(tasks="new-1"),))


ROWS: dict[str, Any] = {"movement": MovementRow, "task": TaskRow, "window": WindowRow, "score": ScoreRow, "part": PartRow}


def typed_form(typed: Typed) -> EventForm:
    """The form as it was posted."""
    values: dict[str, Any] = {name: typed.get(name, "").strip() for name in ("name", "members", "unit", "late")}
    values |= {f"{what}s": tuple(_typed_row(typed, what, n) for n in row_numbers(typed, what)) for what in ROWS}
    return EventForm(**values)


def _typed_row(typed: Typed, what: str, number: int) -> Any:
    kind = ROWS[what]
    values = {name: typed.get(f"{what}-{number}-{name}", "").strip() for name in kind.__slots__}
    if what == "part":
        start = f"part-{number}-task-"
        values["tasks"] = " ".join(name.removeprefix(start) for name in typed if name.startswith(start))
    return kind(**values)


def edited(form: EventForm, do: str) -> EventForm:
    """The form after one of its buttons: `add-window`, `copy-window-2`, `up-window-2`, `down-window-2`, `remove-window-2`."""
    found = re.fullmatch(r"(add|copy|up|down|remove)-(movement|task|window|score|part)(?:-(\d{1,3}))?", do)
    if found is None:
        return form
    what, at = found[2], int(found[3] or 0)
    rows: list[Any] = list(getattr(form, f"{what}s"))
    if found[1] != "add" and at >= len(rows):
        return form
    match found[1]:
        case "add":
            rows.append(_new_row(what, rows))
        case "copy":
            rows.insert(at + 1, replace(rows[at], start="") if what == "window" else rows[at])
        case "up" if at > 0:
            rows[at - 1], rows[at] = rows[at], rows[at - 1]
        case "down" if at + 1 < len(rows):
            rows[at + 1], rows[at] = rows[at], rows[at + 1]
        case "remove":
            del rows[at]
    changes: dict[str, Any] = {f"{what}s": tuple(rows)}
    return replace(form, **changes)


def _new_row(what: str, rows: list[Any]) -> Any:
    if what in ("movement", "task"):
        return ROWS[what](key=_unused([row.key for row in rows]))
    if what == "score":
        ids = [row.id for row in rows]
        number = next(n for n in range(1, len(ids) + 2) if f"score-{n}" not in ids)
        return ScoreRow(id=f"score-{number}", name=f"Score {len(ids) + 1}")
    return ROWS[what]()


def _unused(keys: list[str]) -> str:
    return next(f"{NEW}{n}" for n in range(1, len(keys) + 2) if f"{NEW}{n}" not in keys)


def format_form(name: str, format: Format) -> EventForm:
    """The form that says what a format says."""
    return EventForm(
        name=name,
        members=str(format.members),
        unit=format.unit,
        late=str(format.late_ms),
        movements=tuple(_movement_row(key, movement) for key, movement in format.movements.items()),
        tasks=tuple(_task_row(key, task, format) for key, task in format.tasks.items()),
        windows=_window_rows(format.windows),
        scores=tuple(_score_row(score) for score in format.scores),
        parts=tuple(_part_row(score.id, part) for score in format.scores for part in score.parts),
    )


def _movement_row(key: str, movement: Movement) -> MovementRow:
    return MovementRow(
        key=key,
        name=movement.name,
        standards="\n".join(movement.standards),
        faults="\n".join(f"{f.name} | {f.say}" if f.say else f.name for f in movement.faults),
        cautions="\n".join(movement.cautions),
        fastest=_shown(movement.fastest_ms),
        heaviest=_shown(movement.heaviest, Load.text),
    )


def _task_row(key: str, task: Task, format: Format) -> TaskRow:
    row = TaskRow(key=key, name=key.replace("-", " ").replace("_", " "), kind=task.kind)
    match task:
        case CountTask():
            return replace(
                row,
                movement=task.movement,
                target=_shown(task.target),
                grows=_shown(task.grows or None),
                out="on" if task.miss_puts_out else "",
            )
        case ListTask():
            return replace(row, items="\n".join(_item_line(item, format) for item in task.items), rounds=_shown(task.rounds))
        case LiftTask():
            return _lift_row(row, task)
        case MeasureTask():
            return replace(
                row,
                movement=task.movement,
                unit=task.unit,
                least=decimal_text(task.step, 6),
                low=decimal_text(task.low, 6),
                high=decimal_text(task.high, 6),
                keep=task.keep,
            )


def _lift_row(row: TaskRow, task: LiftTask) -> TaskRow:
    return replace(
        row,
        movement=task.movement,
        bar=task.bar.text(),
        collars=_shown(task.collars, Load.text),
        step=task.step.text(),
        plate=task.least_plate.text(),
        attempts=_shown(task.attempts),
        retry="on" if task.tries_until_racked else "",
        counts=task.counts_when,
        down="on" if task.may_go_down else "",
        times_reps="on" if task.times_reps else "",
    )


def _item_line(item: Any, format: Format) -> str:
    worth = f" = {item.worth}" if item.worth != 1 else ""
    load = f" @ {item.load.text()}" if item.load else ""
    note = f" ; {item.note}" if item.note else ""
    return f"{item.reps} {format.movements[item.movement].name}{worth}{load}{note}"


def _window_rows(windows: tuple[Window, ...]) -> tuple[WindowRow, ...]:
    rows, after = [], 0
    for window in windows:
        start = "" if window.start == after else minutes_seconds(window.start)
        rows.append(
            WindowRow(start, minutes_seconds(window.seconds), who_text(window.who), window.task or "", who_text(window.holding))
        )
        after = window.start + window.seconds
    return tuple(rows)


def _score_row(score: ScoreRule) -> ScoreRow:
    return ScoreRow(
        id=score.id,
        name=score.name,
        better=score.better,
        unit=score.unit,
        rounding=score.rounding.value,
        rounding_step=str(score.rounding_step),
        cap_adds=_shown(score.cap_adds),
        ties="\n".join(tie_line(step) for step in score.ties),
    )


def _part_row(score: str, part: Part) -> PartRow:
    return PartRow(
        score=score,
        take=part.take,
        tasks=" ".join(part.tasks),
        windows=", ".join(str(index + 1) for index in part.windows),
        weight=str(part.weight),
        drop=_shown(part.drop or None),
    )


TIE_WORDS = {
    "count_at": "count at",
    "time_of_count": "sooner at the count",
    "best_lift": "best lift",
    "earlier_best": "best lift sooner",
    "bodyweight": "lighter entry",
    "part": "part",
}


def tie_line(step: TieStep) -> str:
    """A tie step in the words of the form."""
    more = minutes_seconds(step.at) if step.at is not None else str(step.part + 1) if step.part is not None else ""
    return f"{TIE_WORDS[step.kind]} {more}".strip()


def who_text(who: Who) -> str:
    """Who works, as the value of a choice: `all`, `any`, `1`, `1+2`."""
    return who if isinstance(who, str) else "+".join(str(member) for member in who)


def minutes_seconds(seconds: int) -> str:
    """Whole seconds as m:ss, or h:mm:ss from an hour on."""
    minutes, rest = divmod(seconds, 60)
    return f"{minutes}:{rest:02d}" if minutes < 60 else f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}"


def typed_fields(form: EventForm) -> dict[str, str]:
    """The form as the fields that a browser would post: the inverse of typed_form."""
    fields = {"name": form.name, "members": form.members, "unit": form.unit, "late": form.late}
    for what in ROWS:
        for number, row in enumerate(getattr(form, f"{what}s")):
            for name, value in asdict(row).items():
                if what == "part" and name == "tasks":
                    fields |= {f"part-{number}-task-{key}": "on" for key in value.split()}
                else:
                    fields[f"{what}-{number}-{name}"] = value
    return fields


def _shown(value: Any, how: Callable[[Any], str] = str) -> str:
    return "" if value is None else how(value)
