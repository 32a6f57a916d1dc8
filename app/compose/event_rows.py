"""The rows of the event form: texts, exactly as they stand on the screen."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from typing import Any, Self

from app.compose.event_fields import fresh_text
from app.rules.workout.fields import Field
from app.rules.workout.format_fields import EVENT, MOVEMENT, PART, SCORE, TIE, VARIANT
from app.rules.workout.task_fields import TASKS

NEW = "new-"  # a key that a row has until its name is first stored
TASK_FIELDS = tuple(one for kind in TASKS.values() for one in kind.shown)
EVENT_FIELDS = tuple(one for one in EVENT.shown if one.name not in ("members", "unit"))
PART_FIELDS = tuple(one for one in PART.shown if one.kind != "own")


def fresh(declared: Iterable[Field]) -> dict[str, str]:
    """The texts of declared fields in a new row."""
    return {one.text: fresh_text(one) for one in declared}


@dataclass(frozen=True, slots=True)
class Row:
    """A row: texts that other rows and the page go by, and in `more` those of the fields that a format's models declare."""

    more: Mapping[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """A text of a declared field."""
        return self.more.get(name, "")

    def lines(self, name: str) -> int:
        """How many lines a text of a declared field has."""
        return len(self.text(name).splitlines())

    def having(self, texts: Mapping[str, str]) -> Self:
        """The row with other texts of its declared fields."""
        return replace(self, more={**self.more, **texts})


@dataclass(frozen=True, slots=True)
class MovementRow(Row):
    """A movement: standards, faults, cautions and equipment checks one a line, a fault's spoken words after a bar
    (`Too shallow | Hips!`). `library`: the movement of the library that it began as."""

    key: str = ""
    name: str = ""
    library: str = ""
    more: Mapping[str, str] = field(default_factory=lambda: fresh(MOVEMENT.shown))


@dataclass(frozen=True, slots=True)
class TaskRow(Row):
    """A task of any kind; only the texts of its kind are read."""

    key: str = ""
    name: str = ""
    kind: str = "count"
    movement: str = ""
    more: Mapping[str, str] = field(default_factory=lambda: fresh(TASK_FIELDS))


@dataclass(frozen=True, slots=True)
class WindowRow:
    """A window: `start` is empty when it follows the row above; `who` and `holding` are `all`, `any` or members (`1+2`)."""

    start: str = ""
    seconds: str = "2:00"
    who: str = "all"
    task: str = ""
    holding: str = ""


@dataclass(frozen=True, slots=True)
class ScoreRow(Row):
    """A ranked score without its parts and ties."""

    id: str = "score"
    name: str = "Score"
    more: Mapping[str, str] = field(default_factory=lambda: fresh(SCORE.shown))


@dataclass(frozen=True, slots=True)
class PartRow(Row):
    """A score part: tasks as keys with blanks between, or windows as numbers from 1 with commas between."""

    score: str = "score"
    tasks: str = ""
    windows: str = ""
    more: Mapping[str, str] = field(default_factory=lambda: fresh(PART_FIELDS))


@dataclass(frozen=True, slots=True)
class TieRow:
    """A step of breaking ties of a score: `at` is a moment of the heat clock, `part` the number of one of the score's parts,
    `point` a point of the work in words."""

    score: str = "score"
    kind: str = fresh_text(TIE.field("kind"))
    at: str = ""
    part: str = ""
    point: str = ""


@dataclass(frozen=True, slots=True)
class VariantRow(Row):
    """A variant without what it changes."""

    id: str = ""
    name: str = ""
    more: Mapping[str, str] = field(default_factory=lambda: fresh(VARIANT.shown))


@dataclass(frozen=True, slots=True)
class VariantMovementRow(MovementRow):
    """A movement that a variant puts in place of another, or adds."""

    variant: str = ""


@dataclass(frozen=True, slots=True)
class VariantTaskRow(TaskRow):
    """A task as a variant does it; its key is the key of the task that it changes."""

    variant: str = ""


@dataclass(frozen=True, slots=True)
class EventForm(Row):
    """The whole form. Other parts of the page go by the name, the members and the unit."""

    name: str = ""
    members: str = fresh_text(EVENT.field("members"))
    unit: str = fresh_text(EVENT.field("unit"))
    more: Mapping[str, str] = field(default_factory=lambda: fresh(EVENT_FIELDS))
    movements: tuple[MovementRow, ...] = field(default=(MovementRow(key="new-1"),))
    tasks: tuple[TaskRow, ...] = field(default=(TaskRow(key="new-1", movement="new-1"),))
    windows: tuple[WindowRow, ...] = field(default=(WindowRow(task="new-1"),))
    scores: tuple[ScoreRow, ...] = field(default=(ScoreRow(),))
    parts: tuple[PartRow, ...] = field(default=(PartRow(tasks="new-1"),))
    ties: tuple[TieRow, ...] = ()
    variants: tuple[VariantRow, ...] = ()
    vmovements: tuple[VariantMovementRow, ...] = ()
    vtasks: tuple[VariantTaskRow, ...] = ()


HEAD = ("name", "members", "unit")
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
DECLARED: dict[str, tuple[Field, ...]] = {
    "movement": MOVEMENT.shown,
    "vmovement": MOVEMENT.shown,
    "task": TASK_FIELDS,
    "vtask": TASK_FIELDS,
    "score": SCORE.shown,
    "part": PART_FIELDS,
    "variant": VARIANT.shown,
}
OWNED = {"part": "score", "tie": "score", "vmovement": "variant", "vtask": "variant"}  # rows that belong to another row


def texts_of(what: str) -> tuple[str, ...]:
    """The names of a kind of row's texts."""
    own = tuple(text.name for text in fields(ROWS[what]) if text.name != "more")
    return (*own, *(one.text for one in DECLARED.get(what, ())))


def texts_in(row: Any) -> dict[str, str]:
    """A row's texts by their names."""
    plain = asdict(row)
    more: dict[str, str] = plain.pop("more", {})
    return plain | more


def row_of(what: str, texts: Mapping[str, str]) -> Any:
    """A row of a kind from all its texts."""
    own = {text.name: texts[text.name] for text in fields(ROWS[what]) if text.name != "more"}
    declared = DECLARED.get(what)
    return ROWS[what](**own, more={one.text: texts[one.text] for one in declared}) if declared else ROWS[what](**own)
