"""A heat plan as values, and the first step to one: which entries form a heat, and on which lanes.

A plan is made of groups: the entries that will stand in one heat of one event. Their times and judges are found by a solver
(app/planning); whether the result keeps every rule is for rules/day/plan_check.py to say, which shares no function with either.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import Field

from app.rules.records.day import DayRules, EventDay, Lock
from app.rules.records.judges import Judge
from app.rules.values.shapes import Base, Id

ALL = "*"  # the pool of an event whose divisions share heats


class PlanEntry(Base):
    """An entry as a plan sees it: its division, its athletes, the clubs that they belong to."""

    id: Id
    division: Id
    members: tuple[Id, ...] = ()
    clubs: tuple[Id, ...] = ()


class PlanEvent(Base):
    """An event as a plan sees it. `minutes`: how long a heat holds the floor. `order`: its entries, best first."""

    id: Id
    name: str
    minutes: int
    order: tuple[Id, ...] = ()


class Spot(Base):
    """An entry on a lane of a heat, and who judges it."""

    lane: int
    entry: Id
    judge: Id | None = None


class PlannedHeat(Base):
    """A heat with its time: minutes after midnight. `group` is empty for one that was published before; `key` is its id then.

    `done`: it has been started, and is never moved.
    """

    event: Id
    number: int
    start: int
    minutes: int
    spots: tuple[Spot, ...]
    group: str = ""
    key: str = ""
    done: bool = False

    @property
    def end(self) -> int:
        """When it leaves the floor, in minutes after midnight."""
        return self.start + self.minutes


class Problem(Base):
    """All that a plan is made from. `divisions` and `events` stand in their order. `fixed`: heats that have been started.
    `both`: judges who compete too, each with the athlete that they are. `again`: events and entries of which a rerun was granted,
    once for each. `names`: of entries and athletes by their ids, for the sentences about a plan."""

    rules: DayRules
    divisions: tuple[Id, ...]
    entries: tuple[PlanEntry, ...]
    events: tuple[PlanEvent, ...]
    judges: tuple[Judge, ...] = ()
    fixed: tuple[PlannedHeat, ...] = ()
    both: tuple[tuple[Id, Id], ...] = ()
    again: tuple[tuple[Id, Id], ...] = ()
    names: dict[Id, str] = Field(default_factory=dict)

    def called(self, key: str) -> str:
        """What an entry, an athlete or an event is called; its id where nobody has said."""
        return next((event.name for event in self.events if event.id == key), self.names.get(key, key))

    def entry(self, key: str) -> PlanEntry:
        """The entry with this id."""
        return next(entry for entry in self.entries if entry.id == key)


@dataclass(frozen=True, slots=True)
class Group:
    """The entries of one heat to be: its event, its name in the plan (`division.place`), who stands where."""

    event: str
    name: str
    minutes: int
    lanes: Mapping[int, str] = field(default_factory=dict)

    @property
    def pool(self) -> str:
        """The division, or ALL: within it, groups run in the order of their places."""
        return self.name.rsplit(".", 1)[0]

    @property
    def place(self) -> int:
        """Its place among the groups of its pool."""
        return int(self.name.rsplit(".", 1)[1])


def drawn(entries: Sequence[str], seed: int, event: str) -> list[str]:
    """Entries in an order drawn by lot, which anybody can draw again from the shown seed: by SHA-256 of seed, event and entry."""
    return sorted(entries, key=lambda entry: hashlib.sha256(f"{seed}/{event}/{entry}".encode()).hexdigest())


def groups_of(problem: Problem) -> list[Group]:
    """The heats to be of all events, in their order. Two entries that share an athlete never stand in one of them, if it can be
    helped; entries that have stood in a heat of the event already are left out."""
    made: list[Group] = []
    for event in problem.events:
        how = problem.rules.of(event.id)
        gone = {spot.entry for heat in problem.fixed if heat.event == event.id for spot in heat.spots}
        for pool, order in _pools(problem, event, how, gone):
            made += _pool_groups(problem, event, how, pool, order)
    return made


def _pools(problem: Problem, event: PlanEvent, how: EventDay, gone: set[str]) -> list[tuple[str, list[str]]]:
    """The entries of each pool in the order in which they run: best last, or first."""
    division = {entry.id: entry.division for entry in problem.entries}
    by_division = []
    for one in problem.divisions:
        ranked = [entry for entry in event.order if division[entry] == one and entry not in gone]
        by_division.append((one, ranked[::-1] if how.best_last else ranked))
    if how.apart:
        return [(name, order) for name, order in by_division if order]
    everybody = [entry for _, order in by_division for entry in order]
    return [(ALL, everybody)] if everybody else []


def _pool_groups(problem: Problem, event: PlanEvent, how: EventDay, pool: str, order: Sequence[str]) -> list[Group]:
    sizes = heat_sizes(len(order), how)
    locks = [lock for lock in problem.rules.locks if lock.event == event.id and lock.entry in set(order)]
    placed = _fill(order, sizes, {lock.entry or "": _place(lock, pool, len(sizes)) for lock in locks})
    members = {entry.id: set(entry.members) for entry in problem.entries}
    _part_twins(placed, members, {lock.entry or "" for lock in locks})
    rank = {entry: place for place, entry in enumerate(event.order)}
    return [
        Group(
            event.id,
            f"{pool}.{place}",
            event.minutes,
            lanes_for(sorted(group, key=rank.__getitem__), how, [one for one in locks if one.group == f"{pool}.{place}"]),
        )
        for place, group in enumerate(placed, start=1)
        if group
    ]


def heat_sizes(entries: int, how: EventDay) -> list[int]:
    """How many entries each heat holds, in the order run: even sizes with the larger on the better side, or all full but the
    weakest."""
    if not entries:
        return []
    heats = -(-entries // how.at_once)
    if how.even:
        small, larger = divmod(entries, heats)
        sizes = [small] * (heats - larger) + [small + 1] * larger
    else:
        sizes = [entries - how.at_once * (heats - 1)] + [how.at_once] * (heats - 1)
    return sizes if how.best_last else sizes[::-1]


def _place(lock: Lock, pool: str, heats: int) -> int | None:
    name, place = lock.group.rsplit(".", 1)
    return int(place) - 1 if name == pool and 1 <= int(place) <= heats else None


def _fill(order: Sequence[str], sizes: Sequence[int], locked: Mapping[str, int | None]) -> list[list[str]]:
    """Entries into heats of these sizes, in order, around those whose heat is a choice to keep."""
    placed: list[list[str]] = [[entry for entry in order if locked.get(entry) == n] for n in range(len(sizes))]
    at = 0
    for entry in order:
        if locked.get(entry) is not None:
            continue
        while at < len(sizes) - 1 and len(placed[at]) >= sizes[at]:
            at += 1
        placed[at].append(entry)
    return placed


def _part_twins(placed: list[list[str]], members: Mapping[str, set[str]], locked: set[str]) -> None:
    """Entries that share an athlete change places with others until they stand in different heats, the nearest heat first."""

    def clash(entry: str, group: Sequence[str], without: str = "") -> bool:
        return any(members[entry] & members[other] for other in group if other not in (entry, without))

    for n, group in enumerate(placed):
        for entry in list(group):
            if entry in locked or not clash(entry, group):
                continue
            near = sorted((m for m in range(len(placed)) if m != n), key=lambda m, n=n: abs(m - n))  # type: ignore[misc]
            swaps = ((m, other) for m in near for other in placed[m] if other not in locked)
            for m, other in swaps:
                if not clash(entry, placed[m], other) and not clash(other, group, entry):
                    group[group.index(entry)], placed[m][placed[m].index(other)] = other, entry
                    break


def lanes_for(ranked: Sequence[str], how: EventDay, locks: Sequence[Lock] = ()) -> dict[int, str]:
    """Lanes for the entries of a heat, best first: from the middle of the event's lanes outwards, or from its first; a lane that
    is a choice to keep goes to its entry."""
    kept = {lock.lane: lock.entry for lock in locks if lock.lane in how.lanes and lock.entry in ranked}
    centre = (how.first_lane + how.last_lane) / 2
    order = sorted(how.lanes, key=lambda lane: (abs(lane - centre), lane)) if how.from_middle else list(how.lanes)
    free = [lane for lane in order if lane not in kept]
    rest = [entry for entry in ranked if entry not in kept.values()]
    return dict(sorted([*((lane or 0, entry or "") for lane, entry in kept.items()), *zip(free, rest, strict=False)]))
