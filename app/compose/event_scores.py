"""Reads the scores of the event form: their parts, their rounding, the steps that break their ties."""

import re
from typing import cast

from app.compose.event_context import Context, built
from app.compose.event_fields import read_field, read_fields
from app.compose.event_rows import PartRow, ScoreRow, TieRow
from app.rules.values.units import shown
from app.rules.workout.format_fields import PART, POINTS, SCORE, TIE
from app.rules.workout.formats import Part, ScoreRule, TieStep
from app.rules.workout.points import read_point
from app.rules.workout.tie_steps import TIE_STEPS


def read_score(context: Context, n: int, row: ScoreRow) -> ScoreRule | None:
    """The score of row `n` with the parts and tie steps that belong to it, or None with the problems noted."""
    read, at = context.read, f"score-{n}-"
    name = read.name(f"{at}name", f"Score {n + 1}'s name")
    what = f"The score “{shown(name)}”" if name else f"Score {n + 1}"
    before = len(read.problems)
    parts = [(i, part) for i, part in enumerate(context.form.parts) if part.score == row.id]
    ties = [(i, tie) for i, tie in enumerate(context.form.ties) if tie.score == row.id]
    values = {
        "id": row.id,
        "name": name,
        **read_fields(read, SCORE.fields, at, what),
        "parts": tuple(_part(context, i, f"{what}, part {place}", part) for place, (i, part) in enumerate(parts, 1)),
        "ties": tuple(_tie(context, i, f"{what}, tie-break {place}", tie) for place, (i, tie) in enumerate(ties, 1)),
    }
    if not parts:
        read.wrong(f"{at}name", f"{what} has no parts. Add one.")
    if len(read.problems) > before or not name:
        return None
    return cast(ScoreRule | None, built(context, f"{at}name", lambda: ScoreRule.model_validate(values)))


def _part(context: Context, n: int, what: str, row: PartRow) -> Part | None:
    read, at = context.read, f"part-{n}-"
    tasks = tuple(row.tasks.split())
    known = {task.key for task in context.form.tasks}
    if any(key not in known for key in tasks):
        read.wrong(f"{at}take", f"{what} uses a task that no longer exists. Tick another.")
    windows = _window_numbers(context, f"{at}windows", what)
    one_of_both = bool(tasks) != bool(windows)
    if not one_of_both and not read.problems_at(f"{at}windows"):
        read.wrong(f"{at}windows", f"{what} uses either tasks or windows: tick tasks, or type window numbers.")
    values = {**read_fields(read, PART.fields, at, what), "tasks": tasks, "windows": windows}
    if values["take"] not in PART.field("take").values or not one_of_both:
        return None
    return cast(Part | None, built(context, f"{at}take", lambda: Part.model_validate(values)))


def _window_numbers(context: Context, field: str, what: str) -> tuple[int, ...]:
    text, most = context.read.raw(field), len(context.form.windows)
    numbers = [int(number) for number in re.findall(r"\d{1,4}", text)]
    if (text and not re.fullmatch(r"[\d\s,]+", text)) or any(not 1 <= number <= most for number in numbers):
        context.read.wrong(field, f"{what}: windows are numbers from 1 to {most} with commas between; not “{shown(text)}”.")
        return ()
    return tuple(sorted({number - 1 for number in numbers}))


def _tie(context: Context, n: int, what: str, row: TieRow) -> TieStep | None:
    """A step of breaking ties; only the text that its kind needs is read."""
    read, at = context.read, f"tie-{n}-"
    kind = read_field(read, TIE.field("kind"), at, what)
    asks = TIE_STEPS[kind].asks if kind in TIE_STEPS else ""
    moment = read_field(read, TIE.field("at"), at, what) if asks == "at" else None
    part = None
    if asks == "part":
        most = sum(1 for part_row in context.form.parts if part_row.score == row.score)
        part = read.needed_whole(f"{at}part", TIE.field("part").called.format(what), 1, max(1, most)) - 1
    point = read_point(read.raw(f"{at}point")) if asks == "point" else None
    if asks == "point" and point is None:
        read.wrong(f"{at}point", f"{TIE.field('point').called.format(what)} is said {POINTS}.")
    if kind not in TIE_STEPS or (asks == "point" and point is None):
        return None
    values = {"kind": kind, "at": moment, "part": part, "point": point}
    return cast(TieStep | None, built(context, f"{at}kind", lambda: TieStep.model_validate(values)))
