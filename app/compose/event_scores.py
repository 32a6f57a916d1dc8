"""Reads the scores of the event form: their parts, their rounding, the steps that break their ties."""

import re
from fractions import Fraction
from typing import cast

from app.compose.event_context import Context, built
from app.compose.event_rows import PartRow, ScoreRow, TieRow
from app.compose.event_words import BETTER, ROUNDINGS, SCORE_UNITS, TAKES, TIES
from app.rules.values.units import shown
from app.rules.workout.formats import MOST_WINDOWS, Part, ScoreRule, TieStep
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
        "better": read.choice(f"{at}better", f"{what}: which is better", BETTER),
        "unit": read.choice(f"{at}unit", f"{what}: the unit", SCORE_UNITS),
        "rounding": read.choice(f"{at}rounding", f"{what}: the rounding", ROUNDINGS),
        "rounding_step": read.number(f"{at}rounding_step", f"{what}: the step of rounding", Fraction(1)),
        "cap_adds": read.number(f"{at}cap_adds", f"{what}: seconds for a repetition left", Fraction(0)) if row.cap_adds else None,
        "parts": tuple(_part(context, i, f"{what}, part {place}", part) for place, (i, part) in enumerate(parts, 1)),
        "ties": tuple(_tie(context, i, f"{what}, tie step {place}", tie) for place, (i, tie) in enumerate(ties, 1)),
    }
    if not parts:
        read.wrong(f"{at}name", f"{what} adds up nothing. Add a part to it.")
    if len(read.problems) > before or not name:
        return None
    return cast(ScoreRule | None, built(context, f"{at}name", lambda: ScoreRule.model_validate(values)))


def _part(context: Context, n: int, what: str, row: PartRow) -> Part | None:
    read, at = context.read, f"part-{n}-"
    tasks = tuple(row.tasks.split())
    known = {task.key for task in context.form.tasks}
    if any(key not in known for key in tasks):
        read.wrong(f"{at}take", f"{what}, takes from a task that is not there any more. Tick one that is.")
    windows = _window_numbers(context, f"{at}windows", what)
    one_of_both = bool(tasks) != bool(windows)
    if not one_of_both and not read.problems_at(f"{at}windows"):
        read.wrong(f"{at}windows", f"{what}, takes either from tasks or from windows: tick tasks, or type numbers of windows.")
    values = {
        "take": read.choice(f"{at}take", f"{what}: what it takes", TAKES),
        "tasks": tasks,
        "windows": windows,
        "weight": read.number(f"{at}weight", f"{what}: the weight", Fraction(1)),
        "drop": read.whole(f"{at}drop", f"{what}: how many of the lowest it leaves out", 0, MOST_WINDOWS, 0),
    }
    if values["take"] not in TAKES or not one_of_both:
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
    kind = read.choice(f"{at}kind", what, TIES)
    asks = TIE_STEPS[kind].asks if kind in TIE_STEPS else ""
    moment = read.seconds(f"{at}at", f"{what}: the moment of the heat clock") if asks == "at" else None
    part = None
    if asks == "part":
        most = sum(1 for part_row in context.form.parts if part_row.score == row.score)
        part = read.needed_whole(f"{at}part", f"{what}: the number of the part", 1, max(1, most)) - 1
    if kind not in TIE_STEPS:
        return None
    values = {"kind": kind, "at": moment, "part": part}
    return cast(TieStep | None, built(context, f"{at}kind", lambda: TieStep.model_validate(values)))
