"""An event in plain words: how it runs and how it scores, as somebody would read it out."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from app.actions.event_form import minutes_seconds
from app.actions.event_words import SCORE_NAMES
from app.rules.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Part, ScoreRule, Task, TieStep, Window
from app.rules.units import Rounding, decimal_text
from app.rules.words import JOINS, who_text

MOST_TURNS = 8  # lines of how it runs; a longer event is told by its first windows


@dataclass(frozen=True, slots=True)
class Told:
    """What the composer says beside the strip."""

    runs: tuple[str, ...]
    scores: tuple[str, ...]


def told(format: Format) -> Told:
    """An event in words."""
    return Told(tuple(_runs(format)), tuple(sentence for score in format.scores for sentence in _score(format, score)))


def _runs(format: Format) -> Iterator[str]:
    """What is done, task by task, then how long it lasts."""
    for key, task in format.tasks.items():
        windows = [window for window in format.windows if window.task == key]
        if windows:
            yield f"{_often(format, windows)}{_how(task)}: {task_text(format, task)}."
    rests = [window.seconds for window in format.windows if window.task is None]
    if rests:
        lengths = " and ".join(minutes_seconds(seconds) for seconds in sorted(set(rests))[:3])
        yield f"Between them {lengths} of rest. The last bell goes at {minutes_seconds(format.length_ms // 1000)}."
    elif len(format.windows) > 1:
        yield f"The last bell goes at {minutes_seconds(format.length_ms // 1000)}."


def _often(format: Format, windows: list[Window]) -> str:
    """How often and how long, and who: `6 windows of 1:00, A`."""
    lengths = sorted({window.seconds for window in windows})
    span = (
        minutes_seconds(lengths[0]) if len(lengths) == 1 else f"{minutes_seconds(lengths[0])} to {minutes_seconds(lengths[-1])}"
    )
    whom = [who for who, _ in groupby(sorted(who_text(window, format.members) for window in windows))]
    who = f", {', then '.join(whom) if len(whom) < 3 else 'in turn'}" if whom != [""] else ""
    return f"{'One window' if len(windows) == 1 else f'{len(windows)} windows'} of {span}{who}"


def _how(task: Task) -> str:
    """How a work list ends."""
    if not isinstance(task, ListTask):
        return ""
    rounds = f"{task.rounds} rounds " if task.rounds and task.rounds > 1 else ""
    return ", round after round until the bell" if task.rounds is None else f", {rounds}for time"


def task_text(format: Format, task: Task) -> str:
    """What a task asks for, in one line."""
    match task:
        case CountTask():
            name = format.movements[task.movement].name
            return f"as many {_lower(name)} as possible" if task.target is None else _target(name, task)
        case ListTask():
            return _list(format, task)
        case LiftTask():
            tries = "as many attempts as time allows" if task.attempts is None else _counted(task.attempts, "attempt")
            reps = ", load times repetitions" if task.times_reps else ""
            return f"{format.movements[task.movement].name} as heavy as possible, {tries}{reps}"
        case MeasureTask():
            return f"{format.movements[task.movement].name}, measured in {task.unit}"


def _target(name: str, task: CountTask) -> str:
    grows = f", {task.grows} more in each window" if task.grows else ""
    out = "; who misses it is out" if task.miss_puts_out else ""
    return f"{task.target} {_lower(name)}{grows}{out}"


def _list(format: Format, task: ListTask) -> str:
    """The lines of a list; a scheme such as 21-15-9 is told as one."""
    names = [format.movements[item.movement].name for item in task.items]
    period = next((n for n in range(1, len(names)) if names == (names[:n] * len(names))[: len(names)]), len(names))
    if len(names) > period and len(names) % period == 0:
        scheme = [item.reps for item in task.items[::period]]
        if all(item.reps == scheme[i // period] for i, item in enumerate(task.items)) and len(set(scheme)) > 1:
            done = " and ".join(_lower(name) + _load(item) for name, item in zip(names[:period], task.items, strict=False))
            return f"{'-'.join(map(str, scheme))} {done}"
    shown = [f"{item.reps} {_lower(name)}{_load(item)}" for name, item in zip(names, task.items, strict=True)]
    return ", ".join(shown[:MOST_TURNS]) + (f" and {len(shown) - MOST_TURNS} more lines" if len(shown) > MOST_TURNS else "")


def _load(item: object) -> str:
    load = getattr(item, "load", None)
    return f" ({load.text()})" if load else ""


def _score(format: Format, score: ScoreRule) -> Iterator[str]:
    """A score: what is added up, which is better, what happens at a cap, how it is rounded, how ties are broken."""
    parts = [_part(format, score, part) for part in score.parts]
    name = f"{score.name}:" if len(format.scores) > 1 else "The score is"
    added = ", plus ".join(parts)
    unit = "" if score.unit in ("s", "reps") else f", in {SCORE_NAMES.get(score.unit, score.unit)}"
    yield f"{name} {added}{unit}. {_better(score)}"
    if any(part.take == "time" for part in score.parts):
        yield _cap(score)
    if score.rounding is not Rounding.NONE:
        how = "down to multiples" if score.rounding is Rounding.DOWN else "to the nearest multiple"
        yield f"Rounded {how} of {decimal_text(score.rounding_step)}."
    if (
        any(isinstance(format.tasks.get(window.task or ""), CountTask) for window in format.windows)
        and format.counters.how != "lane"
    ):
        yield f"With several counters: {JOINS[format.counters.how]}."
    yield _ties(score.ties)


def _better(score: ScoreRule) -> str:
    if score.unit == "s":
        return "The shortest time wins." if score.better == "less" else "The longest time wins."
    return "More is better." if score.better == "more" else "Less is better."


def _cap(score: ScoreRule) -> str:
    if score.cap_adds is None:
        return "Whoever is stopped by the bell stands after all finishers, by the work left."
    return f"Each repetition left at the bell adds {_seconds(score.cap_adds)}."


def _seconds(value: Fraction) -> str:
    return "1 second" if value == 1 else f"{decimal_text(value)} seconds"


def _part(format: Format, score: ScoreRule, part: Part) -> str:
    what = _taken(format, part)
    texts = {
        "sum": f"all {what}" if not part.drop else f"{what} without the lowest {part.drop}",
        "best": f"the best window of {what}",
        "worst": f"the lowest window of {what}",
        "last": f"the last window of {what}",
        "time": "the finish time",
        "member_best": f"each member's best {what}" if format.members > 1 else f"the best {what}",
        "heaviest": "the heaviest load done",
    }
    return f"{texts[part.take]}{f' times {decimal_text(part.weight)}' if part.weight != 1 else ''}"


def _taken(format: Format, part: Part) -> str:
    """What a part takes from, by the names of movements: `Double skips and Back squat`."""
    names: list[str] = []
    for index in format.window_indexes(part):
        task = format.tasks[format.windows[index].task or ""]
        name = "repetitions of work" if isinstance(task, ListTask) else _lower(format.movements[task.movement].name)
        if name not in names:
            names.append(name)
    return " and ".join(names)


def _ties(steps: tuple[TieStep, ...]) -> str:
    if not steps:
        return "Equal scores share a place."
    return f"Equal scores: {', then '.join(_tie(step) for step in steps)}; else the place is shared."


def _tie(step: TieStep) -> str:
    texts = {
        "count_at": f"more work done by {minutes_seconds(step.at or 0)}",
        "time_of_count": "who reached the count sooner",
        "best_lift": "the heavier best lift",
        "earlier_best": "who made the best lift sooner",
        "bodyweight": "the lighter entry",
        "part": f"the better part {(step.part or 0) + 1}",
    }
    return texts[step.kind]


def _lower(name: str) -> str:
    """A movement's name inside a sentence; names that are written in capitals stay so."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _counted(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"
