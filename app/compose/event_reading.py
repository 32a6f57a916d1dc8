"""From the event form to a format: every text read, every problem named beside its row, and the rule book has the last word."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any, cast

from pydantic import ValidationError

from app.compose.event_context import Context, built
from app.compose.event_fields import read_fields
from app.compose.event_form import key_words, typed_fields
from app.compose.event_movements import read_movement, with_written_work
from app.compose.event_rows import NEW, EventForm
from app.compose.event_scores import read_score
from app.compose.event_tasks import read_task
from app.compose.event_variants import read_variant
from app.hall.forms import BadForm, Reading, problems_of, slug
from app.rules.values.units import LoadUnit
from app.rules.values.words import say
from app.rules.workout.format_fields import EVENT
from app.rules.workout.formats import MOST_WINDOWS, Format, Who, Window


def read_event(form: EventForm, known: Format | None = None) -> tuple[str, Format]:
    """The event's name and its format; keys of `known`, the format before, stay. Raises BadForm with every problem."""
    form = with_keys(with_written_work(form))
    read = Reading(typed_fields(form))
    name = read.name("name", "The event's name")
    own = read_fields(read, EVENT.fields, "", "")
    unit: LoadUnit = "lb" if own["unit"] == "lb" else "kg"
    context = Context(read, form, unit, own["members"], known)
    plain = {
        **own,
        "counters": known.counters if known else Format.model_fields["counters"].default,
        **_described(context),
        "windows": _windows(context),
        "scores": tuple(rule for n, row in enumerate(form.scores) if (rule := read_score(context, n, row))),
        "variants": tuple(made for n, row in enumerate(form.variants) if (made := read_variant(context, n, row))),
    }
    _not_empty(context)
    read.done()
    try:
        return name, Format.model_validate(plain)
    except ValidationError as error:
        raise BadForm(problems_of(error)) from None


def _described(context: Context) -> dict[str, Any]:
    form = context.form
    movements = {row.key: move for n, row in enumerate(form.movements) if (move := read_movement(context, "movement", n, row))}
    tasks = {row.key: task for n, row in enumerate(form.tasks) if (task := read_task(context, "task", n, row))}
    for n, row in enumerate(form.movements):
        if any(row.name and row.name == other.name for other in form.movements[:n]):
            context.read.wrong(f"movement-{n}-name", f"There are two movements called {row.name}. Give one another name.")
    return {"movements": movements, "tasks": tasks}


def with_keys(form: EventForm) -> EventForm:
    """The form with a lasting key for each movement, task and variant that got its name, wherever it is referred to."""
    variants = _lasting((row.id, row.name) for row in form.variants)
    movements = _lasting((row.key, row.name) for row in (*form.movements, *form.vmovements))
    tasks = _lasting(((row.key, row.name) for row in form.tasks), named=True)

    def moved(row: Any) -> Any:
        return replace(row, key=tasks.get(row.key, row.key), movement=movements.get(row.movement, row.movement))

    return replace(
        form,
        movements=tuple(replace(row, key=movements[row.key]) for row in form.movements),
        tasks=tuple(moved(row) for row in form.tasks),
        windows=tuple(replace(row, task=tasks.get(row.task, row.task)) for row in form.windows),
        parts=tuple(replace(row, tasks=" ".join(tasks.get(key, key) for key in row.tasks.split())) for row in form.parts),
        variants=tuple(replace(row, id=variants[row.id]) for row in form.variants),
        vmovements=tuple(
            replace(row, key=movements[row.key], variant=variants.get(row.variant, row.variant)) for row in form.vmovements
        ),
        vtasks=tuple(replace(moved(row), variant=variants.get(row.variant, row.variant)) for row in form.vtasks),
    )


def _lasting(names: Iterable[tuple[str, str]], named: bool = False) -> Mapping[str, str]:
    """New keys by old: made from names. A key that is not new stays; `named`: only while it still says the name."""
    pairs = list(names)
    lasting: dict[str, str] = {}
    for key, name in pairs:
        stays = not key.startswith(NEW) and (not named or not name or key_words(key) == key_words(name))
        lasting.setdefault(key, key if stays or not name else slug(name, [*lasting.values(), *(k for k, _ in pairs if k != key)]))
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
        seconds = read.seconds(f"{at}seconds", f"{what}'s length")
        if row.task:
            read.choice(f"{at}task", f"{what}'s work", {task.key: task.name or "the new task" for task in context.form.tasks})
        who = _who(context, f"{at}who", f"Who works in window {n + 1}", row.who)
        holding = _who(context, f"{at}holding", f"Who holds in window {n + 1}", row.holding) if row.holding else ()
        values = {"start": start, "seconds": seconds, "task": row.task or None, "who": who, "holding": holding}
        made = built(context, f"{at}seconds", partial(Window.model_validate, values))
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
        context.read.wrong(
            field, f"{what}: an entry has {say('members', n=context.members)}, so there is no member {members[-1]}."
        )
        return "all"
    return members
