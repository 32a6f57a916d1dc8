"""An event in plain words: how it runs and how it scores, as somebody would read it out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from app.rules.count.lift_words import lift_rules
from app.rules.result.fine_print import fine_print
from app.rules.values.clock_times import hours_text
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.format_fields import SCORE
from app.rules.workout.formats import (
    CountTask,
    Format,
    LiftTask,
    ListTask,
    MeasureTask,
    Part,
    ScoreRule,
    Task,
    TieStep,
    Window,
    WorkItem,
)
from app.rules.workout.score_units import POINTS, added_in, score_unit
from app.rules.workout.task_fields import TASKS
from app.rules.workout.words import JOINS, who_text
from app.rules.workout.written_work import work_text

MOST_RUNGS = 8  # of a scheme
MOST_LINES = 8  # of a work list; a longer one is told by its first


@dataclass(frozen=True, slots=True)
class Told:
    """What the composer says beside the strip."""

    runs: tuple[str, ...]
    scores: tuple[str, ...]
    fine: tuple[str, ...]


def told(format: Format) -> Told:
    """An event in words: how it runs, how it scores, and what these two would leave open."""
    runs, scores = tuple(_runs(format)), tuple(sentence for score in format.scores for sentence in _score(format, score))
    fine = dict.fromkeys(sentence for score in format.scores for sentence in fine_print(format, score))
    return Told(runs, scores, tuple(sentence for sentence in fine if sentence not in {*runs, *scores}))


def _runs(format: Format) -> Iterator[str]:
    """What is done, task by task, then how long it lasts."""
    for key, task in format.tasks.items():
        windows = [window for window in format.windows if window.task == key]
        if windows:
            holding = ", while another holds" if any(window.holding for window in windows) else ""
            yield f"{_often(format, windows)}{how_it_ends(format, key, task)}: {task_text(format, task)}{holding}."
            if isinstance(task, LiftTask):
                yield from lift_rules(task, format.members)
    rests = [window.seconds for window in format.windows if window.task is None]
    if rests:
        lengths = " and ".join(hours_text(seconds) for seconds in sorted(set(rests))[:3])
        yield f"Between them {lengths} of rest. The last bell goes at {hours_text(format.length_ms // 1000)}."
    elif len(format.windows) > 1:
        yield f"The last bell goes at {hours_text(format.length_ms // 1000)}."


def _often(format: Format, windows: list[Window]) -> str:
    """How often and how long, and who: `6 windows of 1:00, A`."""
    lengths = sorted({window.seconds for window in windows})
    span = hours_text(lengths[0]) if len(lengths) == 1 else f"{hours_text(lengths[0])} to {hours_text(lengths[-1])}"
    whom = [who for who, _ in groupby(sorted(who_text(window, format.members) for window in windows))]
    who = f", {', then '.join(whom) if len(whom) < 3 else 'in turn'}" if whom != [""] else ""
    return say("windows_of", n=len(windows), span=span) + who


def how_it_ends(format: Format, key: str, task: Task) -> str:
    """How a work list ends: when it is done, where its time counts; else at the bell."""
    if not isinstance(task, ListTask):
        return ""
    windows = {index for index, window in enumerate(format.windows) if window.task == key}
    parts = [part for score in format.scores for part in score.parts if windows & set(format.window_indexes(part))]
    timed = any(part.take == "time" for part in parts)
    rounds = f"{task.rounds} rounds " if task.rounds and task.rounds > 1 else ""
    return (
        ", round after round until the bell" if task.rounds is None else f", {rounds}{'for time' if timed else 'until the bell'}"
    )


def task_text(format: Format, task: Task) -> str:
    """What a task asks for, in one line."""
    if isinstance(task, ListTask):
        return _list(format, task)
    return TASKS[task.kind].in_line(task, format.movements[task.movement].name)


def _list(format: Format, task: ListTask) -> str:
    """The lines of a list; a scheme such as 16-12-8 is told as one."""
    names = [item.called(format.movements) for item in task.items]
    round_of = _scheme_length(task)
    if round_of:
        reps = [str(item.reps) for item in task.items[::round_of]]
        scheme = "-".join(reps) if len(reps) <= MOST_RUNGS else f"{'-'.join(reps[:3])} and so on to {reps[-1]}"
        return f"{scheme} {' and '.join(names[i] + _load(task.items[i]) for i in range(round_of))}"
    lines = work_text(task.items[:MOST_LINES], format.movements).splitlines()
    more = len(task.items) - MOST_LINES
    return ", ".join(lines) + (f" and {more} more lines" if more > 0 else "")


def _scheme_length(task: ListTask) -> int:
    """How many lines of a list are done in each rung of a scheme (all 21 times, then all 15 times); 0 if it is none."""
    items = task.items
    for length in range(1, len(items) // 2 + 1):
        rungs = [items[i : i + length] for i in range(0, len(items), length)]
        if len({rung[0].reps for rung in rungs}) > 1 and all(_is_rung(rung, rungs[0]) for rung in rungs):
            return length
    return 0


def _is_rung(rung: tuple[WorkItem, ...], first: tuple[WorkItem, ...]) -> bool:
    """Whether a rung is the first one with another number of repetitions, the same for each of its lines."""
    plain = {"reps": 1}
    alike = [one.model_copy(update=plain) for one in rung] == [one.model_copy(update=plain) for one in first]
    return alike and len({one.reps for one in rung}) == 1


def _load(item: WorkItem) -> str:
    return f" ({item.load.text()})" if item.load else ""


def _score(format: Format, score: ScoreRule) -> Iterator[str]:
    """A score: what is added up, which is better, what happens at a cap, how it is rounded, how ties are broken."""
    parts = [_part(format, part) for part in score.parts]
    name = f"{score.name}:" if len(format.scores) > 1 else "The score is"
    added = ", plus ".join(parts)
    true_unit = score_unit(format, score)
    unit = "" if true_unit in ("s", "reps") else f", in {_unit_name(true_unit)}{_loads_in(format, score)}"
    yield f"{name} {added}{unit}. {_better(score, true_unit)}"
    yield from SCORE.sentences(score, format.members)
    if (
        any(isinstance(format.tasks.get(window.task or ""), CountTask) for window in format.windows)
        and format.counters.how != "lane"
    ):
        yield f"With several counters: {JOINS[format.counters.how]}."
    yield _ties(score.ties)


def _loads_in(format: Format, score: ScoreRule) -> str:
    """In which unit a load is worth its points, where the score is points and takes loads."""
    tasks = [format.tasks[format.windows[i].task or ""] for part in score.parts for i in format.window_indexes(part)]
    if score_unit(format, score) != POINTS or not any(isinstance(task, LiftTask) for task in tasks):
        return ""
    return f", each load in {_unit_name(added_in(format, score, format.unit))}"


def _unit_name(unit: str) -> str:
    """A unit in full: `metres`."""
    return say(f"unit.{unit}")


def _better(score: ScoreRule, unit: str) -> str:
    if unit == "s":
        return "The shortest time wins." if score.better == "less" else "The longest time wins."
    return "More is better." if score.better == "more" else "Less is better."


def _part(format: Format, part: Part) -> str:
    windows = format.window_indexes(part)
    tasks = [format.tasks[format.windows[index].task or ""] for index in windows]
    what, lifted = _taken(format, tasks), all(isinstance(task, LiftTask) for task in tasks)
    texts = {
        "sum": f"{what} without the lowest {part.drop}" if part.drop else f"all {what}",
        "best": "the best window of " + what,
        "worst": "the lowest window of " + what,
        "last": "the last window of " + what,
        "time": "the finish time",
        "member_best": f"each member's best {what}" if format.members > 1 else f"the best {what}",
        "heaviest": "the heaviest load done",
    }
    if len(windows) == 1 and part.take in ("sum", "best", "worst", "last") and not part.drop:
        texts[part.take] = f"the {'best ' if lifted else ''}{what}"
    elif lifted:
        texts |= {"sum": f"the best {what} of each window, added up", "best": f"the best {what}"}
    return f"{texts[part.take]}{f' times {decimal_text(part.weight)}' if part.weight != 1 else ''}"


def _taken(format: Format, tasks: list[Task]) -> str:
    """What a part takes, by the names of movements: `double-unders and back squat`."""
    names = []
    for task in tasks:
        match task:
            case ListTask():
                names.append("repetitions of work")
            case MeasureTask():
                names.append(f"measured {format.movements[task.movement].name}")
            case LiftTask() if task.times_reps:
                names.append(f"{format.movements[task.movement].name}, load times repetitions,")
            case _:
                names.append(format.movements[task.movement].name)
    return " and ".join(dict.fromkeys(names))


def _ties(steps: tuple[TieStep, ...]) -> str:
    if not steps:
        return say("ties.shared")
    return f"Equal scores: {', then '.join(step.plain() for step in steps)}; otherwise the place is shared."
