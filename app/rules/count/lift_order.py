"""Who lifts next where several lifters share one bar. The lot is the lane's number: lots are drawn when lanes are given.

The rising bar: the lightest load first; of equal loads who has taken fewer attempts, then who lifted longest ago, then the
lower lot (International Weightlifting Federation, Technical and Competition Rules 6.5, calling order, read in a reprint).
Rounds: all first attempts from light to heavy, then all second ones, and so on; of equal loads the lower lot (a world
federation's rules of powerlifting, 2007; that the lower lot goes first: para powerlifting's rules, read). A heat is a flight:
it makes all its attempts at a lift before the next one.

At the bar is whoever was called to it last, or for whom it left its rack: the newest mark that says so, whichever lane's sheet
it stands on. So devices that were apart say the same as soon as they hold the same marks, and a call takes the bar from whoever
was called before. A decision says so only of a lift of which nothing else does: it may come when the next one is called.
static/js/rules/platform/lift_order.js is the twin.

A lift that is made again because the bar was loaded wrong is no attempt taken. It comes at once, by the order as it then is; or
behind all others of its round, where the event has it so (International Powerlifting Federation, on errors in loading, read
second-hand).
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from app.rules.count.lifting.attempt_clock import attempt_clock
from app.rules.count.lifting.bar_floor import bar_floor, declared_below
from app.rules.count.lifting.judged import attempts_used
from app.rules.count.lifting.next_attempt import least_that_counts
from app.rules.count.tally_shape import Tally
from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from app.rules.workout.tasks import LiftOrder, LiftTask

AT_THE_BAR: frozenset[Kind] = frozenset({"called", "begun"})


@dataclass(frozen=True, slots=True)
class Waiting:
    """A lifter with a declared load: the lot, the attempts taken so far, when the last one was (ms on the heat clock, None for
    none yet), whether the next is one to be made again that waits for the end of its round, and the mark that declared it.

    automatic: the load is the one that the event's rule puts in where nobody declared in time; declared is empty until somebody
    calls the lifter with it, who says so in a mark. least: what must be
    declared at least, where the load would not count, or is below a bar that does not go down; None where it may be called.
    """

    lot: int
    who: str
    load: Load
    attempts: int = 0
    last_at: int | None = None
    at_the_end: bool = False
    declared: str = ""
    automatic: bool = False
    least: Load | None = None


@dataclass(frozen=True, slots=True)
class BarLane:
    """A lane whose lifters share a bar with others: its number, which is the lot; who is on it; what its sheets together come to;
    the marks of all of them; the ids of those that a ruling lets count; whether its lifter is out (stops.py) and so waits for
    nothing, whatever is declared or the event's rule puts in."""

    lot: int
    who: str
    format: Format
    tally: Tally
    marks: Sequence[Mark]
    admitted: Collection[str] = ()
    out: bool = False


def bar_window(format: Format, ms: int | None) -> int | None:
    """The window whose lifters are called at a moment of the heat clock, in ms (None: before a GO is known): the first with a
    shared bar whose bell has not gone, else the last; None without one."""
    shared = [(window.start_ms, i) for i, window in enumerate(format.windows) if _task(format, i)]
    open_still = [i for _, i in sorted(shared) if ms is None or ms < format.windows[i].end_ms]
    return open_still[0] if open_still else max(shared)[1] if shared else None


def called_next(lanes: Iterable[BarLane], ms: int | None) -> tuple[Waiting, ...]:
    """Those of a platform who wait at a moment of the heat clock, in the order in which they are called. Empty where every lane
    has a bar of its own, or nobody has declared."""
    there = list(lanes)
    found: list[tuple[int, Waiting]] = []
    order: LiftOrder = "lanes"
    rises = False
    for lane in there:
        window = bar_window(lane.format, ms)
        task = None if window is None else _task(lane.format, window)
        if window is None or task is None:
            continue
        order, rises = task.order, rises or task.bar_rises
        if not lane.out and (one := _waiting(lane, window, task, ms)):
            found.append((window, one))
    waiting = [_not_below(one, there, window) if rises else one for window, one in found]
    return lift_order(waiting, order)


def _not_below(one: Waiting, lanes: Sequence[BarLane], window: int) -> Waiting:
    """A lifter who waits, with what must be declared at least where the load is below the bar."""
    sheets = [lane.marks for lane in lanes]
    floor = bar_floor(sheets, window)
    admitted = any(one.declared in lane.admitted for lane in lanes)
    low = (one.automatic and floor is not None and one.load < floor) or one.declared in declared_below(sheets, window)
    return replace(one, least=max(load for load in (floor, one.least) if load)) if floor and low and not admitted else one


def at_the_bar(lanes: Iterable[BarLane]) -> tuple[int, str] | None:
    """The lot of whoever is at the bar, and the mark that says so; None before anybody was called, and where whoever was called
    is out: they come no more, but a bar that has left its rack comes back first."""
    standing = [(mark.order, lane, mark.id) for lane in lanes for mark in _at_the_bar(lane.marks)]
    _, lane, mark = max(standing, key=lambda one: one[0], default=(None, None, ""))
    if lane is None or (lane.out and not any(window.begun for window in lane.tally.windows)):
        return None
    return lane.lot, mark


def called_lift(order: Iterable[Waiting], lanes: Iterable[BarLane]) -> Waiting | None:
    """Of those who wait, whoever was called to the bar and has not lifted since, though another's load be lighter by now."""
    there = list(lanes)
    bar = at_the_bar(there)
    marks = (mark for lane in there for mark in lane.marks if bar is not None and mark.id == bar[1])
    said = next((mark for mark in marks if mark.kind in AT_THE_BAR), None)
    under = None if said is None else said.body.get("declared")
    return next((one for one in order if said and one.declared == under and (one.last_at is None or one.last_at < said.at)), None)


@dataclass(frozen=True, slots=True)
class BarClock:
    """The running clock of whoever is at the bar: since when and until when, ms on the heat clock; the lift it is for; how far it
    may be off by the clocks of those who started it, in ms."""

    lot: int
    who: str
    since_ms: int
    over_ms: int
    task: LiftTask
    bound_ms: int = 0


def bar_clock(lanes: Iterable[BarLane], ms: int | None) -> BarClock | None:
    """How the attempt's clock of whoever is at the bar runs, in the window that is lifted at a moment of the heat clock; None
    while it does not (lifting/attempt_clock.py)."""
    there = list(lanes)
    at = at_the_bar(there)
    lane = next((lane for lane in there if at is not None and lane.lot == at[0]), None)
    window = bar_window(lane.format, ms) if lane else None
    task = _task(lane.format, window) if lane and window is not None else None
    if lane is None or task is None or window is None:
        return None
    found = lane.tally.windows[window]
    runs = attempt_clock(found)
    return BarClock(lane.lot, lane.who, *runs, task, found.since_off_ms) if runs else None


def _at_the_bar(marks: Iterable[Mark]) -> list[Mark]:
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    standing = [mark for mark in marks if mark.id not in struck]
    told = [mark for mark in standing if mark.kind in AT_THE_BAR]
    of = {mark.body.get("declared") for mark in told}
    return [*told, *(mark for mark in standing if mark.kind == "lift" and mark.body.get("declared") not in of)]


def _task(format: Format, window: int) -> LiftTask | None:
    """The lift of a window whose lanes share a bar, or None."""
    task = format.tasks.get(format.windows[window].task or "")
    return task if isinstance(task, LiftTask) and task.order != "lanes" else None


def _waiting(lane: BarLane, window: int, task: LiftTask, ms: int | None) -> Waiting | None:
    """The lift that a lane waits for: what is declared and has not been judged, else what the rule puts in by then."""
    found = lane.tally.windows[window]
    declared = {mark.id: mark for mark in lane.marks if mark.kind == "declare"}
    standing = declared.get(found.waiting or found.declaration or "")
    judged = {lift.declared for lift in found.lifts if not lift.again} if found.waiting is None else set()
    attempts = attempts_used(found.lifts)
    last = max((lift.at for lift in found.lifts), default=None)
    if standing is None or standing.id in judged:
        coming = found.coming
        if coming is None or coming.auto is None or ms is None or not coming.overdue(ms, 0):
            return None
        return Waiting(lane.lot, lane.who, coming.auto, attempts, last, automatic=True)
    later = task.again_when == "round_end" and bool(found.lifts) and found.lifts[-1].again
    by_rule, load = standing.body["by"] == "rule", body_load(standing.body)
    mine = [lift for lift in found.lifts if lift.member in (None, standing.body.get("member", lift.member))]
    least = least_that_counts(task, mine, load, bool(standing.body.get("record")))
    return Waiting(lane.lot, lane.who, load, attempts, last, later, standing.id, by_rule, least)


def lift_order(waiting: Iterable[Waiting], order: LiftOrder = "lightest") -> tuple[Waiting, ...]:
    """Those who wait, in the order in which they are called."""
    return tuple(sorted(waiting, key=ORDERS[order]))


def _rising(one: Waiting) -> tuple[Any, ...]:
    return (one.load.kg, one.attempts, _since(one), one.lot)


def _in_rounds(one: Waiting) -> tuple[Any, ...]:
    return (one.attempts, one.at_the_end, one.load.kg, one.lot)


def _since(one: Waiting) -> int:
    """Who has not lifted yet comes before who has."""
    return -(10**9) if one.last_at is None else one.last_at


# Where each lane lifts for itself nobody is called; asked all the same, by the lot.
ORDERS: Mapping[LiftOrder, Callable[[Waiting], tuple[Any, ...]]] = {
    "lanes": lambda one: (one.lot,),
    "lightest": _rising,
    "rounds": _in_rounds,
}
