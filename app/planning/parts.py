"""What the parts of the solver tell one another: a heat to be timed, how far the search is, when to stop it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.rules.day.heats import Group, PlannedHeat, Problem
from app.rules.day.plan_numbers import free_stretches
from app.rules.records.judges import MINUTES_IN_DAY, minutes_of

Expression = Any  # the solver's sums of variables: its own types for them do not add up under strict checking
Kept = Mapping[tuple[int, int], str]  # heat (its place in the list), lane: judge
CORES = 2  # the machine judges a competition meanwhile


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: the end of the day in minutes after midnight found so far, and the bound before which none can end."""

    stage: str
    end: int
    bound: int
    seconds: float


Tell = Callable[[Progress], None]
Stopped = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Limits:
    """How long a search may take, what hears of its progress, and what says that it is enough."""

    seconds: float
    tell: Tell
    stopped: Stopped


class NoPlan(Exception):
    """Raised when no plan fits, or none was found; its text is the sentence to show."""


class Impossible(NoPlan):
    """Raised when no plan fits, and arithmetic did not see why."""


class NotFound(NoPlan):
    """Raised when the time was over before a plan was found: there may be one."""


def athletes_of(problem: Problem, group: Group) -> frozenset[str]:
    """Everybody who competes in a heat to be."""
    members = {entry.id: entry.members for entry in problem.entries}
    return frozenset(athlete for entry in group.lanes.values() for athlete in members[entry])


def athletes_in(problem: Problem, heat: PlannedHeat) -> frozenset[str]:
    """Everybody who competes in a planned heat."""
    members = {entry.id: entry.members for entry in problem.entries}
    return frozenset(athlete for spot in heat.spots for athlete in members.get(spot.entry, ()))


def starts_of(problem: Problem, group: Group) -> list[int]:
    """The minutes at which a heat to be may start: on the day's steps, clear of breaks, or the one that is a choice to keep."""
    locks = [lock for lock in problem.rules.locks if (lock.event, lock.group) == (group.event, group.name) and lock.start]
    first = minutes_of(problem.rules.start)
    fits = [
        start
        for begin, end in free_stretches(problem.rules)
        for start in range(begin, min(end, MINUTES_IN_DAY) - group.minutes + 1)
        if locks or (start - first) % problem.rules.step == 0
    ]
    return [start for start in fits if all(start == minutes_of(lock.start or "") for lock in locks)]


def numbered(problem: Problem, groups: Sequence[Group], starts: Sequence[int]) -> list[PlannedHeat]:
    """The heats of a day, each event's numbered in the order run, after those that have been started."""
    last = {event.id: 0 for event in problem.events}
    for heat in problem.fixed:
        last[heat.event] = max(last.get(heat.event, 0), heat.number)
    made = []
    for start, group in sorted(zip(starts, groups, strict=True), key=lambda pair: (pair[0], pair[1].name)):
        last[group.event] += 1
        spots = tuple({"lane": lane, "entry": entry} for lane, entry in sorted(group.lanes.items()))
        plain = {"event": group.event, "number": last[group.event], "start": start, "minutes": group.minutes}
        made.append(PlannedHeat.model_validate({**plain, "spots": spots, "group": group.name}))
    return made


def judges_competing(problem: Problem, heats: Sequence[PlannedHeat], heat: PlannedHeat) -> set[str]:
    """The judges who compete themselves while a heat is on the floor."""
    if not problem.both:
        return set()
    meanwhile = [other for other in heats if other.start < heat.end and heat.start < other.end]
    there = {athlete for other in meanwhile for athlete in athletes_in(problem, other)}
    return {judge for judge, athlete in problem.both if athlete in there}


def locked_judges(problem: Problem, heats: Sequence[PlannedHeat]) -> dict[tuple[int, int], str]:
    """The choices of judges to keep, by heat (its place in the list) and lane."""
    kept = {}
    for lock in (lock for lock in problem.rules.locks if lock.judge):
        for n, heat in enumerate(heats):
            if (heat.event, heat.group) == (lock.event, lock.group) and not heat.done:
                spots = [s for s in heat.spots if lock.entry in (None, s.entry) and lock.lane in (None, s.lane)]
                if spots:
                    kept[n, spots[0].lane] = lock.judge or ""
    return kept


def in_order(heats: Sequence[PlannedHeat]) -> list[PlannedHeat]:
    """Heats in the order run; those that start together by event and number."""
    return sorted(heats, key=lambda heat: (heat.start, heat.event, heat.number))


def with_judges(heats: Sequence[PlannedHeat], chosen: Kept) -> list[PlannedHeat]:
    """The heats with these judges; the started ones as they were."""
    made = []
    for n, heat in enumerate(heats):
        spots = heat.spots if heat.done else tuple(s.model_copy(update={"judge": chosen[n, s.lane]}) for s in heat.spots)
        made.append(heat.model_copy(update={"spots": spots}))
    return made
