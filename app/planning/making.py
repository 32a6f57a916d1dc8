"""A whole plan: arithmetic first, then entries into heats, their times, their judges."""

import time
from collections.abc import Sequence
from dataclasses import replace

from app.planning.causes import why_no_plan
from app.planning.judging import find_judges
from app.planning.parts import Impossible, Limits, NoPlan, NotFound, Progress, in_order
from app.planning.quick import quick_plan
from app.planning.times import find_times
from app.rules.day.heats import Group, PlannedHeat, Problem, groups_of
from app.rules.day.plan_check import broken_rules
from app.rules.day.plan_numbers import earliest_end, obstacles
from app.rules.values.shapes import Base

JUDGES_SHARE = 0.4  # of the time given, for the judges


class Plan(Base):
    """A plan that was found: all heats of the day, the end of its last one, and the bound below which no plan can end."""

    heats: tuple[PlannedHeat, ...]
    end: int
    bound: int


def make_plan(problem: Problem, limits: Limits) -> Plan:
    """The plan of a day, checked. Raises NoPlan with a sentence that says what to change."""
    groups = groups_of(problem)
    in_the_way = obstacles(problem, groups)
    if in_the_way:
        raise NoPlan(" ".join(one.sentence for one in in_the_way))
    judging = problem.rules.with_judges
    for_times = limits.seconds * (1 - JUDGES_SHARE) if judging else limits.seconds
    quick = _quick_plan(problem, groups, limits)
    try:
        timed, bound = find_times(problem, groups, replace(limits, seconds=for_times))
        heats = [*problem.fixed, *timed]
        whole = find_judges(problem, heats, replace(limits, seconds=limits.seconds - for_times)) if judging else in_order(heats)
    except NotFound:
        if quick is None:
            raise
        return quick
    except Impossible as why:
        raise NoPlan(f"{why} {why_no_plan(problem, limits)}") from None
    wrong = broken_rules(problem, whole)
    if wrong:  # the checker shares nothing with the solver: what it refuses is never shown
        raise NoPlan(f"The plan found breaks a rule, so it is not used: {wrong[0]}")
    return Plan(heats=tuple(whole), end=max(heat.end for heat in whole), bound=bound)


def _quick_plan(problem: Problem, groups: Sequence[Group], limits: Limits) -> Plan | None:
    """The plan that needs no search: there at once, and the way out if the search finds nothing."""
    begun = time.perf_counter()
    heats = quick_plan(problem, groups)
    if heats is None:
        return None
    end, bound = max(heat.end for heat in heats), earliest_end(problem, groups)
    limits.tell(Progress("first", end, bound, time.perf_counter() - begun))
    return Plan(heats=tuple(heats), end=end, bound=bound)
