"""A published day changed with the fewest moves: what has run stays, nobody starts earlier than was announced, heats keep their
order, and only what must move does."""

import time
from collections.abc import Sequence
from itertools import combinations

from ortools.sat.python import cp_model

from app.planning.judging import JudgesModel, judged
from app.planning.making import Plan
from app.planning.parts import Expression, Limits, NoPlan, NotFound, Progress, athletes_in, in_order
from app.planning.times import solver_with
from app.rules.day.heats import Group, PlanEvent, PlannedHeat, Problem, Spot, heat_sizes
from app.rules.day.late_change import LateChange
from app.rules.day.plan_numbers import judge_obstacles
from app.rules.records.judges import minutes_of

LATEST = 36 * 60  # minutes after midnight: an overrun may pass it, and the list of moves then says so
MOVE = 100_000  # a move weighs more than all minutes of delay together
NEW_HEAT = 3 * MOVE


class LateModel:
    """The variables and rules of a day that changes."""

    def __init__(self, late: LateChange) -> None:
        self.late, self.problem, self.rules = late, late.given, late.given.rules
        self.model = cp_model.CpModel()
        self.done = [heat for heat in late.published if heat.done]
        self.heats = [heat for heat in (_without_gone(self.problem, heat) for heat in late.published if not heat.done) if heat]
        self.new = _new_heats(self.problem, late.published)
        self.used = [self.model.new_bool_var(f"used{n}") for n in range(len(self.new))]
        self.everything = [*in_order(self.heats), *self.new]
        self.old = len(self.heats)
        self.starts = [self._start(n, heat) for n, heat in enumerate(self.everything)]
        self.costs: list[Expression] = [NEW_HEAT * used for used in self.used]
        self.places: dict[tuple[int, str], cp_model.IntVar] = {}
        self._moved()
        self._order()
        self._breaks()
        self._newcomers()
        self._athletes()

    def _start(self, n: int, heat: PlannedHeat) -> cp_model.IntVar:
        earliest = max(self.late.not_before, heat.start)
        return self.model.new_int_var(earliest, max(earliest, LATEST), f"start{n}")

    def is_new(self, n: int) -> bool:
        """Whether a heat would have to be made."""
        return n >= self.old

    def _moved(self) -> None:
        for n, heat in enumerate(self.everything[: self.old]):
            moved = self.model.new_bool_var(f"moved{n}")
            self.model.add(self.starts[n] == heat.start).only_enforce_if(~moved)
            self.costs += [MOVE * moved, self.starts[n] - heat.start]
        self.costs += [self.starts[n] - self.late.not_before for n in range(self.old, len(self.everything))]

    def _gap(self, one: PlannedHeat, other: PlannedHeat) -> int | None:
        """What lies between two heats that share lanes, in minutes; None for heats that share none."""
        if one.event == other.event:
            return self.rules.changeover
        shared = set(self.rules.of(one.event).lanes) & set(self.rules.of(other.event).lanes)
        return self.rules.reset if shared else None

    def _order(self) -> None:
        for n, m in combinations(range(len(self.everything)), 2):
            gap = self._gap(self.everything[n], self.everything[m])
            if gap is None:
                continue
            if self.is_new(n) or self.is_new(m):
                same = self.everything[n].event == self.everything[m].event
                self._after(n, m, gap) if same else self._either(n, m, gap)
            else:
                apart = self.everything[m].start - self.everything[n].end
                self._after(n, m, min(gap, apart) if apart >= 0 else gap)
        for n, heat in enumerate(self.everything):
            for before in self.done:
                gap = self._gap(before, heat)
                if gap is not None:
                    self.model.add(self.starts[n] >= before.end + gap)

    def _after(self, first: int, second: int, gap: int) -> None:
        after = self.model.add(self.starts[second] >= self.starts[first] + self.everything[first].minutes + gap)
        used = [self.used[n - self.old] for n in (first, second) if self.is_new(n)]
        if used:
            after.only_enforce_if(used)

    def _either(self, one: int, other: int, gap: int, *when: cp_model.IntVar) -> None:
        first = self.model.new_bool_var("")
        used = [self.used[n - self.old] for n in (one, other) if self.is_new(n)] + list(when)
        length = [self.everything[n].minutes for n in (one, other)]
        self.model.add(self.starts[other] >= self.starts[one] + length[0] + gap).only_enforce_if(first, *used)
        self.model.add(self.starts[one] >= self.starts[other] + length[1] + gap).only_enforce_if(~first, *used)

    def _breaks(self) -> None:
        """A break may begin later, and then be as short as it may become; heats stay on their side of it."""
        for one in self.rules.breaks:
            begin, end = minutes_of(one.start), minutes_of(one.end)
            starts = self.model.new_int_var(begin, LATEST, "")
            ends = self.model.new_int_var(end, LATEST + 24 * 60, "")
            self.model.add(ends >= starts + one.shortest)
            for heat in self.done:
                if heat.start < end:
                    self.model.add(starts >= min(heat.end, LATEST))
            for n, heat in enumerate(self.everything):
                if self.is_new(n):
                    before = self.model.new_bool_var("")
                    self.model.add(self.starts[n] + heat.minutes <= starts).only_enforce_if(before)
                    self.model.add(self.starts[n] >= ends).only_enforce_if(~before)
                elif heat.start < end:
                    self.model.add(self.starts[n] + heat.minutes <= starts)
                else:
                    self.model.add(self.starts[n] >= ends)

    def _newcomers(self) -> None:
        """Everybody who stands nowhere yet gets a free lane, or a place in a new heat."""
        for event in self.problem.events:
            for entry in _nowhere(event, self.late.published):
                fits = [n for n in range(len(self.everything)) if self._may_join(n, event, entry)]
                for n in fits:
                    self.places[n, entry] = self.model.new_bool_var(f"in{n}_{entry}")
                    if self.is_new(n):
                        self.model.add_implication(self.places[n, entry], self.used[n - self.old])
                if not fits:
                    raise NoPlan(f"{event.name} has no lane left for a late entry.")
                self.model.add_exactly_one([self.places[n, entry] for n in fits])
        for n, heat in enumerate(self.everything):
            joining = [place for (where, _), place in self.places.items() if where == n]
            if joining:
                self.model.add(sum(joining) + len(heat.spots) <= self.rules.of(heat.event).at_once)

    def _may_join(self, n: int, event: PlanEvent, entry: str) -> bool:
        heat = self.everything[n]
        if heat.event != event.id:
            return False
        division = {one.id: one.division for one in self.problem.entries}
        others = {division[spot.entry] for spot in heat.spots}
        if self.is_new(n) and self.rules.of(event.id).apart:
            return heat.group.rsplit(".", 1)[0] == division[entry]
        return not self.rules.of(event.id).apart or others <= {division[entry]}

    def _athletes(self) -> None:
        """The rest between heats of an athlete. Heats that were published closer together come no closer."""
        people = [athletes_in(self.problem, heat) for heat in self.everything]
        members = {entry.id: set(entry.members) for entry in self.problem.entries}
        for n, m in combinations(range(self.old), 2):
            if people[n] & people[m]:
                apart = self.everything[m].start - self.everything[n].end
                self._after(n, m, min(self.rules.rest, apart) if apart >= 0 else self.rules.rest)
        for n in range(len(self.everything)):
            for before in self.done:
                if people[n] & athletes_in(self.problem, before):
                    self.model.add(self.starts[n] >= before.end + self.rules.rest)
        for (n, entry), place in self.places.items():
            for before in self.done:
                if members[entry] & athletes_in(self.problem, before):
                    self.model.add(self.starts[n] >= before.end + self.rules.rest).only_enforce_if(place)
            for m in range(len(self.everything)):
                if members[entry] & people[m]:
                    if m == n:
                        self.model.add(place == 0)
                    else:
                        self._either(n, m, self.rules.rest, place)
            self._both_late(n, entry, place, members)

    def _both_late(self, n: int, entry: str, place: cp_model.IntVar, members: dict[str, set[str]]) -> None:
        for (m, other), its_place in self.places.items():
            if (m, other) <= (n, entry) or not members[entry] & members[other]:
                continue
            if m == n:
                self.model.add_bool_or([~place, ~its_place])
            else:
                self._either(n, m, self.rules.rest, place, its_place)


def _without_gone(problem: Problem, heat: PlannedHeat) -> PlannedHeat | None:
    """A heat without those who have withdrawn; None if nobody is left."""
    still = next((set(event.order) for event in problem.events if event.id == heat.event), set())
    spots = tuple(spot for spot in heat.spots if spot.entry in still)
    return heat.model_copy(update={"spots": spots}) if spots else None


def _nowhere(event: PlanEvent, published: Sequence[PlannedHeat]) -> list[str]:
    there = {spot.entry for heat in published if heat.event == event.id for spot in heat.spots}
    return [entry for entry in event.order if entry not in there]


def _new_heats(problem: Problem, published: Sequence[PlannedHeat]) -> list[PlannedHeat]:
    """Heats that may have to be made for late entries: as many as they would fill by themselves. Empty, and without a time."""
    made = []
    division = {entry.id: entry.division for entry in problem.entries}
    for event in problem.events:
        how, late = problem.rules.of(event.id), _nowhere(event, published)
        last = max((heat.number for heat in published if heat.event == event.id), default=0)
        pools = sorted({division[entry] for entry in late}) if how.apart else ["*"] * bool(late)
        for pool in pools:
            own = [entry for entry in late if pool in ("*", division[entry])]
            for place in range(1, len(heat_sizes(len(own), how)) + 1):
                last += 1
                plain = {"event": event.id, "number": last, "start": 0, "minutes": event.minutes, "spots": ()}
                made.append(PlannedHeat.model_validate({**plain, "group": f"{pool}.{place}"}))
    return made


def make_replan(late: LateChange, limits: Limits) -> Plan:
    """The day as it should be now. Raises NoPlan."""
    built = LateModel(late)
    built.model.minimize(sum(built.costs))
    begun = time.perf_counter()
    solver = solver_with(limits.seconds)
    status = solver.solve(built.model)
    if status == cp_model.INFEASIBLE:
        raise NoPlan("The published day can't be rescued with these rules. Allow less rest, or make a new plan.")
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise NotFound("Nothing was found in the time given. Allow more time, or make a new plan.")
    heats = in_order([*built.done, *_timed(built, solver)])
    limits.tell(Progress("times", heats[-1].end if heats else 0, 0, time.perf_counter() - begun))
    whole = _judged(late, heats, limits) if built.rules.with_judges else [_without_away(built.problem, heat) for heat in heats]
    end = max((heat.end for heat in whole), default=0)
    return Plan(heats=tuple(whole), end=end, bound=end if status == cp_model.OPTIMAL else 0)


def _timed(built: LateModel, solver: cp_model.CpSolver) -> list[PlannedHeat]:
    made, dropped = [], 0
    for n, heat in enumerate(built.everything):
        if built.is_new(n) and not solver.boolean_value(built.used[n - built.old]):
            dropped += 1
            continue
        joining = [entry for (where, entry), place in built.places.items() if where == n and solver.boolean_value(place)]
        made.append(heat.model_copy(update={"start": solver.value(built.starts[n]), "spots": _spots(built, heat, joining)}))
    return _renumbered(built, made) if dropped else made


def _renumbered(built: LateModel, heats: Sequence[PlannedHeat]) -> list[PlannedHeat]:
    """New heats count on from the last that there is, in the order run."""
    last: dict[str, int] = {}
    for heat in built.late.published:
        last[heat.event] = max(last.get(heat.event, 0), heat.number)
    made = []
    for heat in in_order(heats):
        if heat.group and not heat.key:
            last[heat.event] = last.get(heat.event, 0) + 1
            made.append(heat.model_copy(update={"number": last[heat.event]}))
        else:
            made.append(heat)
    return made


def _spots(built: LateModel, heat: PlannedHeat, joining: Sequence[str]) -> tuple[Spot, ...]:
    how = built.rules.of(heat.event)
    taken = {spot.lane for spot in heat.spots}
    free = [lane for lane in lanes_in_order(how.lanes, how.from_middle) if lane not in taken]
    added = [Spot(lane=lane, entry=entry) for lane, entry in zip(free, joining, strict=False)]
    return tuple(sorted([*heat.spots, *added], key=lambda spot: spot.lane))


def lanes_in_order(lanes: Sequence[int], middle: bool) -> list[int]:
    """Lanes in the order in which they are given away."""
    centre = (lanes[0] + lanes[-1]) / 2
    return sorted(lanes, key=lambda lane: (abs(lane - centre), lane)) if middle else list(lanes)


def _without_away(problem: Problem, heat: PlannedHeat) -> PlannedHeat:
    here = {judge.id for judge in problem.judges if not judge.away}
    if heat.done:
        return heat
    spots = tuple(s if s.judge in here else s.model_copy(update={"judge": None}) for s in heat.spots)
    return heat.model_copy(update={"spots": spots})


def _judged(late: LateChange, heats: list[PlannedHeat], limits: Limits) -> list[PlannedHeat]:
    """Judges stay where they were, wherever they may; then the load is made fair."""
    waiting = [Group(h.event, "x.1", h.minutes, {s.lane: s.entry for s in h.spots}) for h in heats if not h.done]
    in_the_way = judge_obstacles(late.given, waiting) if waiting else []
    if in_the_way:
        raise NoPlan(" ".join(one.sentence for one in in_the_way))
    built = JudgesModel(late.given, heats)
    changed = []
    for (n, lane, judge), on in built.on.items():
        before = next((spot.judge for spot in heats[n].spots if spot.lane == lane), None)
        built.model.add_hint(on, before == judge)
        if before == judge:
            changed.append(1 - on)
    built.model.minimize(1000 * sum(changed) + built.fair())
    solver = solver_with(max(limits.seconds / 2, 2.0))
    return judged(heats, solver, built, solver.solve(built.model))
