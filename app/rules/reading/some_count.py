"""Of all that is done, only some counts: `Score: total burpees`, where other things are done in windows of their own."""

from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.clock import Clock, Done
from app.rules.reading.things import is_such
from app.rules.workout.formats import CountTask, LiftTask, ListTask, MeasureTask
from app.rules.workout.tasks import Task


def of_what_counts(clock: Clock, done: Sequence[Done]) -> list[Done]:
    """What is done without the tasks that the score does not name; all of it where no movement is named."""
    if not clock.draft.score_of:
        return list(done)
    found: list[Done] = []
    for one in done:
        tasks = tuple(key for key in one.tasks if _counts(clock, one, key))
        windows = tuple(number for number in one.windows if clock.windows[number].task in tasks)
        if tasks:
            found.append(replace(one, tasks=tasks, windows=windows))
    for key, span in clock.draft.score_of:
        if not any(_named(clock, movement, key) for task in clock.tasks.values() for movement in _movements(task)):
            clock.things.talk.red(span, "What counts is not done.")
    return found or list(done)


def _counts(clock: Clock, one: Done, key: str) -> bool:
    """Whether a task is what counts. Of a list it must be all, or what is done in the time that the list leaves."""
    task = clock.tasks[key]
    told = [any(_named(clock, movement, name) for name, _ in clock.draft.score_of) for movement in _movements(task)]
    if not any(told) or all(told):
        return any(told)
    tail = any(group.role == "rest-of-time" for group in one.stretch.groups)
    if not (tail and told[-1] and not any(told[:-1])):
        span = clock.draft.score_of[0][1]
        clock.things.talk.cannot(span, "That of a list only one thing counts can't be said yet: all of it counts.")
    return True


def _named(clock: Clock, movement: str, name: str) -> bool:
    return is_such(clock.things.movements[movement].library or movement, name)


def _movements(task: Task) -> list[str]:
    match task:
        case ListTask():
            return [item.movement for item in task.items]
        case CountTask() | MeasureTask() | LiftTask():
            return [task.movement]
