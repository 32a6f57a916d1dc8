"""What the event page shows beside the form's own texts: choices, computed times, warnings."""

from dataclasses import dataclass
from itertools import combinations

from app.actions.event_form import minutes_seconds
from app.actions.event_rows import EventForm
from app.actions.event_words import BETTER, COUNTS, KEEPS, KINDS, MEASURES, ROUNDINGS, SCORE_UNITS, TAKES, UNITS
from app.actions.forms import MINUTES_SECONDS
from app.actions.hall import Hall
from app.actions.lane_rows import LETTERS
from app.actions.setup_views import Choice, has_marks
from app.rules.formats import MOST_MEMBERS

MOST_SUBSETS_OF = 4  # with more members, only all, any and each one are offered


@dataclass(frozen=True, slots=True)
class EventPage:
    """The event page. `starts` holds each window's first second as text, `length` the last bell; `judged`: marks exist."""

    rows: EventForm
    movements: tuple[Choice, ...]
    tasks: tuple[Choice, ...]
    who: tuple[Choice, ...]
    holding: tuple[Choice, ...]
    starts: tuple[str, ...]
    length: str
    judged: bool
    units: tuple[Choice, ...] = ()
    kinds: tuple[Choice, ...] = ()
    keeps: tuple[Choice, ...] = ()
    counts: tuple[Choice, ...] = ()
    measures: tuple[Choice, ...] = ()
    score_units: tuple[Choice, ...] = ()
    better: tuple[Choice, ...] = ()
    roundings: tuple[Choice, ...] = ()
    takes: tuple[Choice, ...] = ()


def event_page(hall: Hall, form: EventForm, key: str) -> EventPage:
    """The page for a form as it stands."""
    members = int(form.members) if form.members.isascii() and form.members.isdigit() and len(form.members) < 3 else 1
    people = _people(min(members, MOST_MEMBERS))
    used = {row.who for row in form.windows} | {row.holding for row in form.windows}
    known = {"", "all", "any"} | {choice.value for choice in people}
    people += tuple(Choice(value, _letters(value)) for value in sorted(used - known))
    starts, length = _times(form)
    return EventPage(
        rows=form,
        movements=tuple(Choice(row.key, row.name or f"Movement {n}") for n, row in enumerate(form.movements, 1)),
        tasks=tuple(Choice(row.key, row.name or f"Task {n}") for n, row in enumerate(form.tasks, 1)),
        who=(Choice("all", "All together"), Choice("any", "Any, shared as they like"), *people),
        holding=(Choice("", "Nobody"), *people),
        starts=starts,
        length=length,
        judged=bool(key) and has_marks(hall, key),
        units=_choices(UNITS),
        kinds=_choices(KINDS),
        keeps=_choices(KEEPS),
        counts=_choices(COUNTS),
        measures=_choices(MEASURES),
        score_units=_choices(SCORE_UNITS),
        better=_choices(BETTER),
        roundings=_choices(ROUNDINGS),
        takes=_choices(TAKES),
    )


def _choices(words: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, text) for value, text in words.items())


def _people(members: int) -> tuple[Choice, ...]:
    """Each member alone and, in a small entry, each company of some of them."""
    most = members - 1 if members <= MOST_SUBSETS_OF else 1
    numbers = range(1, members + 1)
    values = ["+".join(map(str, some)) for size in range(1, max(most, 1) + 1) for some in combinations(numbers, size)]
    return tuple(Choice(value, _letters(value)) for value in values)


def _letters(value: str) -> str:
    numbers = [int(part) for part in value.split("+") if part.isdigit()]
    return " and ".join(LETTERS[number - 1] for number in numbers if 1 <= number <= len(LETTERS)) or value


def _times(form: EventForm) -> tuple[tuple[str, ...], str]:
    """Each window's start as far as it can be read, and the last bell."""
    starts, after, last = [], 0, 0
    for row in form.windows:
        start = _seconds(row.start) if row.start else after
        length = _seconds(row.length)
        starts.append(minutes_seconds(start) if start is not None else "?")
        after = (start or 0) + (length or 0)
        last = max(last, after)
    return tuple(starts), minutes_seconds(last)


def _seconds(text: str) -> int | None:
    found = MINUTES_SECONDS.fullmatch(text)
    return int(found[1] or 0) * 3600 + int(found[2]) * 60 + int(found[3]) if found else None
