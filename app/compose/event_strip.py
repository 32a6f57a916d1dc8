"""The timeline strip: an event drawn to scale, each member a track, each window a bar, as numbers that a template can place.

Drawn from the form's rows, so that a half-finished form has a strip too; rows whose times can't be read are left out.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from app.compose.event_rows import EventForm, TaskRow, WindowRow
from app.hall.forms import MINUTES_SECONDS
from app.rules.values.clock_times import hours_text
from app.rules.values.words import say
from app.rules.workout.formats import MOST_MEMBERS
from app.rules.workout.movements import shown_name
from app.rules.workout.tasks import FASTEST_TAPS
from app.rules.workout.words import member_letter

HOUR = 3600
TICKS = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)
MOST_TICKS = 11
TONES = 4
ROOM = 1.06  # a strip that is edited has some empty time after the last bell to drag into
TRACK, GAP = 34, 6  # pixels
LOW_TRACK, LOW_GAP = 20, 4
Drawn = Literal["full", "sketch", "low"]
LEAST_SCALE = 30  # seconds
FITTING = 105  # letters along the whole strip on a tablet
LEAST_LABEL = 6
REST_MARGIN = 3  # letters; a rest is told by its gap, and half a word beside it only disturbs
ITEM_START = re.compile(r"(?:[A-Z+]+:\s*)?([1-9]\d{0,5})\s*((?:m|km|ft|mi|yd|s|min|:\d\d)\b)?\s*([^@=(]*)")
USUAL_REPS = 20  # what a distance or a time looks like among repetitions
MOST_PIECES = 24
FEW_MEMBERS = 4
LINE = re.compile(r"(?P<reps>\d+) (?P<name>[^=(@\"]+?)(?: = \d+)?(?P<load> @ [^(]+?)?(?: \(.*\))?")


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: a window on a track, or on all of them. `x` and `width` are parts of the whole, as `12.5%`."""

    window: int
    start: int
    seconds: int
    x: str
    width: str
    y: int
    height: int
    kind: str  # work, rest, shared, holding
    tone: int
    label: str
    words: str
    sketch: tuple["Piece", ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a bar in a sketch: the lines of a work list, each as wide as its repetitions are many."""

    x: str
    width: str
    tone: int


@dataclass(frozen=True, slots=True)
class Track:
    """A member's track."""

    name: str
    y: int
    height: int


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the axis; `end` for the last bell, `minor` for one that a narrow screen leaves out."""

    x: str
    words: str
    minor: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """The whole strip. `scale` is how many seconds are drawn; `words` say what it shows to those who hear the page."""

    tracks: tuple[Track, ...]
    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    height: int
    scale: int
    length: str
    end: str
    words: str


@dataclass(frozen=True, slots=True)
class Timed:
    """A window row with its times in seconds."""

    index: int
    row: WindowRow
    start: int
    seconds: int


@dataclass(frozen=True, slots=True)
class _Layout:
    """How tall a track is, and where each begins."""

    members: int
    track: int
    gap: int
    scale: int
    small: bool
    zoom: int

    @property
    def height(self) -> int:
        return self.members * (self.track + self.gap) + self.gap

    def y(self, member: int) -> int:
        return self.gap + (member - 1) * (self.track + self.gap)

    def part(self, seconds: float) -> str:
        return f"{100 * seconds / self.scale:.4g}%"


def strip_of(form: EventForm, room: bool = False, drawn: Drawn = "full", zoom: int = 1) -> Strip:
    """The strip of a form. `room`: with empty time to drag into; `zoom`: how many times wider than the page it is shown.

    A sketch has no words; `low` takes little height.
    """
    small = drawn == "sketch"
    timed = list(timed_windows(form))
    end = max((one.start + one.seconds for one in timed), default=0)
    members = members_of(form)
    track = max(8, 32 // members) if small else LOW_TRACK if drawn == "low" or members > FEW_MEMBERS else TRACK
    scale = max(LEAST_SCALE, int(end * ROOM) + 1 if room else end, 1)
    layout = _Layout(members, track, GAP if drawn == "full" else LOW_GAP, scale, small, zoom)
    tasks = {row.key: (number, row) for number, row in enumerate(form.tasks)}
    bars = tuple(bar for one in timed for bar in _bars(one, layout, tasks, form))
    names = [member_letter(member) if members > 1 else "" for member in range(1, members + 1)]
    tracks = tuple(Track(name, layout.y(member), track) for member, name in enumerate(names, 1))
    work = sum(1 for one in timed if one.row.task)
    windows = say("work_windows", n=work)
    words = say("{windows}, last bell at {time}", windows=windows, time=hours_text(end))
    ticks = () if small else tuple(_ticks(layout, end))
    return Strip(tracks, bars, ticks, layout.height, scale, hours_text(end), layout.part(end), words)


def members_of(form: EventForm) -> int:
    """The members of an entry, as far as they can be read."""
    text = form.members
    return min(MOST_MEMBERS, max(1, int(text))) if text.isascii() and text.isdigit() and len(text) < 3 else 1


def timed_windows(form: EventForm) -> Iterator[Timed]:
    """The windows whose times can be read; one without a start follows the one above."""
    after = 0
    for index, row in enumerate(form.windows):
        start = seconds_of(row.start) if row.start else after
        seconds = seconds_of(row.seconds)
        if start is not None and seconds:
            yield Timed(index, row, start, seconds)
        after = (after if start is None else start) + (seconds or 0)


def seconds_of(text: str) -> int | None:
    """m:ss in seconds, or None."""
    found = MINUTES_SECONDS.fullmatch(text)
    return int(found[1] or 0) * 3600 + int(found[2]) * 60 + int(found[3]) if found else None


def _bars(one: Timed, layout: _Layout, tasks: dict[str, tuple[int, TaskRow]], form: EventForm) -> Iterator[Bar]:
    """A window's bars: one over all tracks for rest and for work together, else one for each member."""
    number, task = tasks.get(one.row.task, (0, None))
    label = say("rest") if task is None else task_words(task, form)
    if task is None or one.row.who in ("all", "any"):
        kind = "rest" if task is None else "shared" if one.row.who == "any" and layout.members > 1 else "work"
        whole = _bar(one, layout, layout.gap, layout.height - 2 * layout.gap, kind, number, label)
        yield _sketched(whole, task) if layout.small and task else whole
    else:
        for member in _members(one.row.who, layout.members):
            yield _bar(one, layout, layout.y(member), layout.track, "work", number, label)
    for member in _members(one.row.holding, layout.members) if task else ():
        yield _bar(one, layout, layout.y(member) + layout.track // 3, layout.track // 3, "holding", number, "")


def _bar(one: Timed, layout: _Layout, y: int, height: int, kind: str, tone: int, label: str) -> Bar:
    span = say("{first} to {last}", first=hours_text(one.start), last=hours_text(one.start + one.seconds))
    who = who_words(one.row.who, layout.members) if kind != "rest" else ""
    doing = f"{label}, {who}" if who else label
    return Bar(
        window=one.index,
        start=one.start,
        seconds=one.seconds,
        x=layout.part(one.start),
        width=layout.part(one.seconds),
        y=y,
        height=height,
        kind=kind,
        tone=tone % TONES,
        label="" if layout.small else _fitting(label, one, layout),
        words=say("Window {number}: {doing}, {span}", number=one.index + 1, doing=doing, span=span),
    )


def _sketched(bar: Bar, task: TaskRow) -> Bar:
    """A bar of a sketch: a work list shows its lines, a target that grows makes its bars grow."""
    if task.kind == "list":
        return replace(bar, sketch=tuple(_pieces(task)))
    if task.kind == "count" and task.text("count-target").isdigit() and _grows(task):
        least = int(bar.height * 0.25)
        height = min(bar.height, least + (bar.window + 1) * 2)
        return replace(bar, y=bar.y + bar.height - height, height=height)
    return bar


def _grows(task: TaskRow) -> bool:
    grows = task.text("count-grows")
    return grows.isdigit() and int(grows) > 0


def _pieces(task: TaskRow) -> Iterator[Piece]:
    found = [ITEM_START.match(line.strip()) for line in task.text("list-items").splitlines()][:MOST_PIECES]
    lines = [(USUAL_REPS if one[2] else int(one[1]), one[3]) for one in found if one]
    names = list(dict.fromkeys(name for _, name in lines))
    total, done = sum(reps for reps, _ in lines), 0
    for reps, name in lines:
        yield Piece(f"{100 * done / total:.4g}%", f"{100 * reps / total:.4g}%", names.index(name) % TONES)
        done += reps


def _fitting(label: str, one: Timed, layout: _Layout) -> str:
    """A label as long as its bar: cut, or for a narrow bar the window's number; nothing where not even that fits."""
    fits = int(one.seconds / layout.scale * FITTING * layout.zoom)
    if len(label) + (0 if one.row.task else REST_MARGIN) <= fits:
        return label
    if fits >= LEAST_LABEL:
        return label[: fits - 1].rstrip(" ,") + "…"
    return str(one.index + 1) if one.row.task and fits >= len(str(one.index + 1)) else ""


def _members(text: str, members: int) -> Sequence[int]:
    return [int(number) for number in re.findall(r"\d{1,2}", text) if 1 <= int(number) <= members]


def who_words(who: str, members: int) -> str:
    """Who works, in words; nothing for a single athlete."""
    if members == 1:
        return ""
    if who in ("all", "any"):
        return say(f"who.{who}")
    return " and ".join(member_letter(member) for member in _members(who, members))


def task_words(task: TaskRow, form: EventForm) -> str:
    """What is done in a task, short: its movement, or the beginning of its list."""
    if task.kind == "list":
        longest = max((one.seconds for one in timed_windows(form) if one.row.task == task.key), default=0)
        lines = [_short(line.strip(), longest) for line in task.text("list-items").splitlines() if line.strip()]
        return ", ".join(lines[:3]) + (" …" if len(lines) > 3 else "") if lines else task.name or say("Work list")
    return next((shown_name(row.name) for row in form.movements if row.key == task.movement and row.name), task.name or "Work")


def _short(line: str, seconds: int) -> str:
    """A line of a list without what it scores and its note, which a bar has no room for, and without a number that nobody comes
    to in so many seconds."""
    found = LINE.fullmatch(line)
    if not found:
        return line
    what = f"{shown_name(found['name'])}{found['load'] or ''}"
    return what if int(found["reps"]) >= seconds * FASTEST_TAPS > 0 else f"{found['reps']} {what}"


def _ticks(layout: _Layout, end: int) -> Iterator[Tick]:
    step = next((step for step in TICKS if layout.scale / step <= MOST_TICKS * layout.zoom), 3600)
    apart = step * (0.6 if end < HOUR else 1)  # with hours in it a time takes more room
    for number, second in enumerate(range(0, layout.scale + 1, step)):
        if abs(second - end) >= apart or second == end:
            close = 0 < end - second < 2 * step  # to the last one, which is always told
            yield Tick(layout.part(second), hours_text(second), close or (number % 2 == 1 and second != end))
    if end % step:
        yield Tick(layout.part(end), hours_text(end))
