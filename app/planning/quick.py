"""A day put together without a search: each heat as early as it can run. What the solver begins with."""

from collections.abc import Sequence

from app.planning.parts import athletes_in, athletes_of, in_order, locked_judges, numbered, starts_of, with_judges
from app.planning.rota import rota
from app.rules.day.heats import Group, PlannedHeat, Problem
from app.rules.day.plan_check import broken_rules


def quick_plan(problem: Problem, groups: Sequence[Group]) -> list[PlannedHeat] | None:
    """The plan that needs no search, judges and all, if it keeps every rule."""
    heats = in_order([*problem.fixed, *numbered(problem, groups, quick_times(problem, groups))])
    if problem.rules.with_judges:
        chosen = rota(problem, heats, locked_judges(problem, heats)).chosen
        if any((n, spot.lane) not in chosen for n, heat in enumerate(heats) for spot in heat.spots if not heat.done):
            return None
        heats = with_judges(heats, chosen)
    return None if broken_rules(problem, heats) else heats


def quick_times(problem: Problem, groups: Sequence[Group]) -> list[int]:
    """A start for every heat to be, event after event; where nothing fits any more, the last that there is."""
    rules = problem.rules
    people = [athletes_of(problem, group) for group in groups]
    lanes = [set(rules.of(group.event).lanes) for group in groups]
    placed: dict[int, int] = {}
    busy = [(heat.end, heat.event, set(rules.of(heat.event).lanes), athletes_in(problem, heat)) for heat in problem.fixed]

    def earliest(n: int) -> int:
        after = 0
        for end, event, its_lanes, its_people in busy:
            gap = rules.changeover if event == groups[n].event else rules.reset
            after = max(after, end + gap) if its_lanes & lanes[n] or event == groups[n].event else after
            after = max(after, end + rules.rest) if its_people & people[n] else after
        fits = starts_of(problem, groups[n])
        return next((start for start in fits if start >= after), fits[-1] if fits else after)

    for event in problem.events:
        own = [n for n, group in enumerate(groups) if group.event == event.id]
        while own:
            next_of_pool = {groups[n].pool: n for n in reversed(own)}
            chosen = min(next_of_pool.values(), key=lambda n: (earliest(n), n))
            placed[chosen] = earliest(chosen)
            busy.append((placed[chosen] + groups[chosen].minutes, event.id, lanes[chosen], people[chosen]))
            own.remove(chosen)
    return [placed[n] for n in range(len(groups))]
