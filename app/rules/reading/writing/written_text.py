"""An event as a workout text, in the words that the reader reads back; and what of the event such a text can't say.

What it can't say is found by reading it back: so nothing is lost without being named.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from app.rules.reading.reader import understand
from app.rules.reading.same_event import FIELDS, comparable, keys_of
from app.rules.reading.scan.words import words_of_language
from app.rules.reading.versions.divisions_said import divisions_line
from app.rules.reading.writing.written_lines import WHOSE, instead_lines, list_lines, only_other_movements, thing_line
from app.rules.reading.writing.written_scores import score_lines
from app.rules.values.clock_times import minutes_text
from app.rules.workout.formats import Format, Window
from app.rules.workout.growth import growth_text, rules_text
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import lightest, lightest_step
from app.rules.workout.presets.teams import in_turn
from app.rules.workout.tasks import CountTask, LiftTask, ListTask, MeasureTask
from app.rules.workout.words import member_letter

MOST_NAMED = 12  # differences that are told one by one


@dataclass(frozen=True, slots=True)
class WrittenText:
    """The text, and sentences on what of the event it does not say."""

    text: str
    unsaid: tuple[str, ...]

    @property
    def exact(self) -> bool:
        """Whether reading the text gives the same event."""
        return not self.unsaid


def written_text(format: Format, name: str = "", divisions: Sequence[str] = ()) -> WrittenText:
    """An event as a workout text; `divisions`: the names of those that it is for, where it names them."""
    plain = format if _one_version(format) else format.model_copy(update={"variants": ()})
    about = [f"Title: {name}"] if name else []
    about += [divisions_line(divisions, words_of_language().divisions)] if divisions else []
    text = "\n".join([*about, *_head(plain), *_windows(plain), *instead_lines(plain), *_out(plain), *score_lines(plain)]) + "\n"
    return WrittenText(text, tuple(_unsaid(format, divisions, text))[:MOST_NAMED])


def _head(format: Format) -> Iterator[str]:
    if format.members > 1:
        yield f"Teams of {format.members}."
    if format.unit == "lb":
        yield "Loads in lb."
    if _split(format):
        yield "Split as you like."
    if _in_step(format):
        yield "Synchro."


def _out(format: Format) -> Iterator[str]:
    if format.miss_puts_out:
        yield "Who misses it is out."


def _split(format: Format) -> bool:
    """Whether windows are shared as they like. A relay is told in its heading."""
    shared = [window for window in format.windows if window.who == "any" and window.task is not None]
    return (
        format.members > 1
        and any(not isinstance(format.tasks[window.task or ""], LiftTask) for window in shared)
        and not _relay(format)
    )


def _relay(format: Format) -> bool:
    """A list that each member does in turn, once; in one version alone, for another one's numbers stand in each line."""
    tasks = [task for task in format.tasks.values() if isinstance(task, ListTask)]
    return (
        format.members > 1
        and not format.variants
        and len(tasks) == len(format.tasks) == 1
        and bool(_base(tasks[0], format.members))
    )


def _base(task: ListTask, members: int) -> tuple[Any, ...]:
    """What each member does, where all do the same in turn; nothing else."""
    if len(task.items) % members or task.rounds not in (1, None):
        return ()
    base = tuple(item.model_copy(update={"who": None}) for item in task.items[: len(task.items) // members])
    return base if in_turn(base, members) == task.items else ()


def _in_step(format: Format) -> bool:
    used = {window.task for window in format.windows if window.task is not None and window.who == "all"}
    movements = [format.movements[key] for name in used for key in keys_of(format.tasks[name or ""])]
    return (
        format.members > 1
        and bool(movements)
        and all(any(fault.id == "not_together" for fault in one.faults) for one in movements)
    )


def _windows(format: Format) -> Iterator[str]:
    """The windows as the shortest text that fits: one list, so many alike, in turn, or one after another."""
    work = [window for window in format.windows if window.task is not None]
    rests = {window.seconds for window in format.windows if window.task is None}
    even = _back_to_back(format) and len(rests) <= 1 and _alternate(format)
    rest = f", rest {minutes_text(rests.pop())} between windows" if rests else ""
    first = work[0]
    if even and len({(one.task, one.seconds, one.who, one.holding) for one in work}) == 1 and (len(work) > 1):
        yield from _alike(format, first, len(work), rest)
    elif even and (more := _more_of_each(format, work)):
        yield from _alike(format, first, len(work), rest)
        yield f"Add {more} reps each window."
    elif even and _cycle(format, work):
        yield from _in_a_cycle(format, work, rest)
    elif even and rest and _turns(format, work):
        yield from _each_in_turn(format, first, rest)
    elif _period(format):
        yield from _stations(format)
    else:
        yield from _one_by_one(format)


def _more_of_each(format: Format, work: list[Window]) -> int:
    """How many more there are of each of several things in every window; 0 where it is not so."""
    tasks = [format.tasks[window.task or ""] for window in work]
    lists = [task for task in tasks if isinstance(task, ListTask) and task.rounds == 1]
    alike = len({(one.seconds, one.who, one.holding) for one in work}) == 1 and len(lists) == len(work) > 1
    if not alike or len(lists[0].items) < 2 or len({len(one.items) for one in lists}) > 1:
        return 0
    steps = {
        two.reps - one.reps if one == two.model_copy(update={"reps": one.reps}) else 0
        for before, after in pairwise(lists)
        for one, two in zip(before.items, after.items, strict=True)
    }
    return max(0, steps.pop()) if len(steps) == 1 else 0


def _period(format: Format) -> int:
    """How many windows, rests among them, come before all of it begins again, where each lasts as long; 0 where it is not so."""
    names = [window.task for window in format.windows]
    alike = len({(one.seconds, one.who, one.holding) for one in format.windows}) == 1 and _back_to_back(format)
    ends = all(not isinstance(task, LiftTask) and getattr(task, "rounds", 1) == 1 for task in format.tasks.values())
    plain = all(not isinstance(task, CountTask) or not (task.grows or task.miss_puts_out) for task in format.tasks.values())
    periods = (
        one for one in range(2, len(names) // 2 + 1) if len(names) % one == 0 and names[:one] * (len(names) // one) == names
    )
    return next(periods, 0) if alike and ends and plain and not _timed(format) else 0


def _timed(format: Format) -> bool:
    return any(part.take == "time" for score in format.scores for part in score.parts)


def _stations(format: Format) -> Iterator[str]:
    windows = format.windows
    yield f"Every {minutes_text(windows[0].seconds)} for {len(windows)} windows:"
    for number, window in enumerate(windows[: _period(format)], start=1):
        task = format.tasks[window.task] if window.task else None
        yield f"Window {number}: rest" if task is None else f"Window {number}:"
        if task is not None:
            yield from list_lines(format, task) if isinstance(task, ListTask) else [thing_line(format, task)]


def _back_to_back(format: Format) -> bool:
    ends = [window.start + window.seconds for window in format.windows]
    return [window.start for window in format.windows] == [0, *ends[:-1]]


def _alternate(format: Format) -> bool:
    """No rest at all, or one between any two windows of work."""
    kinds = [window.task is None for window in format.windows]
    return not any(kinds) or kinds == [place % 2 == 1 for place in range(len(kinds))]


def _alike(format: Format, window: Window, count: int, rest: str) -> Iterator[str]:
    task, length = format.tasks[window.task or ""], minutes_text(window.seconds)
    if isinstance(task, ListTask) and task.rounds is None:
        yield f"{count} rounds: AMRAP {length}{rest}"
        yield from list_lines(format, task)
    elif isinstance(task, LiftTask):
        yield f"{count} windows of {length}{rest}, as heavy as possible: {thing_line(format, task)}"
        yield from _lift_lines(format, task)
    elif isinstance(task, ListTask) or (isinstance(task, CountTask) and task.target is not None):
        yield f"Every {length} for {count} windows{rest}:"
        yield from list_lines(format, task) if isinstance(task, ListTask) else _target_lines(format, task)
    else:
        yield f"{count} windows of {length}{rest}: {thing_line(format, task)}"


def _target_lines(format: Format, task: CountTask) -> Iterator[str]:
    yield thing_line(format, task)
    if task.grows:
        yield f"Add {task.grows} reps each window."
    if task.miss_puts_out:
        yield "Who misses it is out."


def _cycle(format: Format, work: list[Window]) -> list[Window]:
    """The windows of one round, where things are done in turn, round after round; nothing else."""
    names = [window.task for window in work]
    length = len(dict.fromkeys(names))
    first = work[:length]
    rounds, rest = divmod(len(work), length)
    kinds = all(isinstance(task, CountTask | MeasureTask) for task in format.tasks.values())
    plain = all(not isinstance(task, CountTask) or task.target is None for task in format.tasks.values())
    fits = length > 1 and not rest and names == [window.task for window in first] * rounds
    same = all(
        one.seconds == work[place % length].seconds and one.who == first[0].who and not one.holding
        for place, one in enumerate(work)
    )
    return first if fits and kinds and plain and same and rounds > 1 else []


def _in_a_cycle(format: Format, work: list[Window], rest: str) -> Iterator[str]:
    first = _cycle(format, work)
    yield f"{len(work) // len(first)} rounds{rest}:"
    for window in first:
        task = format.tasks[window.task or ""]
        assert not isinstance(task, ListTask)
        yield f"{minutes_text(window.seconds)} {thing_line(format, task).removeprefix('max ')}"


def _turns(format: Format, work: list[Window]) -> bool:
    """A lift for each member in turn."""
    members = [(member,) for member in range(1, format.members + 1)]
    lifts = isinstance(format.tasks[work[0].task or ""], LiftTask)
    return (
        lifts
        and format.members > 1
        and [one.who for one in work] == members
        and len({(one.task, one.seconds) for one in work}) == 1
    )


def _each_in_turn(format: Format, window: Window, rest: str) -> Iterator[str]:
    task = format.tasks[window.task or ""]
    assert isinstance(task, LiftTask)
    yield f"{minutes_text(window.seconds)}{rest}, as heavy as possible: {thing_line(format, task)}"
    yield "Each in a window of their own."
    yield from _lift_lines(format, task)


def _one_by_one(format: Format) -> Iterator[str]:
    at = 0
    for window in format.windows:
        length = minutes_text(window.seconds)
        jump = window.start != at
        span = f"{minutes_text(window.start)}-{minutes_text(window.start + window.seconds)}"
        at = window.start + window.seconds
        if window.task is None:
            yield f"{span} rest" if jump else f"Rest {length}"
        else:
            yield from _window(format, window, span if jump else length)


def _window(format: Format, window: Window, when: str) -> Iterator[str]:
    task = format.tasks[window.task or ""]
    who = f"{_letters(window.who)}: " if isinstance(window.who, tuple) and format.members > 1 else ""
    if isinstance(task, ListTask):
        yield from _list(format, task, who, minutes_text(window.seconds))
    elif isinstance(task, LiftTask):
        yield f"{who}{when}, as heavy as possible: {thing_line(format, task)}"
        yield from _lift_lines(format, task)
        if format.members > 1 and window.who == "any":
            yield "A bar each." if task.bars == "each" else "One bar."
    else:
        yield f"{who}{when} {thing_line(format, task)}{_held(format, window)}"


def _list(format: Format, task: ListTask, who: str, length: str) -> Iterator[str]:
    timed = _timed(format)
    relay = "Relay. " if _relay(format) else ""
    shown = task.model_copy(update={"items": _base(task, format.members)}) if relay else task
    once = ", once through" if task.rounds is not None and not timed else ""
    yield f"{who}{relay}For time, cap {length}:" if timed else f"{who}{relay}AMRAP {length}{once}:"
    if task.rounds is not None and task.rounds > 1:
        yield f"{task.rounds} rounds:"
    yield from list_lines(format, shown)


def _held(format: Format, window: Window) -> str:
    if not window.holding:
        return ""
    task = format.tasks[window.task or ""]
    held = [key for key in format.movements if all(key not in keys_of(one) for one in format.tasks.values())]
    name = format.movements[held[0]].name if held and not isinstance(task, ListTask) else "nothing"
    return f" while partner {_letters(window.holding)} holds {name}"


def _letters(members: tuple[int, ...]) -> str:
    return "+".join(member_letter(member) for member in members)


def _lift_lines(format: Format, task: LiftTask) -> Iterator[str]:
    """What of a lift is not usual."""
    usual = next(one.plates for one in offered() if one.plates.bars[0].unit == format.unit)
    said = [
        (task.attempts is not None, f"{task.attempts} attempts."),
        (task.misses_out is not None, f"{task.misses_out} misses running put a lifter out."),
        (not task.tries_until_racked, "No second try."),
        (not task.may_go_down, "The load may not go down."),
        (task.times_reps, "Load times repetitions."),
        (task.bar != usual.bars[0], f"Bar of {task.bar.text()}."),
        (task.step != lightest_step(usual), f"Steps of {task.step.text()}."),
        (task.least_plate != lightest(usual), f"Smallest plate {task.least_plate.text()}."),
    ]
    line = " ".join(words for told, words in said if told)
    if line:
        yield line
    if task.loads:
        yield growth_text(task)
    if rules := rules_text(task):
        yield rules


def _unsaid(format: Format, divisions: Sequence[str], text: str) -> Iterator[str]:
    """What reading the text back leaves open, or makes otherwise."""
    read = understand(text)
    yield from (f"You would be asked: {one.words}" for one in read.questions)
    yield from (
        f"This would not be understood: “{text[one.span.start : one.span.end].strip()}”"
        for one in read.not_understood
        if one.span
    )
    if read.divisions != tuple(divisions):
        yield "It would not say which divisions the event is for."
    if read.format is None:
        return
    before, after = comparable(format), comparable(read.format)
    for field in before:
        if before[field] != after[field]:
            yield f"{FIELDS[field]} would come back different."


def _one_version(format: Format) -> bool:
    """Whether there is one other version, of numbers and movements in lists alone."""
    if len(format.variants) != 1 or format.variants[0].name not in WHOSE:
        return False
    return not format.variants[0].movements or only_other_movements(format)
