"""What the event page shows beside the form's own texts: choices, the strip, the event in words, warnings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from app.compose.event_look import Look, look
from app.compose.event_rows import OWNED, EventForm
from app.compose.event_strip import members_of, timed_windows
from app.hall.hall import Hall
from app.hall.heats import has_marks
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.rules.values.alphabet import by_name
from app.rules.values.clock_times import hours_text
from app.rules.values.words import say
from app.rules.workout.fields import Declared
from app.rules.workout.format_fields import ROWS
from app.rules.workout.movements import library
from app.rules.workout.task_fields import KINDS, TASKS
from app.rules.workout.words import member_letter

MOST_SUBSETS_OF = 4  # with more members, only all, any and each one are offered
SNAPS = ((1, "1 s"), (5, "5 s"), (10, "10 s"), (15, "15 s"), (30, "30 s"), (60, "1 min"))


@dataclass(frozen=True, slots=True)
class Words:
    """The lists to choose from that are the same for every event."""

    kinds: tuple[Choice, ...]
    library: tuple[Choice, ...]
    snaps: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class VariantView:
    """What belongs to a variant: the numbers of its rows, the tasks and movements that it may still change."""

    movements: tuple[int, ...]
    tasks: tuple[int, ...]
    more_tasks: tuple[Choice, ...]
    more_movements: tuple[Choice, ...]
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class EventPage:
    """The event page. `starts` holds each window's first second as text, `length` the last bell,
    `all_windows` how many there are; `judged`: marks exist.

    `parts` and `ties` hold, for each score, the numbers of the rows that belong to it.
    """

    rows: EventForm
    look: Look
    words: Words
    declared: Mapping[str, Declared]
    task_kinds: Mapping[str, Declared]
    movements: tuple[Choice, ...]
    tasks: tuple[Choice, ...]
    who: tuple[Choice, ...]
    holding: tuple[Choice, ...]
    starts: tuple[str, ...]
    length: str
    all_windows: str
    judged: bool
    parts: tuple[tuple[int, ...], ...]
    ties: tuple[tuple[int, ...], ...]
    variants: tuple[VariantView, ...]


def event_page(hall: Hall, form: EventForm, key: str) -> EventPage:
    """The page for a form as it stands."""
    known = next((event.format for event in needed_roster(hall).events if event.id == key), None)
    members = members_of(form)
    people = _people(members)
    used = {row.who for row in form.windows} | {row.holding for row in form.windows}
    offered = {"", "all", "any"} | {choice.value for choice in people}
    people += tuple(Choice(value, _letters(value)) for value in sorted(used - offered))
    starts = {one.index: hours_text(one.start) for one in timed_windows(form)}
    shown = look(form, known)
    return EventPage(
        rows=form,
        look=shown,
        words=WORDS,
        declared=ROWS,
        task_kinds=TASKS,
        movements=tuple(Choice(row.key, row.name or f"Movement {n}") for n, row in enumerate(form.movements, 1)),
        tasks=tuple(Choice(row.key, row.name or f"Task {n}") for n, row in enumerate(form.tasks, 1)),
        who=(*(Choice(who, say(f"who.{who}").capitalize()) for who in ("all", "any")), *people),
        holding=(Choice("", "Nobody"), *people),
        starts=tuple(starts.get(index, "?") for index in range(len(form.windows))),
        length=shown.strip.length,
        all_windows=f"All windows: {len(form.windows)}",
        judged=bool(key) and has_marks(hall, key),
        parts=tuple(_owned(form, "part", row.id) for row in form.scores),
        ties=tuple(_owned(form, "tie", row.id) for row in form.scores),
        variants=tuple(_variant(form, row.id) for row in form.variants),
    )


def _owned(form: EventForm, what: str, owner: str) -> tuple[int, ...]:
    return tuple(n for n, row in enumerate(getattr(form, f"{what}s")) if getattr(row, OWNED[what]) == owner)


def _variant(form: EventForm, key: str) -> VariantView:
    tasks, movements = _owned(form, "vtask", key), _owned(form, "vmovement", key)
    changed = {form.vtasks[n].key for n in tasks}
    own = [form.vmovements[n] for n in movements]
    rest = [row for row in form.movements if row.key not in {one.key for one in own}]
    return VariantView(
        movements=movements,
        tasks=tasks,
        more_tasks=tuple(
            Choice(row.key, row.name or f"Task {n}") for n, row in enumerate(form.tasks, 1) if row.key not in changed
        ),
        more_movements=tuple(Choice(row.key, row.name) for row in rest if row.name),
        choices=tuple(Choice(row.key, row.name or "A new movement") for row in (*own, *rest)),
    )


def _choices(words: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, text) for value, text in words.items())


def _people(members: int) -> tuple[Choice, ...]:
    """Each member alone and, in a small entry, each company of some of them."""
    if members == 1:
        return (Choice("1", "The athlete"),)
    most = members - 1 if members <= MOST_SUBSETS_OF else 1
    numbers = range(1, members + 1)
    values = ["+".join(map(str, some)) for size in range(1, max(most, 1) + 1) for some in combinations(numbers, size)]
    return tuple(Choice(value, _letters(value)) for value in values)


def _letters(value: str) -> str:
    numbers: Sequence[int] = [int(part) for part in value.split("+") if part.isdigit()]
    return " and ".join(member_letter(number) for number in numbers if 1 <= number <= 26) or value


WORDS = Words(
    kinds=_choices(KINDS),
    library=tuple(
        Choice(key, one.name) for key, one in sorted(library().movements.items(), key=lambda row: by_name(row[1].name))
    ),
    snaps=tuple(Choice(str(seconds), words) for seconds, words in SNAPS),
)
