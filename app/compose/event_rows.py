"""The rows of the event form: texts, exactly as they stand on the screen."""

from dataclasses import dataclass, field, fields
from typing import Any

NEW = "new-"  # a key that a row has until its name is first stored


@dataclass(frozen=True, slots=True)
class MovementRow:
    """A movement: standards, faults, cautions and equipment checks one a line, a fault's spoken words after a bar
    (`Too shallow | Hips!`)."""

    key: str = ""
    name: str = ""
    standards: str = ""
    faults: str = ""
    cautions: str = ""
    checks: str = ""
    fastest: str = ""  # seconds
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
    collars_in: str = "on"
    rack: str = "on"
    bars: str = "one"
    order: str = "lanes"
    after_good: str = ""
    record: str = ""
    attempt_time: str = ""
    warning: str = ""
    judges: str = "1"
    wrong: str = "published"
    light_good: str = "keep"
    light_missed: str = "keep"
    heavy_good: str = "keep"
    heavy_missed: str = "keep"
    uneven_good: str = "keep"
    uneven_missed: str = "keep"
    round_down: str = ""
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
    """A ranked score without its parts and ties."""

    id: str = "score"
    name: str = "Score"
    better: str = "more"
    unit: str = "reps"
    rounding: str = "none"
    rounding_step: str = "1"
    cap_adds: str = ""


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
class TieRow:
    """A step of breaking ties of a score: `at` is a moment of the heat clock, `part` the number of one of the score's parts."""

    score: str = "score"
    kind: str = "time_of_count"
    at: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class VariantRow:
    """A variant without what it changes."""

    id: str = ""
    name: str = ""
    ranked: str = "with"


@dataclass(frozen=True, slots=True)
class VariantMovementRow(MovementRow):
    """A movement that a variant puts in place of another, or adds."""

    variant: str = ""


@dataclass(frozen=True, slots=True)
class VariantTaskRow(TaskRow):
    """A task as a variant does it; its key is the key of the task that it changes."""

    variant: str = ""


@dataclass(frozen=True, slots=True)
class EventForm:
    """The whole form."""

    name: str = ""
    members: str = "1"
    unit: str = "kg"
    late: str = "1"  # seconds
    movements: tuple[MovementRow, ...] = field(default=(MovementRow(key="new-1"),))
    tasks: tuple[TaskRow, ...] = field(default=(TaskRow(key="new-1", movement="new-1"),))
    windows: tuple[WindowRow, ...] = field(default=(WindowRow(task="new-1"),))
    scores: tuple[ScoreRow, ...] = field(default=(ScoreRow(),))
    parts: tuple[PartRow, ...] = field(default=(PartRow(tasks="new-1"),))
    ties: tuple[TieRow, ...] = ()
    variants: tuple[VariantRow, ...] = ()
    vmovements: tuple[VariantMovementRow, ...] = ()
    vtasks: tuple[VariantTaskRow, ...] = ()


HEAD = ("name", "members", "unit", "late")
ROWS: dict[str, Any] = {
    "movement": MovementRow,
    "task": TaskRow,
    "window": WindowRow,
    "score": ScoreRow,
    "part": PartRow,
    "tie": TieRow,
    "variant": VariantRow,
    "vmovement": VariantMovementRow,
    "vtask": VariantTaskRow,
}
OWNED = {"part": "score", "tie": "score", "vmovement": "variant", "vtask": "variant"}  # rows that belong to another row


def texts_of(what: str) -> tuple[str, ...]:
    """The names of a kind of row's texts."""
    return tuple(text.name for text in fields(ROWS[what]))
