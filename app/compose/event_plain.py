"""An event in plain words: how it runs and how it scores, as somebody would read it out."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from app.rules.count.lift_words import lift_rules
from app.rules.result.fine_print import fine_print
from app.rules.values.clock_times import hours_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say
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
from app.rules.workout.movements import shown_name
from app.rules.workout.score_units import POINTS, added_in, score_unit
from app.rules.workout.task_fields import TASKS
from app.rules.workout.tasks import Movement
from app.rules.workout.words import JOINS, listed, who_text
from app.rules.workout.written_work import work_text

MOST_RUNGS = 8  # of a scheme
WORTH = re.compile(r" = (\d+)(?=$| @ )")
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
            holding = say(", while another holds") if any(window.holding for window in windows) else ""
            yield f"{_often(format, windows)}{how_it_ends(format, key, task)}: {task_text(format, task)}{holding}."
            if isinstance(task, LiftTask):
                yield from lift_rules(task, format.members)
    rests = [window.seconds for window in format.windows if window.task is None]
    if rests:
        lengths = listed([hours_text(seconds) for seconds in sorted(set(rests))[:3]])
        yield say("Between them {lengths} of rest. The last bell goes at {time}.", lengths=lengths, time=_last_bell(format))
    elif len(format.windows) > 1:
        yield say("The last bell goes at {time}.", time=_last_bell(format))


def _last_bell(format: Format) -> str:
    return hours_text(format.length_ms // 1000)


def _often(format: Format, windows: list[Window]) -> str:
    """How often and how long, and who: `6 windows of 1:00, A`."""
    lengths = sorted({window.seconds for window in windows})
    first, last = hours_text(lengths[0]), hours_text(lengths[-1])
    span = first if len(lengths) == 1 else say("{start} to {end}", start=first, end=last)
    whom = [who for who, _ in groupby(sorted(who_text(window, format.members) for window in windows))]
    who = f", {say(', then ').join(whom) if len(whom) < 3 else say('in turn')}" if whom != [""] else ""
    return say("windows_of", n=len(windows), span=span) + who


def how_it_ends(format: Format, key: str, task: Task) -> str:
    """How a work list ends: when it is done, where its time counts; else at the bell."""
    if not isinstance(task, ListTask):
        return ""
    windows = {index for index, window in enumerate(format.windows) if window.task == key}
    parts = [part for score in format.scores for part in score.parts if windows & set(format.window_indexes(part))]
    timed = any(part.take == "time" for part in parts)
    if task.rounds is None:
        return say(", round after round until the bell")
    if task.rounds > 1:
        return say(", {rounds} rounds for time" if timed else ", {rounds} rounds until the bell", rounds=task.rounds)
    return say(", for time" if timed else ", until the bell")


def task_text(format: Format, task: Task) -> str:
    """What a task asks for, in one line."""
    if isinstance(task, ListTask):
        return _list(format, task)
    return TASKS[task.kind].in_line(task, shown_name(format.movements[task.movement].name))


def _list(format: Format, task: ListTask) -> str:
    """The lines of a list; a scheme such as 16-12-8 is told as one."""
    names = [shown_name(item.called(format.movements)) for item in task.items]
    round_of = _scheme_length(task)
    if round_of:
        reps = [str(item.reps) for item in task.items[::round_of]]
        scheme = "-".join(reps)
        if len(reps) > MOST_RUNGS:
            scheme = say("{first} and so on to {last}", first="-".join(reps[:3]), last=reps[-1])
        return f"{scheme} {listed([names[i] + _load(task.items[i]) for i in range(round_of)])}"
    key = next((key for key, one in format.tasks.items() if one is task), "")
    lines = [line_text(format, key, item) for item in task.items[:MOST_LINES]]
    more = len(task.items) - MOST_LINES
    return ", ".join(lines) + (say("task.more_lines", n=more) if more > 0 else "")


def line_text(format: Format, key: str, item: WorkItem) -> str:
    """A line of a list as people read it, without its number where it is for as many as possible."""
    line = decimal(_scored(work_text((_shown(item),), _called(format))))
    if not format.goes_on(key, item):
        return line
    return say("{movement}, as many as possible", movement=line.replace(f"{item.reps} ", "", 1))


def _scored(line: str) -> str:
    """A line of a list as people read it: what each of its repetitions scores is said, not written as it is typed."""
    return WORTH.sub(lambda found: f" – {_scores(int(found[1]))}", line)


def _scores(worth: int) -> str:
    return say("each scores {n}", n=worth) if worth else say("does not count")


def _shown(item: WorkItem) -> WorkItem:
    """A line with its own words as people read them."""
    return item.model_copy(update={"words": shown_name(item.words)}) if item.words else item


def _called(format: Format) -> Mapping[str, Movement]:
    """The movements by the names that people read."""
    return {key: one.model_copy(update={"name": shown_name(one.name)}) for key, one in format.movements.items()}


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
    return alike and all(one.worth for one in rung) and len({one.reps for one in rung}) == 1


def _load(item: WorkItem) -> str:
    return f" ({decimal(item.load.text())})" if item.load else ""


def _score(format: Format, score: ScoreRule) -> Iterator[str]:
    """A score: what is added up, which is better, what happens at a cap, how it is rounded, how ties are broken."""
    parts = [_part(format, part) for part in score.parts]
    name = f"{known(score.name)}:" if len(format.scores) > 1 else say("The score is")
    added = say(", plus ").join(parts)
    true_unit = score_unit(format, score)
    unit = "" if true_unit in ("s", "reps") else say(", in {unit}", unit=_unit_name(true_unit)) + _loads_in(format, score)
    yield f"{name} {added}{unit}. {_better(score, true_unit)}"
    yield from SCORE.sentences(score, format.members)
    if (
        any(isinstance(format.tasks.get(window.task or ""), CountTask) for window in format.windows)
        and format.counters.how != "lane"
    ):
        yield say("With several counters: {how}.", how=known(JOINS[format.counters.how]))
    yield _ties(score.ties)


def _loads_in(format: Format, score: ScoreRule) -> str:
    """In which unit a load is worth its points, where the score is points and takes loads."""
    tasks = [format.tasks[format.windows[i].task or ""] for part in score.parts for i in format.window_indexes(part)]
    if score_unit(format, score) != POINTS or not any(isinstance(task, LiftTask) for task in tasks):
        return ""
    return say(", each load in {unit}", unit=_unit_name(added_in(format, score, format.unit)))


def _unit_name(unit: str) -> str:
    """A unit in full: `metres`."""
    return say(f"unit.{unit}")


def _better(score: ScoreRule, unit: str) -> str:
    if unit == "s":
        return say("The shortest time wins." if score.better == "less" else "The longest time wins.")
    return say("More is better." if score.better == "more" else "Less is better.")


def _part(format: Format, part: Part) -> str:
    windows = format.window_indexes(part)
    tasks = [format.tasks[format.windows[index].task or ""] for index in windows]
    what, lifted = _taken(format, tasks), all(isinstance(task, LiftTask) for task in tasks)
    texts = {
        "sum": say("{what} without the lowest {drop}", what=what, drop=part.drop) if part.drop else say("all {what}", what=what),
        "best": say("the best window of {what}", what=what),
        "worst": say("the lowest window of {what}", what=what),
        "last": say("the last window of {what}", what=what),
        "time": say("the finish time"),
        "member_best": say("each member's best {what}" if format.members > 1 else "the best {what}", what=what),
        "heaviest": say("the heaviest load done"),
    }
    if len(windows) == 1 and part.take in ("sum", "best", "worst", "last") and not part.drop:
        texts[part.take] = say("the best {what}" if lifted else "the {what}", what=what)
    elif lifted:
        texts |= {
            "sum": say("the best {what} of each window, added up", what=what),
            "best": say("the best {what}", what=what),
        }
    weight = say(" times {weight}", weight=decimal(decimal_text(part.weight))) if part.weight != 1 else ""
    return texts[part.take] + weight


def _taken(format: Format, tasks: list[Task]) -> str:
    """What a part takes, by the names of movements: `double-unders and back squat`."""
    return listed(list(dict.fromkeys(_taken_of(format, task) for task in tasks)))


def _taken_of(format: Format, task: Task) -> str:
    if isinstance(task, ListTask):
        return say("repetitions of work")
    name = shown_name(format.movements[task.movement].name)
    if isinstance(task, MeasureTask):
        return say("measured {name}", name=name)
    if isinstance(task, LiftTask) and task.times_reps:
        return say("{name}, load times repetitions,", name=name)
    return name


def _ties(steps: tuple[TieStep, ...]) -> str:
    if not steps:
        return say("ties.shared")
    return say("Equal scores: {these}; otherwise the place is shared.", these=say(", then ").join(step.plain() for step in steps))
