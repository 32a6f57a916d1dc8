"""Who judges where: every lane of every heat gets a judge, with rest and a fair load, solved with CP-SAT."""

import time
from collections.abc import Mapping, Sequence

from ortools.sat.python import cp_model

from app.planning.parts import (
    Expression,
    Impossible,
    Kept,
    Limits,
    NoPlan,
    Progress,
    in_order,
    judges_competing,
    locked_judges,
    with_judges,
)
from app.planning.rota import rota
from app.planning.times import solved, solver_with
from app.rules.day.heats import PlannedHeat, Problem
from app.rules.records.judges import can_judge

LEAST_S = 2.0
NO_JUDGES = "The heats fit, but not with the judges available: {why} Find more judges, or plan without them."


class JudgesModel:
    """Which judge stands on which lane of which heat. Heats come in the order run."""

    def __init__(self, problem: Problem, heats: Sequence[PlannedHeat]) -> None:
        self.problem, self.heats, self.rules = problem, heats, problem.rules
        self.model = cp_model.CpModel()
        self.on: dict[tuple[int, int, str], cp_model.IntVar] = {}
        self.works: dict[tuple[int, str], Expression] = {}
        clubs = {entry.id: set(entry.clubs) for entry in problem.entries}
        for n, heat in enumerate(heats):
            self._heat(n, heat, clubs)
        self._rest()

    def _heat(self, n: int, heat: PlannedHeat, clubs: Mapping[str, set[str]]) -> None:
        competing = judges_competing(self.problem, self.heats, heat)
        for spot in heat.spots:
            if heat.done:
                continue
            here = [one for one in self.problem.judges if can_judge(one, heat.start, heat.end) and one.id not in competing]
            allowed = [j.id for j in here if self.rules.own_club or j.club not in clubs.get(spot.entry, set())]
            if not allowed:
                raise Impossible(NO_JUDGES.format(why=f"nobody who is here may judge lane {spot.lane} of heat {heat.number}."))
            for judge in allowed:
                self.on[n, spot.lane, judge] = self.model.new_bool_var(f"on{n}_{spot.lane}_{judge}")
            self.model.add_exactly_one([self.on[n, spot.lane, judge] for judge in allowed])
        for judge_id in (judge.id for judge in self.problem.judges):
            if heat.done:
                self.works[n, judge_id] = int(any(spot.judge == judge_id for spot in heat.spots))
                continue
            lanes = [self.on[n, s.lane, judge_id] for s in heat.spots if (n, s.lane, judge_id) in self.on]
            if lanes:
                self.model.add_at_most_one(lanes)
            self.works[n, judge_id] = sum(lanes) if lanes else 0

    def _rest(self) -> None:
        work, of = self.rules.judge_work, self.rules.judge_of
        for judge in (judge.id for judge in self.problem.judges):
            for n in range(len(self.heats) - of + 1):
                window = [self.works[m, judge] for m in range(n, n + of)]
                if not all(isinstance(one, int) for one in window):
                    self.model.add(sum(window) <= work)
            for n, m in _beside(self.heats):
                if not (isinstance(self.works[n, judge], int) and isinstance(self.works[m, judge], int)):
                    self.model.add(self.works[n, judge] + self.works[m, judge] <= 1)

    def keep(self, kept: Kept) -> None:
        """Choices that must stay. Raises NoPlan for one that breaks a rule by itself."""
        for (n, lane), judge in kept.items():
            if (n, lane, judge) not in self.on:
                name = next((one.name for one in self.problem.judges if one.id == judge), "A judge")
                raise NoPlan(f"{name} was to judge lane {lane} of a heat but can't: away, busy then, or from the same club.")
            self.model.add(self.on[n, lane, judge] == 1)

    def fair(self) -> Expression:
        """How far the loads lie apart, in lanes; a judge who is not here all day only counts at the top."""
        loads = {j.id: sum(self.works[n, j.id] for n in range(len(self.heats))) for j in self.problem.judges if not j.away}
        most = self.model.new_int_var(0, len(self.heats), "most")
        least = self.model.new_int_var(0, len(self.heats), "least")
        for judge in (judge for judge in self.problem.judges if not judge.away):
            self.model.add(most >= loads[judge.id])
            if not judge.hours:
                self.model.add(least <= loads[judge.id])
        return most - least


def _beside(heats: Sequence[PlannedHeat]) -> list[tuple[int, int]]:
    """Pairs of heats that run at the same time."""
    return [(n, m) for n in range(len(heats)) for m in range(n + 1, len(heats)) if heats[m].start < heats[n].end]


def find_judges(problem: Problem, planned: Sequence[PlannedHeat], limits: Limits) -> list[PlannedHeat]:
    """The heats with a judge on every lane. Raises NoPlan."""
    heats = in_order(planned)
    kept = locked_judges(problem, heats)
    first = rota(problem, heats, kept)
    if first.fair:
        limits.tell(Progress("judges", 0, 0, 0.0))
        return with_judges(heats, first.chosen)
    built = JudgesModel(problem, heats)
    built.keep(kept)
    built.model.minimize(built.fair())
    for (n, lane, judge), on in built.on.items():
        built.model.add_hint(on, first.chosen.get((n, lane)) == judge)
    solver = solver_with(max(limits.seconds, LEAST_S))
    status = solved(solver, built.model, _Stopping(limits), limits)
    return judged(heats, solver, built, status)


class _Stopping(cp_model.CpSolverSolutionCallback):
    """Stops at the first arrangement once somebody has said that it is enough, and at a spread of one, which is fair."""

    def __init__(self, limits: Limits) -> None:
        super().__init__()
        self.limits, self.begun = limits, time.perf_counter()

    def on_solution_callback(self) -> None:
        """A better one."""
        self.limits.tell(Progress("judges", 0, 0, time.perf_counter() - self.begun))
        if self.limits.stopped() or self.objective_value <= 1:
            self.stop_search()


def judged(
    heats: Sequence[PlannedHeat], solver: cp_model.CpSolver, built: JudgesModel, status: cp_model.CpSolverStatus
) -> list[PlannedHeat]:
    """The heats with the judges that the solver found. Raises NoPlan."""
    if status == cp_model.INFEASIBLE:
        raise Impossible(NO_JUDGES.format(why="rest, clubs and hours leave a lane without one."))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise NoPlan("The heats fit, but no way to place the judges was found in the time given. Allow more time.")
    chosen = {(n, lane): judge for (n, lane, judge), on in built.on.items() if solver.boolean_value(on)}
    return with_judges(heats, chosen)
