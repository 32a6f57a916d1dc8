"""Markings: the wall line of each athlete, the floor box, the space for a rope and a bar, the footprint of a lane.

All lengths are exact. The sizes are the event's own: what its movements ask for is known, how large it is somebody has to say.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from pydantic import Field

from app.rules.records.marks import Mark
from app.rules.records.measuring import Measuring, Protocol, protocol
from app.rules.values.lengths import ExactLength, Length, Span, both_lengths, tape_text
from app.rules.values.shapes import Base
from app.rules.values.units import decimal_text
from app.rules.workout.equipment import library_key, needed_things
from app.rules.workout.formats import Format, Movement
from app.rules.workout.movement_library import CLIMBING_ROPE, ROPE, TAPE
from app.rules.workout.tasks import movements_of

HEIGHT = Span("a height", 1200, 2300)
REACH = Span("a reach to the wrists", 1200, 2800)

# Stature of United States adults, 19 to 65 years: men 1755 mm (standard deviation 71), women 1625 mm (64): Pheasant, Bodyspace
# (1996), dimension 1. What lies more than four deviations below the women's mean or five above the men's asks once.
USUAL_HEIGHT = Span("a usual height", 1625 - 4 * 64, 1755 + 5 * 71)
# Standing vertical grip reach over stature, same table: men 81.9 of 69.1 in, women 75.8 of 64.0 in, so 1.185; there, too, a
# fingertip lies 60 % of the hand's length beyond the grip. The wrist is the other 40 % below it; a hand is 0.108 of stature
# (from memory: Drillis and Contini, 1966). So a wrist is at 1.142 of stature. The width of a tenth to each side is ours.
WRIST_OF_HEIGHT = Fraction(1142, 1000)
WRIST_SPREAD = Fraction(1, 10)


class Markings(Base):
    """What is marked for an event, and how large. `wall`, `rope`, `bar`: whether there is such a line or space.

    A size is the event's own: nobody has said it yet while it is None, and none is usual. The wall line is the mark at the
    wrists, standing, arms straight up, less `drop`. `tolerance`: by how much two measurements may differ. `gap`: kept free around
    every space and between lanes. `measuring`: how a wall line is measured. Units of the sizes are their own; `unit` is the
    tape's.
    """

    unit: Literal["in", "cm"] = "cm"
    wall: bool = False
    drop: ExactLength | None = None
    tolerance: ExactLength | None = None
    box_width: ExactLength | None = None
    box_depth: ExactLength | None = None
    rope: bool = False
    rope_width: ExactLength | None = None
    rope_depth: ExactLength | None = None
    bar: bool = False
    bar_width: ExactLength | None = None
    bar_depth: ExactLength | None = None
    gap: ExactLength | None = None
    measuring: Measuring = Measuring()


@dataclass(frozen=True, slots=True)
class Size:
    """A size that an event says: its field in Markings, what it is called, what it is for, and whether the event can be run
    without it once what it belongs to is marked."""

    name: str
    label: str
    hint: str
    needed: bool = False


SIZES: Mapping[str, tuple[Size, ...]] = {
    "wall": (
        Size(
            "drop",
            "From the wrists down to the line",
            "So each athlete's own line is found; arms straight up.",
            True,
        ),
        Size("tolerance", "Two measurements may differ by", "A judge who measures more than that calls the head judge.", True),
        Size("box_width", "Floor box, along the wall", "Where the hands have to stay; 0 for no box.", True),
        Size("box_depth", "Floor box, out from the wall", "From the wall itself; 0 for no box.", True),
    ),
    "rope": (
        Size("rope_width", "Rope space, along the wall", "Free floor for the turning rope, to the sides."),
        Size("rope_depth", "Rope space, out from the wall", "The same, to the front and the back."),
    ),
    "bar": (
        Size("bar_width", "Bar space, along the wall", "The bar with its plates, and room to load them."),
        Size("bar_depth", "Bar space, out from the wall", "Room to step back, and to let the bar fall."),
    ),
    "": (Size("gap", "Kept free around every space", "Between a lane and the next as well. Empty for nothing."),),
}


def unsaid(markings: Markings, only_needed: bool = False) -> tuple[Size, ...]:
    """The sizes of what is marked that nobody has said; `only_needed`: those without which the event can't be run."""
    asked = (size for what, sizes in SIZES.items() if what and getattr(markings, what) for size in sizes)
    return tuple(size for size in asked if getattr(markings, size.name) is None and (size.needed or not only_needed))


def unsaid_words(sizes: Sequence[Size]) -> str:
    """Sizes in the middle of a sentence: `floor box, along the wall; floor box, out from the wall`."""
    return "; ".join(size.label[:1].lower() + size.label[1:] for size in sizes)


class BodyMeasure(Base):
    """The height of an athlete's wrists above the floor, standing, arms straight up: what the wall line is made from."""

    athlete: str = Field(pattern=r"^[A-Za-z0-9_-]{1,40}$")
    reach: ExactLength


@dataclass(frozen=True, slots=True)
class Space:
    """A rectangle on a lane's floor, in millimetres: x from the lane's left edge, y from the wall."""

    key: str
    name: str
    x: Fraction
    y: Fraction
    width: Fraction
    depth: Fraction


@dataclass(frozen=True, slots=True)
class Footprint:
    """A lane's floor from the wall out, in millimetres, and the spaces on it."""

    width: Fraction
    depth: Fraction
    spaces: tuple[Space, ...]


# By what a movement of the library needs; one that nobody has described may say it in its name.
NEEDS = {"wall": {TAPE}, "rope": {ROPE, CLIMBING_ROPE}}
WORDS = {"wall": ("inverted", "handstand", "wall press"), "rope": ("rope", "skip", "under")}


def asked_markings(format: Format) -> Markings | None:
    """What the movements and tasks of an event ask to be marked, all its sizes unsaid; None when that is nothing."""
    wall, rope = (any(_asks(what, key, movement) for key, movement in format.movements.items()) for what in ("wall", "rope"))
    bar = any(task.kind == "lift" for task in format.tasks.values())
    if not (wall or rope):
        return None
    return Markings(unit="in" if format.unit == "lb" else "cm", wall=wall, rope=rope, bar=bar)


def _asks(what: str, key: str, movement: Movement) -> bool:
    if library_key(key, movement):
        return not NEEDS[what].isdisjoint(needed_things(key, movement))
    return any(word in f"{key} {movement.name}".casefold() for word in WORDS[what])


def wall_line(reach: Length, drop: Length) -> Fraction:
    """The height of the wall line above the floor, in millimetres: the mark at the wrists less the event's drop."""
    return reach.mm - drop.mm


def footprint(markings: Markings) -> Footprint:
    """A lane's floor: the box at the wall, then the space for a rope, then for a bar, each in the middle of the widest, with
    the gap between them and to every side. Millimetres. A space whose size nobody has said is not there."""
    sizes = [("box", "Floor box", markings.box_width, markings.box_depth, markings.wall)]
    sizes += [("rope", "Rope", markings.rope_width, markings.rope_depth, markings.rope)]
    sizes += [("bar", "Bar", markings.bar_width, markings.bar_depth, markings.bar)]
    used = [(key, name, mm_of(width), mm_of(depth)) for key, name, width, depth, there in sizes if there]
    used = [size for size in used if size[2] and size[3]]
    gap = mm_of(markings.gap)
    full = max((width for _, _, width, _ in used), default=Fraction(0)) + 2 * gap
    y, spaces = Fraction(0), []
    for key, name, width, depth in used:
        start = y if key == "box" else y + gap  # the box lies at the wall itself
        spaces.append(Space(key, name, (full - width) / 2, start, width, depth))
        y = start + depth
    return Footprint(full, y + gap, tuple(spaces))


def hall_width(markings: Markings, lanes: int) -> Fraction:
    """How wide so many lanes are side by side, in millimetres: neighbours share the gap between them."""
    one, gap = footprint(markings), mm_of(markings.gap)
    return lanes * (one.width - gap) + gap if lanes else Fraction(0)


def mm_of(size: Length | None) -> Fraction:
    """A size in millimetres; nothing for one that nobody has said."""
    return Fraction(0) if size is None else size.mm


def odd_height(height: Length) -> str:
    """Why a height is asked about once, or nothing."""
    if USUAL_HEIGHT.holds(height.mm):
        return ""
    return f"{both_lengths(height.mm, 'cm')} is an unusual height for an adult. Is it right?"


def odd_reach(reach: Length, height: Length | None) -> str:
    """Why a reach is asked about once: it can hardly belong to that height, or, with no height known, to any; or nothing."""
    low, high = (WRIST_OF_HEIGHT + side * WRIST_SPREAD for side in (-1, 1))
    if height is not None:
        if low * height.mm <= reach.mm <= high * height.mm:
            return ""
        lowest, highest = (decimal_text(part * height.mm / 10, 0) for part in (low, high))
        said = f"With a height of {both_lengths(height.mm, 'cm')} the wrists are between {lowest} and {highest} cm"
        return f"{said}, arms straight up; not at {both_lengths(reach.mm, 'cm')}. Is it right?"
    if low * USUAL_HEIGHT.low <= reach.mm <= high * USUAL_HEIGHT.high:
        return ""
    return f"{both_lengths(reach.mm, 'cm')} is an unusual height for an adult's wrists, arms straight up. Is it right?"


def differ(one: Fraction, other: Fraction, tolerance: Fraction) -> bool:
    """Whether two measurements of one line differ by more than the tolerance, all in millimetres. At the tolerance they
    agree."""
    return abs(one - other) > tolerance


def line_text(markings: Markings, reach: Length) -> str | None:
    """The wall line as a person reads it off a tape: `79 in (200.7 cm)`; None while nobody has said the drop."""
    return None if markings.drop is None else tape_text(wall_line(reach, markings.drop), markings.unit)


def protocol_of(markings: Markings | None) -> Protocol | None:
    """How the wall line of an event is measured; None for an event without one."""
    if markings is None or not markings.wall:
        return None
    return protocol(markings.measuring, markings.unit, markings.drop, markings.tolerance)


def measured(measures: Sequence[BodyMeasure]) -> dict[str, Length]:
    """The reaches by athlete."""
    return {one.athlete: one.reach for one in measures}


def wall_tasks(format: Format) -> tuple[str, ...]:
    """The tasks that are done at the wall line: those whose movements say so; all of them where none does."""
    at_wall = {key for key, movement in format.movements.items() if _asks("wall", key, movement)}
    named = tuple(key for key, task in format.tasks.items() if at_wall & set(movements_of(task)))
    return named or tuple(format.tasks)


def measured_again(marks: Iterable[Mark]) -> dict[tuple[int, str], Length]:
    """What was measured again on a lane, by member (1 is A) and what: the newest of each that was not struck out."""
    standing = list(marks)
    struck = {str(mark.body["mark"]) for mark in standing if mark.kind == "strike"}
    again = sorted((mark for mark in standing if mark.kind == "remeasure" and mark.id not in struck), key=lambda mark: mark.order)
    return {
        (int(mark.body.get("member", 1)), str(mark.body["what"])): Length(str(mark.body["value"]), mark.body["unit"])
        for mark in again
    }
