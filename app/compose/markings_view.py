"""Markings drawn to scale, as numbers that a template places: a lane's floor from above, its wall from the front."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from app.rules.records.markings import Markings, footprint, mm_of
from app.rules.values.lengths import eighths, tape_text
from app.rules.values.units import MM_IN, decimal_text

LETTERS = 30  # so many letters' heights make the longer side of a drawing
NARROW = 8  # letters' heights: a narrower space has no room for its size in words
WALL_WIDTH_MM = 900  # of the strip of wall that one line is drawn on
HEAD_ROOM_MM = 250


Anchor = Literal["start", "middle", "end"]
START: Anchor = "start"
MIDDLE: Anchor = "middle"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of a drawing; `kind` names its style."""

    kind: str
    x: str
    y: str
    width: str
    height: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of a drawing."""

    kind: str
    x1: str
    y1: str
    x2: str
    y2: str


@dataclass(frozen=True, slots=True)
class Words:
    """Words on a drawing. `anchor` is where they are held: start, middle, end."""

    kind: str
    x: str
    y: str
    anchor: Anchor
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing to scale: one unit is a millimetre. `title` says it in words, for those who hear the page."""

    view: str
    letter: str
    title: str
    boxes: tuple[Box, ...]
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class WallMark:
    """One athlete's wall line to draw: whose, its height in millimetres."""

    name: str
    mm: Fraction


def num(value: Fraction | int) -> str:
    """A coordinate to a tenth of a millimetre."""
    return decimal_text(Fraction(value), 1)


def short(mm: Fraction, markings: Markings) -> str:
    """A length on the event's tape: `31.5 in`."""
    if markings.unit == "in":
        return f"{eighths(mm)} in"
    return f"{decimal_text(mm / MM_IN[markings.unit], 1)} {markings.unit}"


def floor_drawing(markings: Markings) -> Drawing:
    """A lane's floor from above, the wall at the top, every space with its width and depth."""
    foot = footprint(markings)
    letter = _letter(foot.width, foot.depth)
    boxes = [_box("lane", Fraction(0), Fraction(0), foot.width, foot.depth)]
    words: list[Words] = []
    said = []
    for space in foot.spaces:
        middle, centre = space.x + space.width / 2, space.y + space.depth / 2
        boxes.append(_box(space.key, space.x, space.y, space.width, space.depth))
        size = f"{short(space.width, markings)} × {short(space.depth, markings)}"
        inside = space.width > letter * NARROW  # else the words stand beside it
        at, anchor = (middle, MIDDLE) if inside else (space.x + space.width + letter / 3, START)
        words.append(Words("name", num(at), num(centre - letter / 6), anchor, space.name))
        words.append(Words("size", num(at), num(centre + letter), anchor, size))
        said.append(f"{space.name} {size}")
    words.append(Words("name", num(foot.width / 2), num(-letter / 2), "middle", "Wall"))
    words.append(
        Words(
            "size",
            num(foot.width / 2),
            num(foot.depth + letter * Fraction(5, 4)),
            "middle",
            f"{short(foot.width, markings)} wide",
        )
    )
    words.append(Words("size", num(foot.width + 60), num(foot.depth / 2), "start", short(foot.depth, markings)))
    strokes = (Stroke("wall", num(0), num(0), num(foot.width), num(0)),)
    view = f"{num(-letter / 2)} {num(-2 * letter)} {num(foot.width + 6 * letter)} {num(foot.depth + 4 * letter)}"
    title = f"A lane's floor from above, {tape_text(foot.width, markings.unit)} wide: {', '.join(said)}."
    return Drawing(view, num(letter), title, tuple(boxes), strokes, tuple(words))


def wall_drawing(markings: Markings, marks: Sequence[WallMark]) -> Drawing:
    """The wall from the front, one strip for each athlete, the line at its height above the floor."""
    highest = max((mark.mm for mark in marks), default=Fraction(2000)) + HEAD_ROOM_MM
    width = Fraction(WALL_WIDTH_MM * max(1, len(marks)))
    letter = _letter(width, highest)
    boxes, strokes, words, said = [_box("lane", Fraction(0), Fraction(0), width, highest)], [], [], []
    strokes.append(Stroke("floor", num(-60), num(highest), num(width + 60), num(highest)))
    for number, mark in enumerate(marks):
        left, y = Fraction(WALL_WIDTH_MM * number), highest - mark.mm
        middle = left + Fraction(WALL_WIDTH_MM, 2)
        half = min(mm_of(markings.box_width) or Fraction(WALL_WIDTH_MM), Fraction(WALL_WIDTH_MM - 60)) / 2
        strokes.append(Stroke("line", num(middle - half), num(y), num(middle + half), num(y)))
        strokes.append(Stroke("measure", num(middle), num(y + 20), num(middle), num(highest)))
        height = tape_text(mark.mm, markings.unit)
        words.append(Words("size", num(middle + 30), num(y + mark.mm / 2), "start", short(mark.mm, markings)))
        words.append(Words("name", num(middle), num(highest + letter * Fraction(5, 4)), "middle", _clipped(mark.name)))
        said.append(f"{mark.name} {height}")
    view = f"-80 -20 {num(width + 160)} {num(highest + 2 * letter)}"
    title = f"The wall from the front: {', '.join(said) or 'no line yet'}."
    return Drawing(view, num(letter), title, tuple(boxes), tuple(strokes), tuple(words))


def _clipped(name: str) -> str:
    return name if len(name) <= 16 else name[:15] + "…"


def _box(kind: str, x: Fraction, y: Fraction, width: Fraction, height: Fraction) -> Box:
    return Box(kind, num(x), num(y), num(width), num(height))


def _letter(width: Fraction, height: Fraction) -> Fraction:
    """How high a letter is, so that words are as large on a large drawing as on a small one."""
    return max(width, height) / LETTERS
