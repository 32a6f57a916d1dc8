"""Three judges, one decision: white for good, red for no lift, two of three decide (common practice of the lifting federations).

Each judge decides on a sheet of their own. Their decisions on one try meet by the mark of the bar leaving its rack, else by the
number of the try under its declaration. static/js/rules/lights.js is its twin.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from app.rules.count.lifting.judged import LiftTally
from app.rules.count.lifting.verdicts import Lights, Verdict
from app.rules.count.tally_shape import Tally, WindowTally
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SheetKind, sheets_that
from app.rules.workout.formats import Format, LiftTask

Refold = Callable[[Mapping[str, Verdict], frozenset[str]], Tally]
BESIDE = sheets_that("joined")


@dataclass(frozen=True, slots=True)
class Judged:
    """What the judges together made of a sheet's tries: the verdict on each by its mark, and the marks of tries that the lane
    judge did not decide."""

    verdicts: Mapping[str, Verdict]
    added: frozenset[str]


def judged_by_three(format: Format) -> bool:
    """Whether any lift of the format is decided by three."""
    return any(isinstance(task, LiftTask) and task.judges == 3 for task in format.tasks.values())


def judge_together(format: Format, by_kind: Mapping[SheetKind, Tally]) -> Judged:
    """The verdicts on all tries that three judges decide, from their sheets' own tallies; the lane's is there."""
    lane = by_kind["lane"]
    signed = any(who == "judge" for who, _ in lane.signed)
    verdicts: dict[str, Verdict] = {}
    added: set[str] = set()
    for window in lane.windows:
        task = format.tasks.get(format.windows[window.index].task or "")
        if isinstance(task, LiftTask) and task.judges == 3:
            others = [by_kind[kind].windows[window.index] if kind in by_kind else WindowTally(window.index) for kind in BESIDE]
            found, more = _in_window(task, window, others, signed)
            verdicts.update(found)
            added.update(more)
    return Judged(verdicts, frozenset(added))


def verdict(lights: Lights, closed: bool) -> Verdict:
    """Nothing is decided before all have, or the try is `closed` (the bar racked, the next try begun, the sheet signed): what
    counted earlier would tell what the lights do not tell yet. Then two who agree decide; else the lane judge's word stands, as
    provisional. Where the lane judge has not decided either, it is no lift."""
    yes, no = lights.count(True), lights.count(False)
    lane = lights[0]
    if None in lights and not closed:
        return Verdict(bool(lane), lights, "waiting")
    if max(yes, no) >= 2:
        return Verdict(yes > no, lights, None)
    if lane is None:
        return Verdict(False, lights, "silent")
    return Verdict(lane, lights, "split" if yes and no else "alone")


def but_for_rulings(verdicts: Mapping[str, Verdict], rulings: Sequence[Ruling]) -> Mapping[str, Verdict]:
    """The verdicts, where the head judge's ruling on a lift takes their place: the newest on a lift holds."""
    ruled = {str(one.body.get("mark")): bool(one.body["good"]) for one in rulings if one.kind == "lift"}
    return {mark: Verdict(ruled[mark], made.lights, None) if mark in ruled else made for mark, made in verdicts.items()}


def _in_window(
    task: LiftTask, lane: WindowTally, others: Sequence[WindowTally], signed: bool
) -> tuple[dict[str, Verdict], set[str]]:
    found: dict[str, Verdict] = {}
    added: set[str] = set()
    for decisions in _tries([window.lifts for window in (lane, *others)]):
        lift = next(one for one in decisions if one is not None)
        later = [one for one in lane.lifts if (one.at, one.mark) > (lift.at, lift.mark)]
        closed = signed or lift.racked or _another_after(task, later, lift)
        made = verdict(tuple(one.good if one else None for one in decisions), closed)
        if decisions[0] is None and made.doubt == "waiting":
            continue
        found[lift.mark] = made
        if decisions[0] is None:
            added.add(lift.mark)
    return found, added


def _another_after(task: LiftTask, later: Sequence[LiftTally], lift: LiftTally) -> bool:
    """Whether a later try at the same bar shows that this one is over."""
    return any(task.bars == "one" or one.member == lift.member for one in later)


def _tries(by_judge: Sequence[Sequence[LiftTally]]) -> list[list[LiftTally | None]]:
    """The judges' decisions on each try: those that name the same leaving of the rack, then in order those that name none."""
    named: dict[str, list[str]] = {}
    for lift in (lift for lifts in by_judge for lift in lifts):
        if lift.begun is not None:
            named.setdefault(lift.declared or "", []).append(lift.begun)
    places = {declared: sorted(set(begun)) for declared, begun in named.items()}
    tries: dict[tuple[str, int], list[LiftTally | None]] = {}
    for judge, lifts in enumerate(by_judge):
        for key, lift in _placed(lifts, places).items():
            tries.setdefault(key, [None] * len(by_judge))[judge] = lift
    return list(tries.values())


def _placed(lifts: Sequence[LiftTally], places: Mapping[str, Sequence[str]]) -> dict[tuple[str, int], LiftTally]:
    """One judge's tries by declaration and number under it. Ids of marks made later sort later."""
    placed: dict[tuple[str, int], LiftTally] = {}
    left = []
    for lift in lifts:
        key = (lift.declared or "", places[lift.declared or ""].index(lift.begun)) if lift.begun is not None else None
        if key is None or key in placed:
            left.append(lift)
        else:
            placed[key] = lift
    for lift in left:
        under = lift.attempt
        placed[next((under, n) for n in range(len(lifts) + len(places.get(under, ()))) if (under, n) not in placed)] = lift
    return placed
