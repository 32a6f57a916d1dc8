"""What the composer shows while a form changes: the strip, the event in words, and what to look at, each beside its place."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.compose.event_differs import Differs, differs
from app.compose.event_plain import Told, told
from app.compose.event_reading import read_event
from app.compose.event_rows import EventForm
from app.compose.event_strip import Strip, strip_of
from app.hall.forms import BadForm, Problem
from app.rules.workout.advice import Advice, advice
from app.rules.workout.formats import Format, Movement
from app.rules.workout.movements import library, lookup
from app.rules.workout.tasks import movements_of

ZOOMS = ("1", "2", "4", "8")


@dataclass(frozen=True, slots=True)
class Note:
    """A warning: the id of the place it points to on the page (`window-2`), that place in words, the sentence."""

    at: str
    place: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Look:
    """`told` is None while the form is no event yet; then `problems` say why."""

    strip: Strip
    told: Told | None
    notes: tuple[Note, ...]
    problems: tuple[Problem, ...]
    differs: tuple[Differs, ...]

    def set_otherwise(self, at: str) -> str:
        """What is set otherwise than in a new row behind a line, by its id."""
        return next((one.words for one in self.differs if one.at == at), "")

    def flagged(self, window: int) -> bool:
        """Whether a warning points to a window."""
        return any(note.at == f"window-{window}" for note in self.notes)


def look(form: EventForm, known: Format | None = None, zoom: str = "") -> Look:
    """What a form shows as it stands, its strip so many times wider than the page; nothing is stored."""
    strip = strip_of(form, room=True, zoom=int(zoom) if zoom in ZOOMS else 1)
    try:
        _, format = read_event(form, known)
    except BadForm as bad:
        return Look(strip, None, (), bad.problems, differs(form))
    return Look(strip, told(format), notes(format), (), differs(form))


def notes(format: Format) -> tuple[Note, ...]:
    """The rule book's warnings about a format, each with its place on the page, and movements whose standards are not theirs."""
    return (*(_note(format, one) for one in advice(format)), *_standards(format))


def _standards(format: Format) -> Iterator[Note]:
    """Movements that nobody has described, perhaps by a slip of the finger, and such as have the standards of another."""
    used = {key for task in format.tasks.values() for key in movements_of(task)}
    for key, movement in format.movements.items():
        if key in used and (sentence := _lacks(movement)):
            yield Note("movements", "Movements", sentence)


def _lacks(movement: Movement) -> str:
    described = library().described.get(movement.library or "")
    if described is not None and described.from_memory and described.signals[0] in movement.standards:
        return f"What referees call of “{movement.name}” is from memory, for no text was read that says it. Check your rules."
    if not movement.standards:
        known = "" if movement.library or lookup(movement.name).key else "is not in the library and "
        return f"“{movement.name}” {known}has no standards. Say what makes a repetition count."
    begun = library().movements.get(movement.library or "")
    called = lookup(movement.name).key or lookup(movement.name.partition(", ")[0]).key
    if begun is None or called == movement.library or movement.standards[-len(begun.standards) :] != begun.standards:
        return ""
    return f"“{movement.name}” has the standards of {begun.name}, word for word. Check that they are right here."


def _note(format: Format, one: Advice) -> Note:
    kind, _, what = one.where.partition(" ")
    if kind == "window":
        return Note(f"window-{int(what) - 1}", f"Window {what}", one.sentence)
    if kind == "task" and what in format.tasks:
        return Note(f"task-{list(format.tasks).index(what)}", f"Task {what.replace('_', ' ')}", one.sentence)
    return Note("windows" if kind == "windows" else "scores", "Windows" if kind == "windows" else "Scores", one.sentence)
