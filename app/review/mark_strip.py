"""The marks around a moment as a strip that a template can draw: one track for each sheet, one shape for each kind of mark."""

import re
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from app.hall.forms import lower_first
from app.hall.hall import Hall
from app.hall.lane_rows import mark_text
from app.live.projection import Place
from app.rules.count.tally import Tally
from app.rules.records.kinds import ROWS, Kind, Shape
from app.rules.records.marks import Mark, SheetKey
from app.rules.records.platforms import sheet_row
from app.rules.records.seats import SHEET_KINDS
from app.rules.values.clock_times import clock_text
from app.rules.workout.formats import Format

WIDTH = 1000  # units across; the drawing scales
ROOM_MS = 10_000  # shown before and after the marks that are spoken of
LEAST_MS = 20_000
MOST_MS = 180_000
TICKS_MS = (1_000, 2_000, 5_000, 10_000, 15_000, 30_000, 60_000)
MOST_TICKS = 9
HOLES = re.compile(r"\{\w+\}")  # of a kind's word
LETTER = 9  # units across of a letter of a label, more than the widest alphabet takes at its size


@dataclass(frozen=True, slots=True)
class Dot:
    """A mark on a track: where (0 to WIDTH), its shape, its words; whether it is spoken of, and whether it was taken back, which
    its words say, too."""

    x: int
    shape: Shape
    words: str
    spoken_of: bool
    struck: bool


@dataclass(frozen=True, slots=True)
class Track:
    """One sheet's marks."""

    name: str
    dots: tuple[Dot, ...]


Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Tick:
    """A moment of the heat clock."""

    x: int
    words: str


@dataclass(frozen=True, slots=True)
class Edge:
    """Where windows open or close. `label`: what is written at it, nothing where the one before leaves no room; `anchor`: which
    part of the label stands at the line."""

    x: int
    words: str
    label: str
    anchor: Anchor


@dataclass(frozen=True, slots=True)
class Strip:
    """A stretch of the heat: its span in words, its tracks, its ticks, the windows' edges. `key` explains the signs that are
    drawn, and no others. `lines` says the judge's marks in words, for those who hear the page."""

    span: str
    tracks: tuple[Track, ...]
    ticks: tuple[Tick, ...]
    edges: tuple[Edge, ...]
    key: tuple[str, ...]
    lines: tuple[str, ...]


def strip(hall: Hall, place: Place, run: int, spoken_of: Sequence[str], at: int | None, window: int | None) -> Strip | None:
    """The marks of all sheets of a run around those that are spoken of, else around a moment, else of a window; None for none."""
    sheets = {kind: SheetKey(place.assignment.id, run, kind).text() for kind in SHEET_KINDS}
    marks = {kind: hall.projection.sheet_marks(key) for kind, key in sheets.items()}
    shown = {kind: found for kind, found in marks.items() if found}
    if not shown:
        return None
    start, end = _span(place, [mark for found in shown.values() for mark in found], spoken_of, at, window)
    tallies = {kind: hall.projection.sheet_tally(sheets[kind]) for kind in shown}
    tracks = tuple(
        Track(sheet_row(kind, place.format).short, tuple(_dots(place.format, found, tallies[kind], set(spoken_of), start, end)))
        for kind, found in shown.items()
    )
    first, own = next(iter(shown.items()))
    words = [_words(place.format, mark, tallies[first]) for mark in own if start <= mark.at <= end]
    edges = tuple(_edges(place, start, end))
    others = {mark.kind for found in shown.values() for mark in _drawn(found, start, end) if _shape(mark) == "other"}
    return Strip(
        span=_span_text(start, end),
        tracks=tracks,
        ticks=tuple(_ticks(start, end)),
        edges=edges,
        key=tuple(_key([dot for track in tracks for dot in track.dots], others, edges)),
        lines=tuple(words),
    )


def _span_text(start: int, end: int) -> str:
    """`6:54 to 7:14 after GO`, `0:10 before GO to 2:50 after it`."""
    if start >= 0:
        return f"{clock_text(start)} to {clock_text(end)} after GO"
    until = f"{clock_text(end)} after it" if end > 0 else "GO" if end == 0 else f"{clock_text(-end)} before it"
    return f"{clock_text(-start)} before GO to {until}"


def _clock(ms: int) -> str:
    return clock_text(ms) if ms >= 0 else f"-{clock_text(-ms)}"


def _span(place: Place, marks: Sequence[Mark], spoken_of: Sequence[str], at: int | None, window: int | None) -> tuple[int, int]:
    named = [mark.at for mark in marks if mark.id in set(spoken_of)]
    if named:
        first, last = min(named), max(named)
    elif at is not None:
        first, last = at, at + LEAST_MS
    elif window is not None and window < len(place.format.windows):
        first, last = place.format.windows[window].start_ms, place.format.windows[window].end_ms
    else:
        first, last = min(mark.at for mark in marks), max(mark.at for mark in marks)
    start, end = first - ROOM_MS, max(last + ROOM_MS, first - ROOM_MS + LEAST_MS)
    return start, min(end, start + MOST_MS)


def _x(at: int, start: int, end: int) -> int:
    return round((at - start) * WIDTH / (end - start))


def _drawn(marks: Iterable[Mark], start: int, end: int) -> Iterable[Mark]:
    return (mark for mark in marks if start <= mark.at <= end and mark.kind != "strike")


def _dots(format: Format, marks: Iterable[Mark], tally: Tally, spoken_of: set[str], start: int, end: int) -> Iterable[Dot]:
    for mark in _drawn(marks, start, end):
        spoken, struck = mark.id in spoken_of, mark.id in tally.struck
        yield Dot(_x(mark.at, start, end), _shape(mark), _words(format, mark, tally), spoken, struck)


# What each shape is called in the key beside the drawing, in the order in which it is told.
SIGNS: Mapping[Shape, str] = {
    "rep": "Stroke: repetition",
    "norep": "Cross: no rep",
    "bad": "Cross: no lift",
    "good": "Tick: good lift or finish",
    "declare": "Square: declared load",
}


def _key(dots: Sequence[Dot], others: Set[Kind], edges: Sequence[Edge]) -> Iterable[str]:
    """What the signs mean that are drawn; `others`: the kinds of mark that have no sign of their own."""
    drawn = {dot.shape for dot in dots}
    yield from (words for shape, words in SIGNS.items() if shape in drawn)
    if others:
        named = (lower_first(HOLES.sub("", row.word).strip()) for kind, row in ROWS.items() if kind in others)
        yield f"Small ring: {', '.join(named)}"
    if any(dot.struck for dot in dots):
        yield "Struck through: taken back"
    if any(dot.spoken_of for dot in dots):
        yield "Circled: what this is about"
    if any(not edge.label for edge in edges):
        yield "Thick line: a window opens or closes"


def _words(format: Format, mark: Mark, tally: Tally) -> str:
    return f"{mark_text(format, mark)}{', taken back' if mark.id in tally.struck else ''}"


def _shape(mark: Mark) -> Shape:
    if mark.kind == "lift":
        return "good" if mark.body["good"] else "bad"
    return ROWS[mark.kind].shape


def _ticks(start: int, end: int) -> Iterable[Tick]:
    step = next((step for step in TICKS_MS if (end - start) / step <= MOST_TICKS), TICKS_MS[-1])
    return (Tick(_x(at, start, end), _clock(at)) for at in range(-(-start // step) * step, end + 1, step))


def _edges(place: Place, start: int, end: int) -> Iterable[Edge]:
    """The moments at which windows of work open or close, each written at its line where there is room."""
    moments: dict[int, list[str]] = {}
    for index, window in enumerate(place.format.windows):
        for at, does in ((window.start_ms, "opens"), (window.end_ms, "closes")):
            if window.task is not None and start <= at <= end:
                moments.setdefault(at, []).append(f"Window {index + 1} {does}")
    free = -float(WIDTH)
    for at, said in sorted(moments.items()):
        x, words = _x(at, start, end), _joined(said)
        wide = len(words) * LETTER
        anchor: Anchor = "start" if x < wide / 2 else "end" if x > WIDTH - wide / 2 else "middle"
        left = x - {"start": 0, "middle": wide / 2, "end": wide}[anchor]
        room = left >= free
        free = left + wide + LETTER if room else free
        yield Edge(x, words, words if room else "", anchor)


def _joined(said: Sequence[str]) -> str:
    """Sentences' beginnings as one: `Window 1 closes, window 2 opens`."""
    first, *rest = said
    return ", ".join((first, *map(lower_first, rest)))
