"""Of all that is done, only some counts: `Score: total burpees`, `the row doesn't count`. What is done in windows of its own is
left out of the score; a line of a list stays in it, and counts nothing. Both are told."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from app.rules.reading.clock import Clock, Done
from app.rules.reading.talk import Span
from app.rules.reading.things import is_such
from app.rules.workout.formats import CountTask, LiftTask, ListTask, MeasureTask
from app.rules.workout.tasks import Task, WorkItem

CALORIES, METRES = "T_CAL", "T_DIST"  # what is said to count, or not to, by its unit and not by its name
UNITS = {CALORIES: "cal", METRES: "m"}
COUNTS = {"count", "counts"}  # `calories count one each` says nothing of what else is done
BOTH_WAYS = "It is told to count, and not to count."
FOR_TIME = "Of a list for time all counts, and the time is the score."
# What a sentence on one unit may say beside it without saying that something else counts.
OF_ONE_UNIT = {CALORIES, METRES, "T_SUM", "T_LOW", "T_BEST", "T_DROP", "T_MISS"}


def of_what_counts(clock: Clock, done: Sequence[Done]) -> list[Done]:
    """What is done without the tasks that don't count, as the text says it; lines of lists that don't count nothing."""
    left = list(done)
    worth = [work.key for stretch in clock.draft.stretches for work in stretch.works if work.worth]
    for name, span in clock.draft.uncounted:
        if any(is_such(key, name) for key in worth):
            clock.things.talk.red(span, BOTH_WAYS)
        left = _without(clock, left, name, span)
    named = clock.draft.score_of
    if named:
        for name, span in named:
            if not any(_named(clock, movement, name) for task in clock.tasks.values() for movement in _movements(task)):
                clock.things.talk.red(span, "What counts is not done.")
            if any(is_such(name, other) or is_such(other, name) for other, _ in clock.draft.uncounted):
                clock.things.talk.red(span, BOTH_WAYS)
        span = named[0][1]
        return _only(clock, left, _any_of(clock, [name for name, _ in named]), span) or left
    unit, span = _of_one_unit(clock)
    if unit and any(UNITS.get(name) == unit for name, _ in clock.draft.uncounted):
        clock.things.talk.red(span, BOTH_WAYS)
    return (_only(clock, left, lambda item: _is_in(item, unit), span) or left) if unit else left


def _any_of(clock: Clock, names: Sequence[str]) -> Callable[[WorkItem], bool]:
    """Whether a line is one of those named, or of the unit that is said beside them: `calories and burpees`, but `row calories`
    are those of the row."""
    unit = next((UNITS[take] for take, _ in clock.draft.takes if take in UNITS), "")
    lines = [item for task in clock.tasks.values() for item in _lines(task)]
    within = all(_is_in(item, unit) for item in lines if any(_named(clock, item.movement, name) for name in names))
    beside = "" if within else unit
    return lambda item: any(_named(clock, item.movement, name) for name in names) or bool(beside and _is_in(item, beside))


def is_said_to_count(clock: Clock, items: Sequence[WorkItem]) -> bool:
    """Whether the text says of a list with a tail what counts of it, or what does not."""
    draft, before = clock.draft, lines_before_a_tail(items)
    of_tail = any(_named(clock, items[-1].movement, name) for name, _ in draft.score_of)
    unit, _ = _of_one_unit(clock)
    of_unit = bool(unit) and _is_in(items[-1], unit)
    return of_tail or of_unit or any(_is_that(clock, items[place], name) for place in before for name, _ in draft.uncounted)


def lines_before_a_tail(items: Sequence[WorkItem]) -> list[int]:
    """The places of the lines that stand before what is done in the time that is left; each member may have such a tail."""
    return [place for place, item in enumerate(items) if (item.movement, item.reps) != (items[-1].movement, items[-1].reps)]


def without_worth(items: Sequence[WorkItem], places: Collection[int]) -> tuple[WorkItem, ...]:
    """Lines of which these count nothing."""
    return tuple(item.model_copy(update={"worth": 0}) if place in places else item for place, item in enumerate(items))


def _without(clock: Clock, done: Sequence[Done], name: str, span: Span) -> list[Done]:
    """What counts without one thing that is said not to."""
    told: list[str] = []
    timed = [clock.tasks[key] for one in done for key in one.tasks if _for_time(clock, one)]
    if any(isinstance(task, ListTask) and any(_is_that(clock, item, name) for item in task.items) for task in timed):
        clock.things.talk.cannot(span, FOR_TIME)
        return list(done)
    left = _kept(clock, done, lambda item: not _is_that(clock, item, name), told)
    if not told:
        clock.things.talk.red(span, "What is said not to count is not done.")
    elif not left:
        clock.things.talk.red(span, "Nothing is left that counts.")
        return list(done)
    else:
        _tell(clock, told, span)
    return left


def _only(clock: Clock, done: Sequence[Done], counts: Callable[[WorkItem], bool], span: Span) -> list[Done]:
    """What counts of what is done; none where nothing of it does. Of a list for time all counts: work left ranks at its cap."""
    told: list[str] = []
    for key in (key for one in done for key in one.tasks if _for_time(clock, one)):
        task = clock.tasks[key]
        named = [counts(item) for item in _lines(task)]
        if isinstance(task, ListTask) and any(named) and not all(named):
            clock.things.talk.cannot(span, FOR_TIME)
            return list(done)
    left = _kept(clock, done, counts, told)
    if left and told:
        _tell(clock, told, span)
    return left


def _tell(clock: Clock, names: Sequence[str], span: Span) -> None:
    """What counts nothing is never left unsaid."""
    clock.things.talk.assume(f"It is done, and does not count in the score: {', '.join(dict.fromkeys(names))}.", span)


def _kept(clock: Clock, done: Sequence[Done], counts: Callable[[WorkItem], bool], told: list[str]) -> list[Done]:
    """What counts; the names of what does not are told."""
    found: list[Done] = []
    worths: dict[str, ListTask] = {}
    for one in done:
        tasks = []
        for key in one.tasks:
            items = _lines(clock.tasks[key])
            idle = [place for place, item in enumerate(items) if not counts(item)]
            told += [items[place].called(clock.things.movements) for place in idle if items[place].worth]
            task = clock.tasks[key]
            left = without_worth(items, idle)
            if not any(item.worth for item in left):
                continue
            tasks.append(key)
            if isinstance(task, ListTask):
                worths[key] = task.model_copy(update={"items": left})
        if tasks:
            windows = tuple(number for number in one.windows if clock.windows[number].task in tasks)
            found.append(replace(one, tasks=tuple(tasks), windows=windows))
    clock.tasks.update(worths if found else {})
    return found


def _for_time(clock: Clock, one: Done) -> bool:
    """Whether the finish time of its list is what counts."""
    tail = any(group.role == "rest-of-time" for group in one.stretch.groups)
    return (one.kind == "time" and not tail) or any(take == "T_TIME" for take, _ in clock.draft.takes)


def _of_one_unit(clock: Clock) -> tuple[str, Span]:
    """`Score: total calories`: the unit that alone is said to count, where other things are done as well; empty for none."""
    draft = clock.draft
    kinds = {take for take, _ in draft.takes}
    unit = next((UNITS[kind] for kind in kinds if kind in UNITS), "")
    others = kinds - OF_ONE_UNIT
    for span in [span for take, span in draft.takes if take in UNITS and others]:
        if "only" in clock.things.talk.text[span.start : span.end].casefold().split():
            clock.things.talk.red(span, "Something else is told to count as well.")
    if not unit or others or len(kinds & set(UNITS)) > 1 or draft.apart or draft.scored_apart:
        return "", Span(0, 0)
    span = next(span for take, span in draft.takes if take in UNITS)
    each = clock.things.talk.text[span.start : span.end].casefold().split()
    return ("", span) if COUNTS & set(each) and "only" not in each else (unit, span)


def _is_in(item: WorkItem, unit: str) -> bool:
    """Whether a line is told in that unit."""
    note = (item.note or "").split(",")[0]
    return note.split(" ")[-1] == unit


def _is_that(clock: Clock, item: WorkItem, name: str) -> bool:
    return _is_in(item, UNITS[name]) if name in UNITS else _named(clock, item.movement, name)


def _named(clock: Clock, movement: str, name: str) -> bool:
    return is_such(clock.things.movements[movement].library or movement, name)


def _lines(task: Task) -> tuple[WorkItem, ...]:
    """What is done as lines: one for what is counted, lifted or measured."""
    match task:
        case ListTask():
            return task.items
        case MeasureTask():
            return (WorkItem(movement=task.movement, reps=1, note=f"max {task.unit}"),)
        case CountTask() | LiftTask():
            return (WorkItem(movement=task.movement, reps=1),)


def _movements(task: Task) -> list[str]:
    return [item.movement for item in _lines(task)]
