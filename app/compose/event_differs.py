"""What of a form is set otherwise than in a new row, in words: they stand on the line that its fields are folded behind."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from app.compose.event_fields import fresh_text
from app.compose.event_rows import EVENT_FIELDS, EventForm, Row, ScoreRow, TaskRow
from app.rules.workout.fields import Declared, Field
from app.rules.workout.format_fields import EVENT, PART, SCORE
from app.rules.workout.misload import MisloadRule
from app.rules.workout.task_fields import TASKS

BETWEEN = " · "
NOTHING = "none"


@dataclass(frozen=True, slots=True)
class Differs:
    """The id of a line on the page, and what is set otherwise behind it; nothing where all is as in a new row."""

    at: str
    words: str


def differs(form: EventForm) -> tuple[Differs, ...]:
    """Every line of a form that folds fields away, the event's own among them."""
    rows = (
        *((f"task-{row.key}", row) for row in form.tasks),
        *((f"vtask-{row.variant}-{row.key}", row) for row in form.vtasks),
    )
    tasks = (one for at, row in rows for one in _of_task(at, row))
    scores = (one for row in form.scores for one in _of_score(form, row))
    return (_of_event(form), *tasks, *scores)


def _of_event(form: EventForm) -> Differs:
    """An event says whom it is for and its unit, also where those are as in a new one."""
    always = [_said(EVENT.field(name), getattr(form, name)) for name in ("members", "unit")]
    return Differs("about", BETWEEN.join([*always, *_set_otherwise(EVENT_FIELDS, form)]))


def _of_task(at: str, row: TaskRow) -> Iterator[Differs]:
    by_case = row.text("lift-misload") == "own"
    for number, fold in enumerate(TASKS[row.kind].folds if row.kind in TASKS else ()):
        if fold.words:
            # The cases of a wrong load are read only where the rule is none of the named ones.
            fields = [field for field in fold.fields if by_case or field.model is not MisloadRule]
            yield Differs(f"{at}-{row.kind}-{number}", BETWEEN.join(_set_otherwise(fields, row)))


def _of_score(form: EventForm, row: ScoreRow) -> Iterator[Differs]:
    for number, part in enumerate((part for part in form.parts if part.score == row.id), 1):
        yield Differs(f"part-{row.id}-{number}-more", BETWEEN.join(_set_otherwise(_folded(PART), part)))
    yield Differs(f"score-{row.id}-more", BETWEEN.join(_set_otherwise(_folded(SCORE), row)))


def _folded(declared: Declared) -> list[Field]:
    return [field for fold in declared.folds if fold.words for field in fold.fields]


def _set_otherwise(fields: Iterable[Field], row: Row) -> Iterator[str]:
    for field in fields:
        text = row.text(field.text) or str(getattr(row, field.text, ""))
        if text != fresh_text(field):
            yield _said(field, text)


def _said(field: Field, text: str) -> str:
    """A field and what stands in it; a tick is there or not."""
    if field.kind == "tick":
        return f"{field.label}: {'yes' if text else 'no'}"
    words = next((option.words for option in field.options if option.value == text), text)
    return f"{field.label}: {words or NOTHING}"
