"""What looks like nonsense in a format that is nevertheless possible: warnings for whoever composes it, never refusals."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, Task, Window
from app.rules.workout.tasks import FASTEST_TAPS
from app.rules.workout.turns import members_in
from app.rules.workout.words import member_letter

LEAST_ATTEMPT_SECONDS = 20  # to change plates and walk up; common sense, no source


@dataclass(frozen=True, slots=True)
class Advice:
    """A warning and where it points: `window 3`, `task squat`, `score`."""

    where: str
    sentence: str


def advice(format: Format) -> list[Advice]:
    """All warnings, in the order in which the composer shows things."""
    found = [*_overlaps(format), *_idle(format)]
    for key, task in format.tasks.items():
        where = f"task {key}"
        if isinstance(task, LiftTask):
            found += [Advice(where, sentence) for sentence in _lift(task)]
        if isinstance(task, ListTask):
            found += [Advice(where, sentence) for sentence in _list(format, key, task)]
        if isinstance(task, CountTask) and task.miss_puts_out and task.target is None:
            found.append(Advice(where, "Missing the target puts the entry out, but there is no target."))
        if all(window.task != key for window in format.windows):
            found.append(Advice(where, "No window uses this task."))
    if format.miss_puts_out and not any(_asks(task) for task in format.tasks.values()):
        found.append(Advice("windows", "Missing what a window asks for puts the entry out, but no window asks for anything."))
    return found + list(_unscored(format))


def _asks(task: Task) -> bool:
    """Whether something is asked for that can be missed: a target, a list with an end."""
    return (isinstance(task, CountTask) and task.target is not None) or (isinstance(task, ListTask) and task.rounds is not None)


def _overlaps(format: Format) -> Iterator[Advice]:
    """One member can't be in two windows at once."""
    work = [(i, window) for i, window in enumerate(format.windows) if window.task is not None]
    for n, (i, first) in enumerate(work):
        for j, second in work[n + 1 :]:
            both = _people(format, first) & _people(format, second)
            if both and first.start < second.start + second.seconds and second.start < first.start + first.seconds:
                who = "The athlete" if format.members == 1 else f"Member {member_letter(min(both))}"
                yield Advice(f"window {j + 1}", f"{who} also works in window {i + 1} at the same time.")


def _people(format: Format, window: Window) -> set[int]:
    return set(members_in(format, window))


def _idle(format: Format) -> Iterator[Advice]:
    working = {member for window in format.windows if window.task for member in _people(format, window) | set(window.holding)}
    for member in range(1, format.members + 1):
        if member not in working:
            yield Advice("windows", f"Member {member_letter(member)} has nothing to do.")
    for i, window in enumerate(format.windows):
        if set(window.holding) & _people(format, window) and isinstance(window.who, tuple):
            yield Advice(f"window {i + 1}", "A member holds and works at the same time.")


def _lift(task: LiftTask) -> Iterator[str]:
    if task.bar.kg == 0:
        yield "The bar weighs nothing: type what the empty bar weighs."
    if task.step.kg < 2 * task.least_plate.kg:
        least = f"the smallest plate ({task.least_plate.text()} on each side)"
        yield f"The smallest step ({task.step.text()}) is smaller than two of {least}."
    if task.record_step is not None and task.record_step > task.step:
        yield f"A record step of {task.record_step.text()} is larger than the smallest step ({task.step.text()})."
    if task.step_after_good is not None and task.step_after_good < task.step:
        yield f"The smallest increase after a good lift ({task.step_after_good.text()}) is smaller than the smallest step."
    if task.attempt_seconds is not None and task.attempt_seconds < LEAST_ATTEMPT_SECONDS:
        yield f"{task.attempt_seconds} s for an attempt is very little: the bar has to be loaded in it."
    if task.attempts == 1 and task.may_go_down is False:
        yield "With one attempt, going down can't happen."


def _list(format: Format, key: str, task: ListTask) -> Iterator[str]:
    if task.rounds is None or format.has_no_end(key):
        return
    taps = task.taps_in_round * task.rounds
    for i, window in enumerate(format.windows):
        if window.task == key and window.seconds * FASTEST_TAPS < taps:
            yield f"Window {i + 1} is too short for anybody to finish {say('repetitions', n=taps)}."


def _unscored(format: Format) -> Iterator[Advice]:
    scored = {i for score in format.scores for part in score.parts for i in format.window_indexes(part)}
    for i, window in enumerate(format.windows):
        if window.task is not None and i not in scored:
            yield Advice(f"window {i + 1}", "The work here counts for no score.")
    for score in format.scores:
        units = {_unit(format, index) for part in score.parts for index in format.window_indexes(part)}
        if len(units) > 1 and "s" in units and score.unit != "points":
            yield Advice("score", f"{score.name} adds times to other numbers: weight the parts and use points.")


def _unit(format: Format, index: int) -> str:
    task = format.tasks[format.windows[index].task or ""]
    return "s" if isinstance(task, ListTask) and task.rounds is not None and _timed(format, index) else task.kind


def _timed(format: Format, index: int) -> bool:
    return any(part.take == "time" and index in format.window_indexes(part) for score in format.scores for part in score.parts)
