"""The marks of a lift window as attempts: a declaration, the tries under it, the bar racked."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.formats import LiftTask, Movement, Window
from app.rules.marks import Mark, body_load
from app.rules.units import Load


@dataclass(frozen=True, slots=True)
class LiftTally:
    """One try: the mark that judged it, the declaration it was made under, the load on the bar, and whether it may count."""

    mark: str
    declared: str | None
    load: Load
    reps: int
    good: bool
    fault: str | None
    member: int | None
    at: int
    counts: bool

    def value(self, times_reps: bool) -> Fraction:
        """What the try is worth in kilograms: its load, or its load times its repetitions."""
        return self.load.kg * self.reps if times_reps else self.load.kg


Odd = list[tuple[str, str]]


def fold_lifts(
    task: LiftTask, movement: Movement, window: Window, marks: Sequence[Mark]
) -> tuple[tuple[LiftTally, ...], str | None, Odd]:
    """The tries of one window in order, the declaration that stands, and the (mark, why) of what is odd. `marks` come in order.

    A rule of the event (attempts, one try, no going down) makes a try not count; a doubt (no declaration, another load than
    declared, off the step) is only flagged, for the judge saw the lift.
    """
    declared = {mark.id: mark for mark in marks if mark.kind == "declare"}
    standing: Mark | None = None
    racked: set[str] = set()
    tries: dict[str, int] = {}
    heaviest: Load | None = None
    lifts: list[LiftTally] = []
    odd: Odd = []
    for mark in marks:
        if mark.kind == "declare":
            standing = mark
        elif mark.kind == "racked":
            named = mark.body.get("declared", standing.id if standing else None)
            if named is not None:
                racked.add(named)
            if standing is not None and standing.id == named:
                standing = None
        elif mark.kind == "lift":
            under = declared.get(mark.body.get("declared", "")) or (standing if "declared" not in mark.body else None)
            attempt = under.id if under else mark.id
            tries[attempt] = tries.get(attempt, 0) + 1
            load = body_load(mark.body)
            doubts = _doubts(task, movement, load, under, racked)
            broken = _broken(task, load, heaviest, list(tries), attempt, tries[attempt])
            odd.extend((mark.id, why) for why in doubts + broken)
            heaviest = load if heaviest is None else max(heaviest, load)
            lifts.append(_lift(mark, under, load, window, not broken))
    return tuple(lifts), standing.id if standing else None, odd


def _lift(mark: Mark, under: Mark | None, load: Load, window: Window, counts: bool) -> LiftTally:
    only = window.who[0] if isinstance(window.who, tuple) and len(window.who) == 1 else None
    member = mark.body.get("member") or (under.body.get("member") if under else None) or only
    return LiftTally(
        mark=mark.id,
        declared=under.id if under else None,
        load=load,
        reps=mark.body.get("reps", 1),
        good=mark.body["good"],
        fault=mark.body.get("fault"),
        member=member,
        at=mark.at,
        counts=counts,
    )


def _doubts(task: LiftTask, movement: Movement, load: Load, under: Mark | None, racked: set[str]) -> list[str]:
    doubts = []
    if under is None:
        doubts.append("no-declaration")
    else:
        if body_load(under.body) != load:
            doubts.append("load-differs")
        if under.id in racked:
            doubts.append("after-rack")
    if load < task.bar:
        doubts.append("below-bar")
    if load.kg % task.step.kg != 0:
        doubts.append("off-step")
    if movement.heaviest is not None and load > movement.heaviest:
        doubts.append("heavy")
    return doubts


def _broken(task: LiftTask, load: Load, heaviest: Load | None, attempts: list[str], attempt: str, tries: int) -> list[str]:
    broken = []
    if task.attempts is not None and attempts.index(attempt) >= task.attempts:
        broken.append("attempt-over")
    if not task.tries_until_racked and tries > 1:
        broken.append("second-try")
    if not task.may_go_down and heaviest is not None and load < heaviest:
        broken.append("went-down")
    return broken
