"""How a lane's count grew: its windows of repetitions in stretches of equal length."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.rules.agree.comparing import Read
from app.rules.count.tally import Tally
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import Format

PAPER: SheetKind = "paper"
STRETCHES_MS = (5_000, 10_000, 15_000, 30_000, 60_000, 120_000, 300_000)
MOST_STRETCHES = 24  # over the whole heat: as many as a table still shows


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a window, from and to in ms on the heat clock: repetitions that count, those refused, and the window's count
    at its end."""

    window: int
    start_ms: int
    end_ms: int
    reps: int
    refused: int
    so_far: int


def stretch_ms(format: Format) -> int:
    """How long the stretches of a format are, in ms: the shortest with which its heat has no more than MOST_STRETCHES."""
    return next((step for step in STRETCHES_MS if format.length_ms <= step * MOST_STRETCHES), STRETCHES_MS[-1])


def pace(format: Format, tally: Tally, reads: Mapping[SheetKind, Read]) -> tuple[Stretch, ...]:
    """The stretches of every window in which repetitions are counted, each up to the last in which something was judged.

    `tally`: what counts of the lane. `reads`: its sheets that count, for the moments at which repetitions were refused. Each
    window is told as the first of those has it by whom it counts; one that counts by totals that were read out has no moments,
    and no stretches. A mark by the judge's reaction after the bell is of its window's last stretch.
    """
    step, found = stretch_ms(format), list[Stretch]()
    for window in tally.windows:
        timed = format.windows[window.index]
        if timed.task is None or format.tasks[timed.task].kind not in ("count", "list") or PAPER in window.by:
            continue
        edges = [(at, min(at + step, timed.end_ms)) for at in range(timed.start_ms, timed.end_ms, step)]
        reps = _in_stretches((at for at, _, _ in window.reps), edges)
        read = reads.get(window.by[0])
        seen = read.marks.get(window.index, ()) if read else ()
        missed = _in_stretches((one.at for one in seen if one.kind == "norep"), edges)
        last = max((n for n in range(len(edges)) if reps[n] or missed[n]), default=-1)
        for n, (start, end) in enumerate(edges[: last + 1]):
            found.append(Stretch(window.index, start, end, reps[n], missed[n], sum(reps[: n + 1])))
    return tuple(found)


def _in_stretches(moments: Iterable[int], edges: Sequence[tuple[int, int]]) -> list[int]:
    """How many of the moments lie in each stretch; those before the first or after the last are of the nearest."""
    counts = [0] * len(edges)
    for at in moments:
        counts[next((n for n, (_, end) in enumerate(edges) if at < end), len(edges) - 1)] += 1
    return counts
