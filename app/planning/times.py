"""When each heat runs: a constraint model over whole heats, solved with CP-SAT."""

import threading
import time
from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations, pairwise

from ortools.sat.python import cp_model

from app.planning.parts import (
    CORES,
    Expression,
    Impossible,
    Limits,
    NoPlan,
    NotFound,
    Progress,
    athletes_in,
    athletes_of,
    numbered,
    starts_of,
)
from app.planning.quick import quick_times
from app.rules.day.heats import Group, PlannedHeat, Problem
from app.rules.day.plan_numbers import earliest_end
from app.rules.records.judges import can_judge, minutes_of

LOOK_S = 0.1  # how often a search is asked whether it is enough
TIDY_S = 1.0  # for moving heats together once the end of the day is known


class TimesModel:
    """The variables and rules of one day."""

    def __init__(self, problem: Problem, groups: Sequence[Group]) -> None:
        self.problem, self.groups, self.rules = problem, list(groups), problem.rules
        self.model = cp_model.CpModel()
        self.starts = [self._start(n, group) for n, group in enumerate(self.groups)]
        self.end = self.model.new_int_var(0, 24 * 60, "end")
        for start, group in zip(self.starts, self.groups, strict=True):
            self.model.add(self.end >= start + group.minutes)
        self.model.add(self.end >= earliest_end(problem, groups))
        self._lanes()
        self._athletes()
        self._started()
        self._enough_judges()

    def _start(self, n: int, group: Group) -> cp_model.IntVar:
        fits = starts_of(self.problem, group)
        if not fits:
            raise NoPlan(f"No time is left in the day for heat {group.name}.")
        return self.model.new_int_var_from_domain(cp_model.Domain.from_values(fits), f"start{n}")

    def _after(self, earlier: int, later: int, gap: int) -> Expression:
        return self.starts[later] >= self.starts[earlier] + self.groups[earlier].minutes + gap

    def _either(self, one: int, other: int, gap: int) -> None:
        """One of the two runs first, with the gap between them."""
        first = self.model.new_bool_var(f"first{one}_{other}")
        self.model.add(self._after(one, other, gap)).only_enforce_if(first)
        self.model.add(self._after(other, one, gap)).only_enforce_if(~first)

    def _lanes(self) -> None:
        by_event: dict[str, list[int]] = defaultdict(list)
        for n, group in enumerate(self.groups):
            by_event[group.event].append(n)
        for own in by_event.values():
            chains: dict[str, list[int]] = defaultdict(list)
            for n in own:
                chains[self.groups[n].pool].append(n)
            for chain in chains.values():
                for earlier, later in pairwise(chain):
                    self.model.add(self._after(earlier, later, self.rules.changeover))
            self.model.add_no_overlap([self._interval(n, self.rules.changeover) for n in own])
        order = [event.id for event in self.problem.events if event.id in by_event]
        for first, second in combinations(order, 2):
            if set(self.rules.of(first).lanes) & set(self.rules.of(second).lanes):
                self._two_events(by_event[first], by_event[second])

    def _interval(self, n: int, gap: int) -> cp_model.IntervalVar:
        return self.model.new_fixed_size_interval_var(self.starts[n], self.groups[n].minutes + gap, f"floor{n}_{gap}")

    def _two_events(self, first: Sequence[int], second: Sequence[int]) -> None:
        if self.rules.take_turns:
            for one in first:
                for other in second:
                    self._either(one, other, self.rules.reset)
            return
        over = self.model.new_int_var(0, 24 * 60, "over")
        for one in first:
            self.model.add(over >= self.starts[one] + self.groups[one].minutes)
        for other in second:
            self.model.add(self.starts[other] >= over + self.rules.reset)

    def _athletes(self) -> None:
        """The rest between any two heats of an athlete; events in their order."""
        people = [athletes_of(self.problem, group) for group in self.groups]
        place = {event.id: n for n, event in enumerate(self.problem.events)}
        for one, other in combinations(range(len(self.groups)), 2):
            if not people[one] & people[other]:
                continue
            if self.groups[one].event == self.groups[other].event:
                self._either(one, other, self.rules.rest)
            else:
                first, second = sorted((one, other), key=lambda n: place[self.groups[n].event])
                self.model.add(self._after(first, second, self.rules.rest))

    def _started(self) -> None:
        """After the heats that have been started: on their lanes, and for their athletes."""
        people = [athletes_of(self.problem, group) for group in self.groups]
        for heat in self.problem.fixed:
            theirs, lanes = athletes_in(self.problem, heat), set(self.rules.of(heat.event).lanes)
            for n, group in enumerate(self.groups):
                gaps = [0]
                if lanes & set(self.rules.of(group.event).lanes):
                    gaps.append(self.rules.changeover if heat.event == group.event else self.rules.reset)
                if theirs & people[n]:
                    gaps.append(self.rules.rest)
                if len(gaps) > 1 or heat.event == group.event:
                    self.model.add(self.starts[n] >= heat.end + max(gaps))

    def _enough_judges(self) -> None:
        """At no time more lanes at once than judges who are here and do not compete themselves."""
        if not self.rules.with_judges or not self.problem.judges:
            return
        everybody = len(self.problem.judges)
        intervals = [self._interval(n, 0) for n in range(len(self.groups))]
        all_day = {judge.id for judge in self.problem.judges if not judge.hours and not judge.away}
        people = [athletes_of(self.problem, group) for group in self.groups]
        both = [sum(judge in all_day and athlete in own for judge, athlete in self.problem.both) for own in people]
        demands = [len(group.lanes) + competing for group, competing in zip(self.groups, both, strict=True)]
        for begin, end, here in _presence(self.problem):
            if here < everybody:
                intervals.append(self.model.new_fixed_size_interval_var(begin, end - begin, f"away{begin}"))
                demands.append(everybody - here)
        self.model.add_cumulative(intervals, demands, everybody)


def _presence(problem: Problem) -> list[tuple[int, int, int]]:
    """Stretches of the day with the number of judges who are here throughout."""
    edges = {0, 24 * 60}
    for judge in problem.judges:
        edges |= {minutes_of(clock) for hours in judge.hours for clock in (hours.start, hours.end)}
    return [(a, b, sum(can_judge(judge, a, b) for judge in problem.judges)) for a, b in pairwise(sorted(edges))]


class _Watch(cp_model.CpSolverSolutionCallback):
    """Tells of every better day that is found, and stops the search when somebody says so."""

    def __init__(self, limits: Limits, day_start: int) -> None:
        super().__init__()
        self.limits, self.begun, self.day_start, self.end = limits, time.perf_counter(), day_start, 0
        self.bound = day_start

    def on_solution_callback(self) -> None:
        """A better one."""
        self.end = round(self.objective_value)
        self.bound = max(self.bound, round(self.best_objective_bound))
        self.say()

    def on_bound(self, bound: float) -> None:
        """A better bound."""
        self.bound = max(self.bound, round(bound))
        if self.end:
            self.say()

    def say(self) -> None:
        """How far it is."""
        self.limits.tell(Progress("times", self.end, self.bound, time.perf_counter() - self.begun))
        if self.limits.stopped():
            self.stop_search()


def find_times(problem: Problem, groups: Sequence[Group], limits: Limits) -> tuple[list[PlannedHeat], int]:
    """The heats with their times, without judges, and the bound on the end of the day (minutes after midnight).

    Raises NoPlan. The day is made as short as it can be, then its heats are moved together.
    """
    built = TimesModel(problem, groups)
    built.model.minimize(built.end)
    for start, hint in zip(built.starts, quick_times(problem, groups), strict=True):
        built.model.add_hint(start, hint)
    watch = _Watch(limits, minutes_of(problem.rules.start))
    solver = solver_with(limits.seconds)
    solver.best_bound_callback = watch.on_bound
    status = solved(solver, built.model, watch, limits)
    if status == cp_model.INFEASIBLE:
        raise Impossible("No plan keeps all rules.")
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise NotFound("No plan was found in the time given. Allow more time, or relax a rule.")
    found = [solver.value(start) for start in built.starts]
    bound = max(watch.bound, round(solver.best_objective_bound))
    tidy = _moved_together(problem, groups, found, solver.value(built.end))
    return numbered(problem, groups, tidy), bound


def solver_with(seconds: float) -> cp_model.CpSolver:
    """A solver for so many seconds on the cores that judging leaves."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = CORES
    solver.parameters.random_seed = 1
    return solver


def solved(
    solver: cp_model.CpSolver, model: cp_model.CpModel, hears: cp_model.CpSolverSolutionCallback, limits: Limits
) -> cp_model.CpSolverStatus:
    """Solves a model, and ends the search soon after somebody has said that it is enough, whether or not it gets on."""
    over = threading.Event()

    def watch() -> None:
        while not over.wait(LOOK_S):
            if limits.stopped():
                solver.stop_search()

    threading.Thread(target=watch, daemon=True).start()
    try:
        return solver.solve(model, hears)
    finally:
        over.set()


def _moved_together(problem: Problem, groups: Sequence[Group], found: Sequence[int], end: int) -> list[int]:
    """The same end of the day with every heat as early as can be, so that no time is left standing about."""
    built = TimesModel(problem, groups)
    built.model.add(built.end <= end)
    built.model.minimize(sum(built.starts))
    for start, hint in zip(built.starts, found, strict=True):
        built.model.add_hint(start, hint)
    solver = solver_with(TIDY_S)
    status = solver.solve(built.model)
    better = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return [solver.value(start) for start in built.starts] if better else list(found)
