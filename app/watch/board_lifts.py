"""Lifts as the public board shows them: what is declared, what came of each attempt, whether the bar is out, who is next."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.rules.count.lift_order import Waiting
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.marks import Mark, body_load
from app.rules.result.totals import used_up
from app.rules.values.units import both_units, other_unit
from app.rules.values.words import apart, decimal, say
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.tasks import MOST_LOADS

MOST_SHOWN = 4  # attempts of a lane that a wall has room for; the newest
MOST_NEXT = 3


@dataclass(frozen=True, slots=True)
class AttemptView:
    """One judged try: its load, its sign, whether it was no lift, and the same as somebody would read it out."""

    load: str
    sign: str
    good: bool
    best: bool
    spoken: str


@dataclass(frozen=True, slots=True)
class LightView:
    """One judge's light: `good`, `no`, `in` (decided, not shown before all have), `open` (not decided); its sign and word."""

    kind: str
    sign: str
    word: str


SIGNS = {"good": "✓", "no": "✗", "in": "", "open": ""}


@dataclass(frozen=True, slots=True)
class LiftsView:
    """One lift window of a lane: how many attempts are left out, those shown, whose declaration stands, what it is in both
    units, whether it is locked because the bar is out, who is next at this bar, the best so far, the judges' lights on the
    newest try where several decide, and whether every attempt is used up."""

    window: int
    earlier: int
    attempts: tuple[AttemptView, ...]
    who: str
    declared: str
    other: str
    locked: bool
    then: str
    best: str
    lights: tuple[LightView, ...] = ()
    spent: bool = False


def lifts_views(format: Format, tally: Tally, marks: Iterable[Mark], names: Sequence[str]) -> tuple[LiftsView, ...]:
    """The lift windows of a lane in order. `marks` are those of its sheet, `names` its members'."""
    declared = {mark.id: mark for mark in marks if mark.kind == "declare"}
    windows = [tally.windows[i] for i, window in enumerate(format.windows) if is_lift(format, window.task)]
    return tuple(_lifts(format, window, declared, names) for window in windows)


def is_lift(format: Format, task: str | None) -> bool:
    """Whether a bar is lifted in the windows of a task; in rest it is not."""
    return task is not None and isinstance(format.tasks[task], LiftTask)


def _lifts(format: Format, found: WindowTally, declared: dict[str, Mark], names: Sequence[str]) -> LiftsView:
    standing, waiting = declared.get(found.declaration or ""), declared.get(found.waiting or "")
    shown = found.lifts[-MOST_SHOWN:]
    return LiftsView(
        window=found.index,
        earlier=len(found.lifts) - len(shown),
        attempts=tuple(attempt_view(lift, found) for lift in shown),
        who=_who(format, found.index, standing, names),
        declared=_declared(standing) if standing else "",
        other=decimal(other_unit(body_load(standing.body))) if standing else "",
        locked=found.begun is not None,
        then=_then(format, found.index, waiting, names) or _grown(format, found.index, standing),
        best=decimal(found.best.load.text()) if found.best else "",
        lights=lights(found.lifts[-1]) if found.lifts else (),
        spent=used_up(format, found),
    )


def _declared(standing: Mark) -> str:
    load = decimal(body_load(standing.body).text())
    return say("{load} by the rule", load=load) if standing.body["by"] == "rule" else load


def attempt_view(lift: LiftTally, found: WindowTally) -> AttemptView:
    """A try as the board tells it: what the judges have not all decided is not told before they have."""
    sign, words = ("✓", say("lift.was_good")) if lift.good else ("✗", say("lift.was_no"))
    if lift.again:
        sign, words = "↺", say("lift.again")
    elif lift.doubt == "waiting":
        sign, words = "…", say("the judges are deciding")
    best = found.best is not None and lift.mark == found.best.mark
    load = decimal(lift.load.text())
    return AttemptView(load, sign, sign != "✗", best, f"{load}, {words}")


def lights(lift: LiftTally) -> tuple[LightView, ...]:
    """The judges' lights on a try, the lane judge's first: each judge's own decision only when all have decided, or nobody else
    is waited for; empty where one judge decides."""
    hidden = lift.doubt == "waiting"
    kinds = {True: "in" if hidden else "good", False: "in" if hidden else "no", None: "open"}
    shown = [kinds[light] for light in lift.lights]
    words = {"good": say("lift.was_good"), "no": say("lift.was_no"), "in": say("decided"), "open": say("not decided")}
    return tuple(LightView(kind, SIGNS[kind], words[kind]) for kind in shown)


def _who(format: Format, index: int, declaration: Mark | None, names: Sequence[str]) -> str:
    """Who lifts: as the declaration says, else the window's only member; nobody in particular where that is open."""
    who = format.windows[index].who
    only = who[0] if isinstance(who, tuple) and len(who) == 1 else None
    member = (declaration.body.get("member") if declaration else None) or only
    return names[member - 1] if member is not None and format.members > 1 and member <= len(names) else ""


def _grown(format: Format, index: int, standing: Mark | None) -> str:
    """The load after the one that is declared, where it grows: what the loaders and the hall wait for."""
    task = format.tasks[format.windows[index].task or ""]
    if standing is None or not isinstance(task, LiftTask) or not task.loads:
        return ""
    loads = (task.load_at(number) for number in range(MOST_LOADS))
    return next((decimal(load.text()) for load in loads if load > body_load(standing.body)), "")


def _then(format: Format, index: int, waiting: Mark | None, names: Sequence[str]) -> str:
    if waiting is None:
        return ""
    who = _who(format, index, waiting, names)
    return f"{who} {decimal(body_load(waiting.body).text())}".strip()


def load_words(one: Waiting, load: str) -> str:
    """The load of whoever waits, and whether it is the rule's own, which nobody declared."""
    return say("{load} by the rule", load=load) if one.automatic else load


def next_words(order: Sequence[Waiting], called: bool = False) -> str:
    """The same in words: `Next: Bo, 225 lb (102.1 kg). Then Ada, 230 lb`, or `Called: Bo …`, where the first was called to the
    bar; empty where nobody waits."""
    if not order:
        return ""
    first, rest = order[0], order[1:MOST_NEXT]
    who, load = apart(first.who), load_words(first, decimal(both_units(first.load)))
    next_one = say("Called: {who}, {load}.", who=who, load=load) if called else say("Next: {who}, {load}.", who=who, load=load)
    then = "; ".join(f"{apart(one.who)}, {load_words(one, decimal(one.load.text()))}" for one in rest)
    return f"{next_one} {say('Then {these}.', these=then)}" if then else next_one
