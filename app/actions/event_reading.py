"""From the event form to a format: every text read, every problem named beside its row, and the rule book has the last word."""

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import cast

from pydantic import ValidationError

from app.actions.event_form import NEW, TIE_WORDS, EventForm, PartRow, ScoreRow, typed_fields
from app.actions.event_tasks import Context, built, read_movement, read_task
from app.actions.event_words import BETTER, ROUNDINGS, SCORE_UNITS, TAKES, UNITS
from app.actions.forms import MINUTES_SECONDS, BadForm, Reading, problems_of, slug
from app.rules.formats import MOST_MEMBERS, MOST_WINDOWS, Format, Part, ScoreRule, TieStep, Who, Window
from app.rules.units import LoadUnit, shown


def read_event(form: EventForm, known: Format | None = None) -> tuple[str, Format]:
    """The event's name and its format; keys of `known`, the format before, stay. Raises BadForm with every problem."""
    form = with_keys(form)
    read = Reading(typed_fields(form))
    name = read.name("name", "The event's name")
    unit = cast(LoadUnit, read.choice("unit", "The unit of loads", UNITS))
    unit = unit if unit in UNITS else "kg"
    members = read.needed_whole("members", "The number of members of an entry", 1, MOST_MEMBERS)
    late = read.needed_whole("late", "How long after the bell a mark still counts, in milliseconds,", 0, 10_000)
    context = Context(read, form, unit, members, known)
    plain = {
        "members": members,
        "unit": unit,
        "late_ms": late,
        "movements": {row.key: move for n, row in enumerate(form.movements) if (move := read_movement(context, n, row))},
        "tasks": {row.key: task for n, row in enumerate(form.tasks) if (task := read_task(context, n, row))},
        "windows": _windows(context),
        "scores": tuple(rule for n, row in enumerate(form.scores) if (rule := _score(context, n, row))),
    }
    _not_empty(context)
    read.done()
    try:
        return name, Format.model_validate(plain)
    except ValidationError as error:
        raise BadForm(problems_of(error)) from None


def with_keys(form: EventForm) -> EventForm:
    """The form with a lasting key for each movement and task that got its name, wherever it is referred to."""
    movements = _lasting({row.key: row.name for row in form.movements}, keep=True)
    tasks = _lasting({row.key: row.name for row in form.tasks}, keep=False)
    return replace(
        form,
        movements=tuple(replace(row, key=movements[row.key]) for row in form.movements),
        tasks=tuple(replace(row, key=tasks[row.key], movement=movements.get(row.movement, row.movement)) for row in form.tasks),
        windows=tuple(replace(row, task=tasks.get(row.task, row.task)) for row in form.windows),
        parts=tuple(replace(row, tasks=" ".join(tasks.get(key, key) for key in row.tasks.split())) for row in form.parts),
    )


def _lasting(names: Mapping[str, str], keep: bool) -> dict[str, str]:
    """New keys by old: made from names; a key that is not new stays if `keep` or if it still says the name."""
    lasting: dict[str, str] = {}
    for key, name in names.items():
        stays = not key.startswith(NEW) and (keep or key.replace("-", " ").replace("_", " ") == name)
        lasting[key] = key if stays or not name else slug(name, [*lasting.values(), *(k for k in names if keep and k != key)])
    return lasting


def _not_empty(context: Context) -> None:
    form, read = context.form, context.read
    for rows, what in ((form.tasks, "task"), (form.windows, "window"), (form.scores, "score")):
        if not rows:
            read.wrong("", f"The event has no {what}. Add at least one.")
    if len(form.windows) > MOST_WINDOWS:
        read.wrong("", f"The event has {len(form.windows)} windows; at most {MOST_WINDOWS} are allowed.")


def _windows(context: Context) -> tuple[Window, ...]:
    """The windows in order; one without a start follows the one above."""
    read, after, windows = context.read, 0, []
    for n, row in enumerate(context.form.windows):
        at, what = f"window-{n}-", f"Window {n + 1}"
        start = read.seconds(f"{at}start", f"{what}'s start", 0) if row.start else after
        seconds = read.seconds(f"{at}length", f"{what}'s length")
        if row.task:
            read.choice(f"{at}task", f"{what}'s work", {task.key: task.name or "the new task" for task in context.form.tasks})
        who = _who(context, f"{at}who", f"Who works in window {n + 1}", row.who)
        holding = _who(context, f"{at}holding", f"Who holds in window {n + 1}", row.holding) if row.holding else ()
        values = {"start": start, "seconds": seconds, "task": row.task or None, "who": who, "holding": holding}
        made = built(context, f"{at}length", partial(Window.model_validate, values))
        windows += [made] if made else []
        after = start + seconds
    return tuple(windows)


def _who(context: Context, field: str, what: str, text: str) -> Who:
    if text in ("all", "any"):
        return cast(Who, text)
    if not re.fullmatch(r"\d{1,2}(\+\d{1,2})*", text):
        context.read.wrong(field, f"{what} is not chosen. Choose all, any, or members by their letters.")
        return "all"
    members = tuple(sorted({int(number) for number in text.split("+")}))
    if members[0] < 1 or members[-1] > context.members:
        context.read.wrong(field, f"{what}: an entry has {context.members} members, so there is no member {members[-1]}.")
        return "all"
    return members


def _score(context: Context, n: int, row: ScoreRow) -> ScoreRule | None:
    read, at = context.read, f"score-{n}-"
    name = read.name(f"{at}name", f"Score {n + 1}'s name")
    what = f"The score “{shown(name)}”" if name else f"Score {n + 1}"
    before = len(read.problems)
    values = {
        "id": row.id,
        "name": name,
        "better": read.choice(f"{at}better", f"{what}: which is better", BETTER),
        "unit": read.choice(f"{at}unit", f"{what}: the unit", SCORE_UNITS),
        "rounding": read.choice(f"{at}rounding", f"{what}: the rounding", ROUNDINGS),
        "rounding_step": read.number(f"{at}rounding_step", f"{what}: the step of rounding", Fraction(1)),
        "cap_adds": read.number(f"{at}cap_adds", f"{what}: seconds for a repetition left", Fraction(0)) if row.cap_adds else None,
        "ties": tuple(_ties(read, f"{at}ties", what)),
        "parts": tuple(
            made for i, part in enumerate(context.form.parts) if part.score == row.id and (made := _part(context, i, part))
        ),
    }
    if not any(part.score == row.id for part in context.form.parts):
        read.wrong(f"{at}name", f"{what} adds up nothing. Add a score part to it.")
    if len(read.problems) > before or not name:
        return None
    return cast(ScoreRule | None, built(context, f"{at}name", lambda: ScoreRule.model_validate(values)))


def _part(context: Context, n: int, row: PartRow) -> Part | None:
    read, at, what = context.read, f"part-{n}-", f"Score part {n + 1}"
    tasks = tuple(row.tasks.split())
    known = {task.key for task in context.form.tasks}
    if any(key not in known for key in tasks):
        read.wrong(f"{at}take", f"{what} takes from a task that is not there any more. Tick one that is.")
    windows = _window_numbers(context, f"{at}windows", what)
    if bool(tasks) == bool(windows):
        read.wrong(f"{at}windows", f"{what} takes either from tasks or from windows: tick tasks, or type numbers of windows.")
    values = {
        "take": read.choice(f"{at}take", f"What {what[0].lower()}{what[1:]} takes", TAKES),
        "tasks": tasks,
        "windows": windows,
        "weight": read.number(f"{at}weight", f"{what}'s weight", Fraction(1)),
        "drop": read.whole(f"{at}drop", f"How many of the lowest {what[0].lower()}{what[1:]} leaves out", 0, MOST_WINDOWS, 0),
    }
    if values["take"] not in TAKES or bool(tasks) == bool(windows):
        return None
    return cast(Part | None, built(context, f"{at}take", lambda: Part.model_validate(values)))


def _window_numbers(context: Context, field: str, what: str) -> tuple[int, ...]:
    text, most = context.read.raw(field), len(context.form.windows)
    numbers = [int(number) for number in re.findall(r"\d{1,4}", text)]
    if (text and not re.fullmatch(r"[\d\s,]+", text)) or any(not 1 <= number <= most for number in numbers):
        context.read.wrong(field, f"{what}'s windows are numbers from 1 to {most} with commas between; not “{shown(text)}”.")
        return ()
    return tuple(sorted({number - 1 for number in numbers}))


def _ties(read: Reading, field: str, what: str) -> list[TieStep]:
    steps = []
    for line in read.lines(field, f"{what}: the ties", 60):
        step = tie_step(line)
        if step is None:
            allowed = ", ".join(f"“{words}{TIE_EXAMPLES.get(kind, '')}”" for kind, words in TIE_WORDS.items())
            read.wrong(field, f"{what}: a step of breaking ties is one of {allowed}; not “{shown(line)}”.")
        else:
            steps.append(step)
    return steps


TIE_EXAMPLES = {"count_at": " 5:00", "part": " 2"}


def tie_step(line: str) -> TieStep | None:
    """A tie step from the words of the form, or None."""
    text = " ".join(line.casefold().split())
    for kind, words in sorted(TIE_WORDS.items(), key=lambda pair: -len(pair[1])):
        if text != words and not text.startswith(f"{words} "):
            continue
        more = text.removeprefix(words).strip()
        time = MINUTES_SECONDS.fullmatch(more)
        try:
            if kind == "count_at" and time:
                at = int(time[1] or 0) * 3600 + int(time[2]) * 60 + int(time[3])
                return TieStep(kind="count_at", at=at)
            if kind == "part" and more.isascii() and more.isdigit():
                return TieStep(kind="part", part=int(more) - 1)
            return None if more else TieStep.model_validate({"kind": kind})
        except ValidationError:
            return None
    return None
