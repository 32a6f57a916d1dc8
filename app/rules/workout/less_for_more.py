"""Where doing more may rank lower, because the event's own rule says so: one row each. Everywhere else more work, a heavier good
lift or an earlier finish never makes a score or a place worse; tests/rules/result/test_never_worse.py holds that as a law.

Each row says what it asks of a format, and the sentence that the brief and the explanation tell of it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, ScoreRule, Task


@dataclass(frozen=True, slots=True)
class LessForMore:
    """applies: whether a score of a format has the rule. The sentence is the word `less_for_more.` and the row's key."""

    applies: Callable[[Format, ScoreRule], bool]


def told_exceptions(format: Format, rule: ScoreRule) -> tuple[str, ...]:
    """The sentences on every rule of a score by which doing more may rank lower."""
    return tuple(say(f"less_for_more.{key}") for key, row in ROWS.items() if row.applies(format, rule))


def _takes(rule: ScoreRule, *takes: str) -> bool:
    return any(part.take in takes for part in rule.parts)


def _tasks(format: Format, rule: ScoreRule) -> Iterator[Task]:
    """The tasks of the windows that a score takes from."""
    for part in rule.parts:
        yield from (format.tasks[format.windows[index].task or ""] for index in format.window_indexes(part))


def _lifts(asks: Callable[[LiftTask], bool]) -> Callable[[Format, ScoreRule], bool]:
    return lambda format, rule: any(isinstance(task, LiftTask) and asks(task) for task in _tasks(format, rule))


def _measures(*keeps: str) -> Callable[[Format, ScoreRule], bool]:
    return lambda format, rule: any(isinstance(task, MeasureTask) and task.keep in keeps for task in _tasks(format, rule))


def _ties(*kinds: str) -> Callable[[Format, ScoreRule], bool]:
    return lambda format, rule: any(step.kind in kinds for step in rule.ties)


def _less_is_better(format: Format, rule: ScoreRule) -> bool:
    return rule.better == "less" and any(part.take != "time" for part in rule.parts)


def _taken_off(format: Format, rule: ScoreRule) -> bool:
    return any(part.weight < 0 for part in rule.parts) or (rule.cap_adds is not None and rule.cap_adds < 0)


def _last_of_several(format: Format, rule: ScoreRule) -> bool:
    return any(part.take == "last" and len(format.window_indexes(part)) > 1 for part in rule.parts)


def _shared(format: Format, rule: ScoreRule) -> bool:
    """Whether members share work that ends, each for their own best: what one does, another can't."""
    tasks = list(_tasks(format, rule))
    ends = any(isinstance(task, ListTask) or (isinstance(task, CountTask) and task.target is not None) for task in tasks)
    return format.members > 1 and _takes(rule, "member_best") and ends


FEWER = (
    "fewer_attempts",
    "attempt_of_part",
    "previous_attempts",
    "previous_of_part",
    "lower_part",
    "tries_at_best",
    "fewer_misses",
)
ROWS: Mapping[str, LessForMore] = {
    "less": LessForMore(_less_is_better),
    "longer": LessForMore(lambda format, rule: rule.better == "more" and _takes(rule, "time")),
    "taken_off": LessForMore(_taken_off),
    "last": LessForMore(_last_of_several),
    "shared": LessForMore(_shared),
    "counters": LessForMore(lambda format, rule: format.counters.how != "lane"),
    "second_tablet": LessForMore(lambda format, rule: True),
    "sooner": LessForMore(_ties("time_of_count", "earlier_best", "total_first")),
    "fewer": LessForMore(_ties(*FEWER)),
    "attempts": LessForMore(_lifts(lambda task: task.attempts is not None or not task.tries_until_racked)),
    "going_down": LessForMore(_lifts(lambda task: not task.may_go_down)),
    "every_part": LessForMore(lambda format, rule: rule.every_part),
    "least_increase": LessForMore(_lifts(lambda task: task.step_after_good is not None)),
    "remeasured": LessForMore(_measures("last", "least")),
}
