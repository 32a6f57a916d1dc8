"""Judges heat after heat without a search: those with the fewest lanes so far, each on a lane that they may judge.

Where this comes out whole and fair there is nothing left to search for; otherwise the solver begins with it.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from app.planning.parts import judges_competing
from app.rules.day.heats import PlannedHeat, Problem
from app.rules.records.judges import Judge, can_judge


@dataclass(slots=True)
class Rota:
    """Who judges where, by heat (its place in the list) and lane. `fair`: no lane is without, and loads differ by one at most."""

    chosen: dict[tuple[int, int], str] = field(default_factory=dict)
    fair: bool = False


def rota(problem: Problem, heats: Sequence[PlannedHeat], kept: Mapping[tuple[int, int], str]) -> Rota:
    """The rota of a day; `heats` in the order run, `kept` choices that stay. Not fair where heats run side by side."""
    made = Rota()
    loads: Counter[str] = Counter()
    recent: list[set[str]] = []
    whole = True
    for n, heat in enumerate(heats):
        if heat.done:
            now = {spot.judge for spot in heat.spots if spot.judge}
        else:
            busy = judges_competing(problem, heats, heat)
            ready = [judge for judge in _ready(problem, heat, recent) if judge.id not in busy]
            lanes = _matched(problem, heat, sorted(ready, key=lambda judge: (loads[judge.id], judge.id)), _own(kept, n))
            made.chosen |= {(n, lane): judge for lane, judge in lanes.items()}
            now = set(lanes.values())
            whole = whole and len(lanes) == len(heat.spots)
        loads.update(now)
        recent.append(now)
    here = [loads[judge.id] for judge in problem.judges if not judge.away]
    alone = all(before.end <= after.start for before, after in pairwise(heats))
    made.fair = whole and alone and max(here, default=0) - min(here, default=0) <= 1
    return made


def _own(kept: Mapping[tuple[int, int], str], n: int) -> dict[int, str]:
    return {lane: judge for (heat, lane), judge in kept.items() if heat == n}


def _ready(problem: Problem, heat: PlannedHeat, recent: Sequence[set[str]]) -> list[Judge]:
    """Judges who are here and not due a rest."""
    window = recent[max(0, len(recent) - problem.rules.judge_of + 1) :]
    worked = Counter(judge for those in window for judge in those)
    return [j for j in problem.judges if can_judge(j, heat.start, heat.end) and worked[j.id] < problem.rules.judge_work]


def _matched(problem: Problem, heat: PlannedHeat, ready: Sequence[Judge], kept: Mapping[int, str]) -> dict[int, str]:
    """Lanes with judges: each judge in turn takes a lane, others moving on to another one where that makes room."""
    clubs = {entry.id: set(entry.clubs) for entry in problem.entries}
    may = {
        judge.id: [
            spot.lane
            for spot in heat.spots
            if (problem.rules.own_club or judge.club not in clubs.get(spot.entry, set()))
            and kept.get(spot.lane, judge.id) == judge.id
            and (judge.id not in kept.values() or kept.get(spot.lane) == judge.id)
        ]
        for judge in ready
    }
    lanes: dict[int, str] = {}

    def take(judge: str, tried: set[int]) -> bool:
        for lane in may[judge]:
            if lane in tried:
                continue
            tried.add(lane)
            if lane not in lanes or take(lanes[lane], tried):
                lanes[lane] = judge
                return True
        return False

    order = sorted(ready, key=lambda judge: judge.id not in kept.values())
    for judge in order:
        if len(lanes) == len(heat.spots):
            break
        take(judge.id, set())
    return lanes
