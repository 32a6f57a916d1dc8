"""What is so in a hall, known past the app: what the test itself did, what the store's file holds, whether the process lives.

Nothing here asks a page, an answer or a command: these are what the teller (teller.py) holds against it.
"""

import os
import sqlite3
import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

from app.rehearsal.tablet import Outbox
from app.rules.records.marks import Mark

MARKS = "SELECT id, sheet, device, epoch, seq, win, at FROM mark"
NEWEST_GO = "SELECT go_wall_ms, state FROM run ORDER BY number DESC LIMIT 1"


Place = tuple[str, int | None]  # where a mark counts: its sheet and window


@dataclass(frozen=True, slots=True)
class Row:
    """One mark as the store holds it."""

    id: str
    sheet: str
    device: str
    epoch: int
    seq: int
    win: int | None
    at: int

    @property
    def place(self) -> Place:
        """Where it counts."""
        return self.sheet, self.win


@dataclass(frozen=True, slots=True)
class Held:
    """What a store holds: its marks, and the newest GO in milliseconds on the wall, None before one; whether that was stopped."""

    rows: Sequence[Row]
    go_wall_ms: float | None = None
    stopped: bool = False


def in_file(file: Path) -> Held:
    """What an SQLite store holds, whether a server writes to it or lies dead; nothing is changed by looking."""
    with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as store:
        return _held(store.execute(MARKS).fetchall(), store.execute(NEWEST_GO).fetchone())


def held_open(pid: int, name: str) -> Held:
    """The same of a store whose file was removed: it lives on in the process that has it open (proc(5))."""
    with tempfile.TemporaryDirectory() as folder:
        for link in Path(f"/proc/{pid}/fd").iterdir():
            with suppress(FileNotFoundError):  # a line that was closed meanwhile
                called = os.readlink(link).removesuffix(" (deleted)").rpartition("/")[2]
                if called in (name, f"{name}-wal"):
                    (Path(folder) / called).write_bytes(link.read_bytes())
        return in_file(Path(folder) / name)


def on_server(url: str) -> Held:
    """The same of a PostgreSQL store."""
    with psycopg.connect(url.replace("+psycopg", "")) as store:
        return _held(store.execute(MARKS).fetchall(), store.execute(NEWEST_GO).fetchone())


def _held(marks: Sequence[Any], go: Any) -> Held:
    rows = [Row(bytes(raw[0]).hex(), *raw[1:]) for raw in marks]
    return Held(rows) if go is None else Held(rows, float(go[0]), go[1] == "stopped")


@dataclass
class Lane:
    """What is so of one lane and its tablet.

    places: how many marks its judge made, by sheet and window. made: the marks themselves, where the test made them. acked: those
    that the desk has said it stored. cut: its network is gone; cut_wall_ms: since when on the wall, where that matters. open:
    its page is there. gone: marks that no store has any more. refused: those that the desk refused. kept: those that wait on
    the tablet at the end, rightly. unsent: what lay on the tablet alone when its store was wiped, None where it never was.
    error_ms: how wrong its clock was when it was last read.
    """

    places: Counter[Place] = field(default_factory=Counter)
    made: dict[str, Mark] = field(default_factory=dict)
    acked: set[str] = field(default_factory=set)
    cut: bool = False
    cut_wall_ms: float | None = None
    open: bool = True
    paired: bool = True
    gone: int = 0
    refused: int = 0
    kept: int = 0
    unsent: int | None = None
    error_ms: float | None = None

    def tapped(self, times: int, sheet: str, window: int | None = 0) -> None:
        """Its judge tapped so often."""
        self.places[sheet, window] += times

    def told(self, acked: "Acked") -> None:
        """A tablet that the test itself imitates made marks, and was told of some that they are safe."""
        self.made, self.acked = acked.made, acked.safe
        self.places = Counter((mark.sheet, mark.win) for mark in self.made.values())


@dataclass(frozen=True, slots=True)
class Acked:
    """What an imitated tablet has made at a moment, and which of it the desk has said it stored."""

    lane: int
    made: dict[str, Mark]
    safe: set[str]


def acked(outbox: Outbox) -> Acked:
    """What is so of an outbox now."""
    return Acked(outbox.seat.lane, dict(outbox.marks), set(outbox.safe))


@dataclass
class Ground:
    """The hall. holds: what its store does. runs: its process lives and is given time. takes: what is written is stored. whole:
    its file is there, and each row as it was written. backups: how many were made since the server's start. windows: of the heat,
    in milliseconds of its clock. besides: what else the test has set up, by the names in the claims.
    """

    holds: Callable[[], Held]
    lanes: dict[int, Lane] = field(default_factory=dict)
    runs: bool = True
    takes: bool = True
    whole: bool = True
    backups: int = 0
    besides: frozenset[str] = frozenset()
    windows: tuple[tuple[float, float], ...] = ()

    def lane(self, number: int) -> Lane:
        """A lane that somebody judges on; it is there as soon as it is asked for."""
        return self.lanes.setdefault(number, Lane())

    def facts(self, held: Held, number: int, wall_ms: float, shown: int) -> "Facts":
        """What can be held against what was said of a lane at a moment, or of the whole hall (0); the store was read after it."""
        lanes = list(self.lanes.values()) if number == 0 else [self.lanes.get(number, Lane(open=False))]
        places = Counter(row.place for row in held.rows)
        ids = {row.id for row in held.rows} if any(lane.acked for lane in lanes) else set()
        return Facts(
            made=sum(sum(lane.places.values()) for lane in lanes),
            stored=sum(min(count, places[place]) for lane in lanes for place, count in lane.places.items()),
            gone=sum(lane.gone for lane in lanes),
            refused=sum(lane.refused for lane in lanes),
            unsent=None if all(lane.unsent is None for lane in lanes) else sum(lane.unsent or 0 for lane in lanes),
            acked=sum(len(lane.acked) for lane in lanes),
            unkept=sum(len(lane.acked - ids) for lane in lanes),
            strange=sum((places - sum((lane.places for lane in lanes), Counter[Place]())).values()),
            shown=shown,
            open=all(lane.open for lane in lanes),
            cut=any(lane.cut for lane in lanes),
            out_s=max(((wall_ms - lane.cut_wall_ms) / 1000 for lane in lanes if lane.cut and lane.cut_wall_ms), default=0.0),
            paired=all(lane.paired for lane in lanes),
            runs=self.runs,
            takes=self.takes,
            whole=self.whole,
            stopped=held.stopped,
            backups=self.backups,
            besides=self.besides,
            error_ms=max((lane.error_ms for lane in lanes if lane.error_ms is not None), default=None),
            clock=None if held.go_wall_ms is None else wall_ms - held.go_wall_ms,
            windows=self.windows,
        )

    def outcome(self) -> "Outcome":
        """What became of all that was tried."""
        rows = self.holds().rows
        made = sum((lane.places for lane in self.lanes.values()), Counter[Place]())
        known = {mark.id: mark for lane in self.lanes.values() for mark in lane.made.values()}
        there = Counter(row.place for row in {(row.device, row.epoch, row.seq): row for row in rows}.values())
        beyond = sum((there - made).values())
        moved = sum(1 for row in rows if (mark := known.get(row.id)) and (mark.sheet, mark.win, mark.at) != (*row.place, row.at))
        return Outcome(
            tried=made.total(),
            lost=max(0, (made - there).total() - beyond - sum(lane.kept for lane in self.lanes.values())),
            doubled=len(rows) - len({(row.device, row.epoch, row.seq) for row in rows}),
            misplaced=max(beyond, moved),
        )


@dataclass(frozen=True, slots=True)
class Facts:
    """What is so of one lane, or of the hall, at one moment; see Lane and Ground. stored: of what was made. unkept: acknowledged
    and not in the store. strange: in the store where nobody made one. out_s: for how long its network has been gone. shown:
    marks that the tablet's strip counts."""

    made: int
    stored: int
    gone: int
    refused: int
    unsent: int | None
    acked: int
    unkept: int
    strange: int
    shown: int
    open: bool
    cut: bool
    out_s: float
    paired: bool
    runs: bool
    takes: bool
    whole: bool
    stopped: bool
    backups: int
    besides: frozenset[str]
    error_ms: float | None
    clock: float | None
    windows: tuple[tuple[float, float], ...]

    @property
    def reached(self) -> bool:
        """Whether tablet and desk can talk to one another."""
        return self.open and self.runs and self.paired and not self.cut

    @property
    def waiting(self) -> int:
        """Marks that are on the tablet and not in the store."""
        return self.made - self.gone - self.stored

    @property
    def under_way(self) -> bool:
        """Whether a heat's clock runs."""
        return not self.stopped and self.clock is not None and 0 <= self.clock < max((end for _, end in self.windows), default=0)

    def off_by_ms(self, left_ms: float) -> float:
        """How wrong a clock is that says so much is left, to the end of a window or to the next one."""
        clock = self.clock or 0.0
        return min((abs(edge - clock - left_ms) for window in self.windows for edge in window), default=0.0)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of the marks under a fault: how many were made, are nowhere, are there twice, count elsewhere than made."""

    tried: int
    lost: int
    doubled: int
    misplaced: int
