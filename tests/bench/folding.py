"""What one more mark costs: folding a sheet whole, and what the projection does when a mark comes and somebody looks."""

import random
import time
from collections.abc import Callable
from dataclasses import replace

from app.demo.judge import SimulatedJudge
from app.live.projection import Projection
from app.rehearsal.turns import turn_about
from app.rules.count.tally import fold
from app.rules.records.marks import Mark, mark_plain, parse_mark
from app.rules.records.roster import Roster
from tests.bench.figures import Figure, Goal
from tests.bench.hall import lanes_roster

LANES = 40
ROUNDS = 5
LOOK = Goal("at most", 0.5)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures both on a hall of forty lanes, in processor time."""
    tell("folding: forty lanes, mark by mark")
    roster, format = lanes_roster(LANES), turn_about()
    sheets = [_sheet(lane) for lane in range(1, LANES + 1)]
    marks = [mark for sheet in sheets for mark in sheet]
    whole = min(_timed(lambda: [fold(format, sheet) for sheet in sheets]) for _ in range(ROUNDS))
    parsed = [mark_plain(mark) for mark in marks]
    reading = min(_timed(lambda: [parse_mark(plain) for plain in parsed]) for _ in range(ROUNDS))
    held = Projection()
    held.load(roster, (), (), ())
    applied = _timed(lambda: [held.apply([mark]) for mark in _by_time(sheets)])
    held.event_results("evt_1")
    last = {mark.sheet: mark for mark in marks}  # of each sheet, in the order that its judge made them
    behind = [_again(mark, n, 300 * n) for n in range(1, 6) for mark in last.values()]
    late = [_again(mark, 6, 0) for sheet in sheets for mark in sheet[:5]]
    looked, looked_late = (_timed(lambda these=these: [_one_more(held, mark) for mark in these]) for these in (behind, late))
    return [
        Figure("folding.parse_us", "reading a mark", reading / len(marks) * 1e6, "µs"),
        Figure("folding.whole_us", f"folding sheets whole, for each of {len(marks):,} marks", whole / len(marks) * 1e6, "µs"),
        Figure("folding.apply_us", "taking a mark, nobody looking", applied / len(marks) * 1e6, "µs"),
        Figure("folding.look_ms", f"one more mark and the standing of {LANES} lanes", looked / len(behind) * 1e3, "ms", LOOK),
        Figure("folding.late_ms", "… one that comes later than others of its window", looked_late / len(late) * 1e3, "ms"),
        Figure("folding.anew_ms", "… the standing from all marks", _anew(roster, marks) * 1e3, "ms"),
    ]


def _sheet(lane: int) -> list[Mark]:
    judge = SimulatedJudge(turn_about(), f"asg_{lane}/1/lane", f"tab{lane}", 1_800_000_000_000, 1.0, random.Random(lane))
    return judge.marks()


def _by_time(sheets: list[list[Mark]]) -> list[Mark]:
    return sorted((mark for sheet in sheets for mark in sheet), key=lambda mark: mark.at)


def _again(mark: Mark, number: int, later_ms: int) -> Mark:
    """The same mark again under another id, some time later."""
    return replace(mark, id=f"{mark.id[:20]}{number:012x}", seq=mark.seq + number * 100_000, at=mark.at + later_ms)


def _one_more(held: Projection, mark: Mark) -> None:
    """A mark is added to its sheet, and its event ranked."""
    held.apply([mark])
    held.event_results("evt_1")


def _anew(roster: Roster, marks: list[Mark]) -> float:
    def work() -> None:
        held = Projection()
        held.load(roster, (), (), marks)
        held.event_results("evt_1")

    return min(_timed(work) for _ in range(ROUNDS))


def _timed(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun
