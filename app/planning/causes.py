"""Why no plan stands: one rule at a time is let go of, and those are named without which a plan was found.

Nothing is said of a rule that was not tried so. Which of several to change is the organiser's to say.
"""

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from app.planning.judging import find_judges
from app.planning.parts import Limits, NoPlan, Progress, Stopped
from app.planning.quick import quick_plan
from app.planning.times import find_times
from app.rules.day.heats import Problem, groups_of
from app.rules.day.plan_check import broken_rules
from app.rules.day.plan_numbers import obstacles
from app.rules.records.day import DayRules

MOST_S = 1.0  # for each rule that is tried; a day that needs longer is not told of


@dataclass(frozen=True, slots=True)
class Without:
    """A problem without one of its rules, and what that rule is called."""

    words: str
    problem: Problem


def why_no_plan(problem: Problem, limits: Limits) -> str:
    """A sentence that names each rule without which a plan stands."""
    limits.tell(Progress("causes", 0, 0, 0.0))
    without = list(_without(problem))
    seconds = min(MOST_S, limits.seconds / max(1, len(without)))
    stand = [one.words for one in without if _stands(one.problem, seconds, limits.stopped)]
    if not stand and problem.rules.with_judges:
        stand = ["judges on every lane"] if _stands(_ruled(problem, with_judges=False), seconds, limits.stopped) else []
    if not stand:
        return "Dropping any one rule is not enough either: try changing two or more."
    if len(stand) == 1:
        return f"A plan works without {stand[0]}: change that."
    return f"A plan works without {', or without '.join(stand)}: change one of them."


def _ruled(problem: Problem, **rules: object) -> Problem:
    return problem.model_copy(update={"rules": problem.rules.model_copy(update=rules)})


def _without(problem: Problem) -> Iterator[Without]:
    """The problem without each of the rules that it has."""
    for words, loosened in _day_rules(problem.rules):
        yield Without(words, _ruled(problem, **loosened))
    if not problem.rules.with_judges:
        return
    for words, loosened in _judge_rules(problem.rules):
        yield Without(words, _ruled(problem, **loosened))
    if any(judge.hours for judge in problem.judges):
        at_any_time = tuple(judge.model_copy(update={"hours": ()}) for judge in problem.judges)
        yield Without("the hours of the judges", problem.model_copy(update={"judges": at_any_time}))
    if problem.both:
        yield Without("the rule that nobody judges while competing", problem.model_copy(update={"both": ()}))


def _day_rules(rules: DayRules) -> Iterator[tuple[str, dict[str, object]]]:
    yield f"the hours of the day, {rules.start} to {rules.end}", {"start": "00:00", "end": "24:00"}
    if rules.breaks:
        yield "the breaks", {"breaks": ()}
    if rules.rest:
        yield f"the {rules.rest} min of rest for an athlete", {"rest": 0}
    if rules.changeover or rules.reset:
        yield f"the {rules.changeover} and {rules.reset} min between heats", {"changeover": 0, "reset": 0}
    if rules.step > 1:
        yield f"start times rounded to {rules.step} min", {"step": 1}
    if not rules.take_turns:
        yield "the rule that events don't alternate", {"take_turns": True}
    if rules.locks:
        yield "the choices that are kept", {"locks": ()}


def _judge_rules(rules: DayRules) -> Iterator[tuple[str, dict[str, object]]]:
    if rules.judge_work < rules.judge_of:
        yield f"the rest of the judges ({rules.judge_work} of {rules.judge_of} heats)", {"judge_work": rules.judge_of}
    if not rules.own_club:
        yield "the rule that nobody judges their own club", {"own_club": True}


def _stands(problem: Problem, seconds: float, stopped: Stopped) -> bool:
    """Whether a plan is found that keeps every rule of this problem; the first one will do."""
    groups = groups_of(problem)
    if stopped() or obstacles(problem, groups):
        return False
    if quick_plan(problem, groups) is not None:
        return True
    try:
        timed, _ = find_times(problem, groups, _first(seconds, stopped))
        heats = [*problem.fixed, *timed]
        whole = find_judges(problem, heats, _first(seconds, stopped)) if problem.rules.with_judges else heats
    except NoPlan:
        return False
    return not broken_rules(problem, whole)


def _first(seconds: float, stopped: Callable[[], bool]) -> Limits:
    """Limits of a search that ends with the first thing it finds."""
    found = threading.Event()
    return Limits(seconds, lambda _: found.set(), lambda: found.is_set() or stopped())
