"""The views of the pages on which sheets are compared: frozen values, every number already a text or a place in a drawing."""

from dataclasses import dataclass
from fractions import Fraction

from app.hall.pictures import Picture
from app.rules.agree.agreement import Limits


@dataclass(frozen=True, slots=True)
class Figure:
    """One number in words: what it is, the number, what it says."""

    name: str
    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Choice:
    """A sheet that can be compared, for a choice of two."""

    kind: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Stroke:
    """One mark in a drawing: where it stands, and its shape (good, refused)."""

    id: str
    x: float
    shape: str
    at: int
    says: str


@dataclass(frozen=True, slots=True)
class Tie:
    """A line from a mark of one sheet to that of the other; `differs` where their verdicts do."""

    x1: float
    x2: float
    differs: bool


@dataclass(frozen=True, slots=True)
class Tick:
    """A time on the strip's ruler."""

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class StripView:
    """Two sheets as two tracks in time, to scale; widths and places in units of the drawing."""

    width: int
    first: tuple[Stroke, ...]
    second: tuple[Stroke, ...]
    ties: tuple[Tie, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class WindowView:
    """One window on two sheets: its name, both counts as texts, in words whether they differ, and the two tracks."""

    index: int
    title: str
    first: str
    second: str
    differs: bool
    state: str
    start_ms: int
    strip: StripView


@dataclass(frozen=True, slots=True)
class DisputeView:
    """One disputed thing: when (for people), the same on the heat clock and since GO by a clock that never stood, and what."""

    time: str
    at: int
    since_ms: int
    window: int
    where: str
    words: str
    marks: str


@dataclass(frozen=True, slots=True)
class CompareView:
    """Two sheets of one lane compared."""

    assignment: str
    entry: str
    where: str
    judge: str
    first: str
    second: str
    firsts: tuple[Choice, ...]
    seconds: tuple[Choice, ...]
    within: str
    wrong: str
    figures: tuple[Figure, ...]
    windows: tuple[WindowView, ...]
    disputes: tuple[DisputeView, ...]
    film: str
    film_go: str
    video_link: str
    stands: str
    rule_link: str


@dataclass(frozen=True, slots=True)
class LaneLine:
    """One lane that was judged more than once."""

    entry: str
    where: str
    judge: str
    counts: str
    apart: str
    differs: bool
    link: str
    video_link: str


@dataclass(frozen=True, slots=True)
class CompareIndex:
    """All lanes that were judged more than once, and those that could be judged from a film."""

    lanes: tuple[LaneLine, ...]
    others: tuple[LaneLine, ...]
    all_judges: Figure | None


@dataclass(frozen=True, slots=True)
class JudgeMeasured:
    """A judge as compared with whoever judged the same: on how many sheets, the share of things judged alike (0 to 1), agreement
    beyond chance, bias and limits; None where that can't be told."""

    name: str
    sheets: int
    share: Fraction
    kappa: Fraction | None
    limits: Limits | None


@dataclass(frozen=True, slots=True)
class JudgeLine:
    """The same as texts, and where the judge's own page is."""

    name: str
    link: str
    sheets: str
    share: str
    bias: str
    limits: str
    kappa: str


@dataclass(frozen=True, slots=True)
class JudgesView:
    """All judges who were compared with anybody: as pictures, and line by line."""

    pictures: tuple[Picture, ...]
    lines: tuple[JudgeLine, ...]


@dataclass(frozen=True, slots=True)
class PlotPoint:
    """One point of a plot."""

    x: float
    y: float
    says: str


@dataclass(frozen=True, slots=True)
class PlotLine:
    """A level of a plot, with its words. kind: bias, limit or zero."""

    y: float
    words: str
    kind: str


@dataclass(frozen=True, slots=True)
class Plot:
    """Differences against means, as places in a drawing of this size."""

    width: int
    height: int
    points: tuple[PlotPoint, ...]
    lines: tuple[PlotLine, ...]
    across: tuple[Tick, ...]
    up: tuple[PlotLine, ...]


@dataclass(frozen=True, slots=True)
class JudgeSheetLine:
    """One window that a judge and somebody else counted."""

    where: str
    window: str
    own: str
    other: str
    apart: str
    link: str


@dataclass(frozen=True, slots=True)
class JudgeView:
    """One judge over many sheets."""

    name: str
    figures: tuple[Figure, ...]
    correlations: tuple[Figure, ...]
    plot: Plot | None
    lines: tuple[JudgeSheetLine, ...]
