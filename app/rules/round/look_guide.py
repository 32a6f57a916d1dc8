"""What a reviewer looks at on a film, by the event as the kit has it: windows, what makes a repetition count, what to identify.

It follows from the kit alone, so it says nothing of any line.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from app.rules.records.document import CompetitionFile
from app.rules.records.markings import SIZES, Markings
from app.rules.records.roster import Event
from app.rules.round.from_event import event_rule, worked_windows
from app.rules.round.hand_in import runs_as
from app.rules.round.rule import EventRule, Rule
from app.rules.values.lengths import both_lengths
from app.rules.workout.equipment import needed_things
from app.rules.workout.formats import Format
from app.rules.workout.movement_library import BAR
from app.rules.workout.tasks import CountTask, LiftTask
from app.rules.workout.words import window_text

GearKind = Literal["bar", "collar", "plate", "marking"]
# What is identified where there is a bar. A set has more plates than one: another line is a button's press away.
ON_THE_BAR: tuple[tuple[GearKind, str], ...] = (
    ("bar", "The bar: which one, and its weight"),
    ("collar", "The collars: which ones, on both sides"),
    ("plate", "A plate: its weight as it can be read"),
)

# What a film must show, as whoever hands it in ticks it off: what a look goes by. Common practice, no source.
FILM_CHECKS: tuple[tuple[str, str], ...] = (
    ("word", "The film word is shown to the camera first and last, and can be read."),
    ("whole", "The film goes on without a cut from before GO until after the last bell."),
    ("picture", "Whoever is judged is in the picture all the time, with all that is lifted or touched."),
    ("clock", "GO and the bell can be heard, or a running clock is in the picture."),
    ("gear", "Bar, collars and each plate are shown so near that they can be identified."),
    ("markings", "Each marking is measured before the camera."),
)
NOT_MARKED = frozenset({"tolerance"})  # said beside what is marked, and found on no floor


@dataclass(frozen=True, slots=True)
class PartGuide:
    """A part to count. words: its windows, each in a line. start_ms, end_ms: on the heat clock, 0 and 0 where the kit does not
    say. taps: it is counted repetition by repetition."""

    name: str
    of: Literal["window", "lift"]
    words: tuple[str, ...] = ()
    start_ms: int = 0
    end_ms: int = 0
    taps: bool = False


@dataclass(frozen=True, slots=True)
class Guide:
    """What to look at on a film of an event. standards: by movement, what makes a repetition count. gear: of each thing to
    identify or measure its kind, and in words what."""

    parts: tuple[PartGuide, ...]
    standards: tuple[tuple[str, tuple[str, ...]], ...] = ()
    gear: tuple[tuple[GearKind, str], ...] = ()


def guide(rule: EventRule, kit: CompetitionFile | None) -> Guide:
    """The guide to an event of a round. kit: the kit's competition, None where it is not here."""
    event = next((one for one in kit.events if one.id == rule.id), None) if kit else None
    if kit is None or event is None or runs_as(event) != rule.runs_as or len(event_rule(event).parts) != len(rule.parts):
        return Guide(tuple(PartGuide(one.name, one.of) for one in rule.parts))
    format = event.format
    parts = tuple(
        _part(format, one.name, one.of, windows) for one, windows in zip(rule.parts, worked_windows(event), strict=True)
    )
    standards = tuple((movement.name, movement.standards) for movement in format.movements.values() if movement.standards)
    return Guide(parts, standards, tuple(_gear(event, kit.markings.get(event.id))))


def film_checks(rule: Rule, event: EventRule, kit: CompetitionFile | None) -> tuple[tuple[str, str], ...]:
    """What the film of a line must show, each as its key and in words; of what the round or the event has not, nothing."""
    gear = {kind for kind, _ in guide(event, kit).gear}
    asked = {"word": bool(rule.film_word), "gear": bool(gear - {"marking"}), "markings": "marking" in gear}
    return tuple(one for one in FILM_CHECKS if asked.get(one[0], True))


def _part(format: Format, name: str, of: Literal["window", "lift"], indexes: list[int]) -> PartGuide:
    windows = [format.windows[index] for index in indexes]
    taps = len(windows) == 1 and isinstance(format.tasks.get(windows[0].task or ""), CountTask)
    words = tuple(window_text(format, index) for index in indexes)
    return PartGuide(name, of, words, min(one.start_ms for one in windows), max(one.end_ms for one in windows), taps)


def _gear(event: Event, markings: Markings | None) -> Iterator[tuple[GearKind, str]]:
    if _at_a_bar(event.format):
        yield from ON_THE_BAR
    for what, sizes in SIZES.items() if markings else ():
        for size in sizes:
            said = getattr(markings, size.name)
            if said is not None and size.name not in NOT_MARKED and (not what or getattr(markings, what)):
                assert markings is not None, "there are sizes to go through"
                yield "marking", f"{size.label}, measured on the film. In the kit: {both_lengths(said.mm, markings.unit)}"


def _at_a_bar(format: Format) -> bool:
    lifted = any(isinstance(task, LiftTask) for task in format.tasks.values())
    return lifted or any(BAR in needed_things(key, movement) for key, movement in format.movements.items())
