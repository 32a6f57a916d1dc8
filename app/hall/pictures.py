"""Pictures of numbers as frozen values that a template places: bars, lines, dots over a ruler, and the table of the same numbers.

Places across are parts of the whole width, so that a picture fits a wall, a phone and a sheet, and its words keep their size.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal

from app.rules.values.words import say

# Of the colours with a meaning: now, act, look. The rest is ink: plain for what is, outline for what was to be; a number tells
# things apart that lie side by side (see the timeline's tones in tokens.css).
Tone = Literal["plain", "outline", "now", "act", "look", "break", "1", "2", "3", "4"]
Shape = Literal["disc", "ring", "cross"]
Value = int | Fraction

MOST_TICKS = 6  # as many as a phone's width has room for
ROW = 16  # px: a row of bars
PLOT = 200  # px: a plot of its own
SMALL_PLOT = 72  # px: one of many that are looked at together
TONES: tuple[Tone, ...] = ("1", "2", "3", "4")


@dataclass(frozen=True, slots=True)
class Scale:
    """A ruler from `low` to `high`: across in parts of the width, up in px of a panel's height."""

    low: Value
    high: Value

    def part(self, value: Value) -> Fraction:
        """How far along a value lies, 0 to 1; what lies outside is put at the edge."""
        whole = Fraction(self.high - self.low)
        return min(Fraction(1), max(Fraction(0), Fraction(value - self.low) / whole)) if whole else Fraction(0)

    def across(self, value: Value) -> str:
        """The place of a value from the left, such as `12.5%`."""
        return f"{float(self.part(value) * 100):.2f}%"

    def wide(self, start: Value, end: Value) -> str:
        """How wide the stretch between two values is."""
        return f"{float((self.part(end) - self.part(start)) * 100):.2f}%"

    def up(self, value: Value, height: int) -> float:
        """The place of a value from the top, in px."""
        return round(float((1 - self.part(value)) * height), 2)


@dataclass(frozen=True, slots=True)
class Tick:
    """A value on a ruler, in words; `x` from the left."""

    x: str
    words: str


@dataclass(frozen=True, slots=True)
class Level:
    """A value on a ruler that goes up, in words; `y` from the top in px. `zero`: the level from which others are measured."""

    y: float
    words: str
    zero: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """A stretch: from the left and how wide, from the top and how high in px; `label` stands in it where there is room."""

    x: str
    width: str
    y: float
    height: float
    tone: Tone
    words: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    x1: str
    y1: float
    x2: str
    y2: float
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True)
class Dot:
    """A single thing, of a shape."""

    x: str
    y: float
    shape: Shape
    tone: Tone = "plain"
    words: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """One row or plot over the ruler: what it is of and its sum, in words; height in px; what is drawn."""

    name: str
    figure: str
    height: int
    bars: tuple[Bar, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    dots: tuple[Dot, ...] = ()
    levels: tuple[Level, ...] = ()


@dataclass(frozen=True, slots=True)
class Key:
    """What a tone or a shape means."""

    words: str
    tone: Tone
    shape: Shape | Literal["bar", "line"] = "bar"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table; `number`: it holds numbers."""

    name: str
    number: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture with its sentence (what is to be seen), its rulers with their units, its key, and the same numbers as a table.

    `broad`: it holds more than a phone's width shows, and is moved sideways there.
    """

    name: str
    title: str
    says: str
    across: str
    panels: tuple[Panel, ...]
    ticks: tuple[Tick, ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    up: str = ""
    keys: tuple[Key, ...] = ()
    broad: bool = False


def round_values(low: Value, high: Value, most: int = MOST_TICKS) -> list[Fraction]:
    """Two to `most` round numbers that span two values."""
    if low == high:
        low, high = low - 1, high + 1
    for step in _steps():
        first, last = floor(low / step), -floor(-high / step)
        if last - first < most:
            return [step * n for n in range(first, last + 1)]
    raise ValueError(f"{low} to {high} is beyond every ruler.")


def _steps() -> list[Fraction]:
    """1, 2, 5, 10, 20, 50 … and below one a half, for scales."""
    return [Fraction(1, 2), *(Fraction(digit * 10**power) for power in range(12) for digit in (1, 2, 5))]


def stepped(low: int, high: int, steps: Sequence[int], most: int = MOST_TICKS) -> list[int]:
    """Whole numbers that span two values, apart by the least of some steps that needs no more than `most` of them."""
    for step in steps:
        first, last = low // step, -(-high // step)
        if last - first < most:
            return [step * n for n in range(first, max(last, first + 1) + 1)]
    first, last = low // steps[-1], -(-high // steps[-1])
    every = -(-(last - first) // (most - 1))
    return [steps[-1] * n for n in range(first, last + every, every)]


def and_more(names: Sequence[str]) -> str:
    """Several of whom the same is said, in few words: the first, and how many more."""
    return names[0] if len(names) == 1 else say("{name} and {n} more", name=names[0], n=len(names) - 1)
