"""An event in plain terms, to write down what a text is expected to say without knowing anything of the reader.

A corpus file holds texts, each under a line such as `===== its name`: the text as it was written, a line of five dashes, JSON:

{"members": 2,              how many an entry has; 1 where it is left out
     "windows": [               in the order of the clock; rests are not told, they are what lies between
       {"from": "0:00", "long": "12:00", "ends": "bell", "do": ["10 pull-ups", "400 m run", "15 thrusters @ 43 kg"]},
       {"from": "14:00", "long": "0:20", "times": 8, "rest": "0:10", "do": ["max push-ups"]}],
     "score": "sum reps",       what is taken and its unit; several scores as a list
     "other": {"called": "Women", "do": ["10 pull-ups", …]},    another version: other lines in its first window, as often;
                                what makes an entry (`Women's pairs`) is no part of its name
     "open": true}              instead of all this: it can't be known, so something must be asked or stand in red

Of a window: `who` is A, B, A+B or any (shared as they like), nothing where all work together or one works alone; `holds` who
holds meanwhile. `ends` belongs to a list: `bell` begins again until the bell, `time` ends when it is done, and `once` is done
once before the bell. `rounds` says how often a list is done; written out is the same. `times` and `rest`: so many such windows,
one after another. A line is a number and a thing: `10 pull-ups`, `400 m run`, `15 cal row`, `0:30 plank`; in windows of one thing
also `max push-ups`, `max cal row`, `max m run`, `max s plank`, `heaviest clean`; `max push-ups` behind a list too. A load stands
behind @, a height behind a comma: `20 box jumps, 24 in`. What does not count of a list ends in `= 0`: `1000 m row = 0`. Names are
compared as the library knows them.

A score is `time`, or what is taken and the unit: `sum reps`, `lowest reps`, `best kg`, `sum cal`, `sum points`; `out reps` where
who misses is out.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from app.rules.values.clock_times import minutes_text
from app.rules.values.units import parse_load
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, ScoreRule, Task, Window
from app.rules.workout.movements import library
from app.rules.workout.tasks import WorkItem
from app.rules.workout.words import member_letter

AMOUNT = re.compile(r"(\d+(?:\.\d+)? (?:m|km|mi|yd|ft|cal|kJ)|\d+:\d\d)(?:, (.*))?")
LINE = re.compile(
    r"(heaviest|max (?:cal|m|s)|max|\d+(?:\.\d+)? (?:m|km|mi|yd|ft|cal|kJ)(?= )|\d+:\d\d|\d+) "
    r"(.+?)(?:, (\d+ (?:in|cm|ft)))?(?: @ (.+?))?( = 0)?"
)
SIZE = re.compile(r"\d+ (?:in|cm|ft)\b")
LEAST_OF_ENDLESS = 20  # lines that are told of a ladder without an end, where it is one
LEAST_A_SECOND = 2  # repetitions that nobody does in a second: so many times the window's seconds are as many as possible
EACH = " each a "  # what stands behind a number of taps, before what each of them is
ON_A_BAR = re.compile(r"(.*), ([\d.]+ (?:kg|lb))(, .*)?")


@dataclass(frozen=True, slots=True)
class Line:
    """A thing to do: how much (`10`, `400 m`, `max cal`), of what, with which load in kilograms, how high, whether it counts."""

    amount: str
    of: str
    kg: Fraction | None
    size: str = ""
    counts: bool = True


@dataclass(frozen=True, slots=True)
class PlainWindow:
    """A window that can be compared."""

    start: str
    long: str
    who: str
    holds: str
    ends: str
    lines: tuple[Line, ...]


def expected_windows(plain: dict[str, Any]) -> list[PlainWindow]:
    """The windows that an expectation tells, each of several alike."""
    return sorted((one for window in plain["windows"] for one in _expected(window)), key=_start)


def _expected(window: dict[str, Any]) -> Iterator[PlainWindow]:
    at, long, rest = _seconds(window["from"]), _seconds(window["long"]), _seconds(window.get("rest", "0:00"))
    for _ in range(window.get("times", 1)):
        lines = tuple(line_of(text) for text in window["do"]) * window.get("rounds", 1)
        ends = window.get("ends", "") if len(lines) > 1 or window.get("ends") != "once" else ""
        yield PlainWindow(minutes_text(at), minutes_text(long), window.get("who", ""), window.get("holds", ""), ends, lines)
        at += long + rest


def _start(window: PlainWindow) -> int:
    return _seconds(window.start)


def _seconds(text: str) -> int:
    minutes, seconds = text.split(":")
    return int(minutes) * 60 + int(seconds)


def line_of(text: str) -> Line:
    """A line of an expectation. Raises ValueError for one that is none."""
    found = LINE.fullmatch(text)
    if found is None:
        raise ValueError(f"not a line: {text}")
    kg = parse_load(found[4], "kg").kg if found[4] else None
    return Line(_in_metres(found[1]), known_name(found[2]), kg, found[3] or "", not found[5])


def _in_metres(amount: str) -> str:
    """`1 km` is `1000 m`."""
    number, _, unit = amount.partition(" ")
    return f"{int(float(number) * 1000)} m" if unit == "km" else amount


def known_name(name: str) -> str:
    """A name as the library knows it; of a complex, of each thing in it."""
    if " + " in name:
        parts = [re.fullmatch(r"(?:(\d+) )?(.+)", part) for part in name.split(" + ")]
        return " + ".join(f"{part[1] or 1} {known_name(part[2])}" for part in parts if part)
    shelf = library()
    plain = shelf.plain(name)
    return shelf.names.get(plain) or shelf.lifts.get(plain) or plain


def windows_of(format: Format) -> list[PlainWindow]:
    """The windows of a format, without its rests; each of a task that grows with what it asks for."""
    seen: Counter[str] = Counter()
    found: list[PlainWindow] = []
    for window in format.windows:
        if window.task is None:
            continue
        task = format.tasks[window.task]
        if isinstance(task, CountTask) and task.target is not None:
            task = task.model_copy(update={"target": task.target + task.grows * seen[window.task]})
        seen[window.task] += 1
        found.append(_window(format, window, task))
    return found


def _window(format: Format, window: Window, task: Task) -> PlainWindow:
    who = "" if window.who == "all" else window.who if isinstance(window.who, str) else _letters(window.who)
    lines, ends = _lines(format, task), _ends(format, window, task)
    return PlainWindow(minutes_text(window.start), minutes_text(window.seconds), who, _letters(window.holding), ends, lines)


def _letters(members: tuple[int, ...]) -> str:
    return "+".join(member_letter(member) for member in members)


def _ends(format: Format, window: Window, task: Task) -> str:
    if not isinstance(task, ListTask):
        return ""
    if task.rounds is None:
        return "bell"
    windows = {place for place, one in enumerate(format.windows) if one.task == window.task}
    timed = any(
        part.take == "time" and windows & set(format.window_indexes(part)) for score in format.scores for part in score.parts
    )
    return "time" if timed else "once" if len(task.items) * (task.rounds or 1) > 1 else ""


def _lines(format: Format, task: Task) -> tuple[Line, ...]:
    match task:
        case ListTask():
            return tuple(_item(format, item) for item in task.items) * (task.rounds or 1)
        case CountTask():
            return (_named("max" if task.target is None else str(task.target), format.movements[task.movement].name),)
        case MeasureTask():
            return (_named(f"max {task.unit}", format.movements[task.movement].name),)
        case LiftTask():
            return (_named("heaviest", format.movements[task.movement].name),)


def _named(amount: str, name: str) -> Line:
    """A counted movement tells its load and its height in its name."""
    size = SIZE.search(name)
    name = name.replace(f", {size[0]}", "") if size else name
    found = ON_A_BAR.fullmatch(name)
    kg = parse_load(found[2], "kg").kg if found else None
    return Line(amount, known_name(found[1] if found else name), kg, size[0] if size else "")


def _item(format: Format, item: WorkItem) -> Line:
    found = AMOUNT.fullmatch(item.note or "") if item.reps == 1 else None
    amount = found[1] if found else str(item.reps)
    size = SIZE.search(item.note or "")
    told = size[0] if size and size[0] != amount else ""
    amount = f"{amount}{EACH}cal" if item.note and item.note.split(",")[0] == "cal" else amount
    kg, name = item.load.kg if item.load else None, known_name(format.movements[item.movement].name)
    return Line(_in_metres(amount), name, kg, told, item.worth > 0)


def scores_of(format: Format) -> list[str]:
    """Every score in plain terms."""
    return [_score(format, score) for score in format.scores]


def _score(format: Format, score: ScoreRule) -> str:
    takes = {part.take for part in score.parts}
    if takes == {"time"}:
        return "time"
    tasks = [format.tasks[format.windows[place].task or ""] for part in score.parts for place in format.window_indexes(part)]
    if format.miss_puts_out:
        return f"out {score.unit}"
    if len({id(task) for task in tasks}) == 1 and isinstance(tasks[0], CountTask) and tasks[0].miss_puts_out:
        return f"out {score.unit}"
    lifted = all(isinstance(task, LiftTask) for task in tasks)
    many = {part.take for part in score.parts if len(format.window_indexes(part)) > 1}
    total = lifted and len({part.tasks for part in score.parts}) > 1
    added = {part.take for part in score.parts} == {"member_best"} and len(_workers(format, score)) > 1
    take = (
        "sum"
        if total or added
        else "best"
        if lifted
        else {"worst": "lowest", "best": "best"}.get(min(many, default="sum"), "sum")
    )
    items = [item for task in tasks if isinstance(task, ListTask) for item in task.items if item.worth]
    calories = items and all((item.note or "").split(",")[0] == "cal" for item in items)
    return f"{take} {'cal' if calories else score.unit}"


def _workers(format: Format, score: ScoreRule) -> set[object]:
    """Who works in the windows that a score takes from, where each has windows of their own."""
    return {format.windows[place].who for part in score.parts for place in format.window_indexes(part)}


def _added(score: str) -> str:
    """What is added up of repetitions and calories is as much in points as in repetitions."""
    return "sum points" if score == "sum reps" else score


def same(format: Format, plain: dict[str, Any]) -> bool:
    """Whether an event is what was expected."""
    scores = plain["score"] if isinstance(plain["score"], list) else [plain["score"]]
    return (
        format.members == plain.get("members", 1)
        and _same_windows(windows_of(format), expected_windows(plain))
        and [_added(one) for one in scores_of(format)] == [_added(one) for one in scores]
        and _same_other(format, plain.get("other"), plain["windows"][0].get("rounds", 1))
    )


def _same_windows(made: list[PlainWindow], told: list[PlainWindow]) -> bool:
    return len(made) == len(told) and all(
        _with_most(one) == two or one == two or _goes_on(one, two) for one, two in zip(made, told, strict=True)
    )


def _with_most(made: PlainWindow) -> PlainWindow:
    """A window whose last line asks for more than anybody can do in it: as many as possible."""
    last = made.lines[-1]
    number, _, unit = last.amount.partition(EACH)
    if len(made.lines) == 1 or not number.isdigit() or int(number) < LEAST_A_SECOND * _seconds(made.long):
        return made
    return replace(made, lines=(*made.lines[:-1], replace(last, amount=f"max {unit}".strip())))


def _goes_on(made: PlainWindow, told: PlainWindow) -> bool:
    """Whether an endless ladder goes on as it was told, further than an expectation cares to write out."""
    further = made.ends == told.ends == "once" and len(made.lines) > len(told.lines) >= LEAST_OF_ENDLESS
    return further and replace(made, lines=told.lines) == told and made.lines[: len(told.lines)] == told.lines


def _whose(called: str) -> str:
    """Whose a version is, by its name: `Female pairs` and `Women's pairs` are the women's version, and so is `Women`."""
    words = called.casefold().replace("'s", "").replace("female", "women").split()
    return " ".join(word for word in words if word not in ("pairs", "teams"))


def _same_other(format: Format, other: dict[str, Any] | None, rounds: int) -> bool:
    if other is None or not format.variants:
        return other is None and not format.variants
    variant = next((one for one in format.variants if _whose(one.name) == _whose(other["called"])), format.variants[0])
    varied, first = windows_of(format.varied(variant.id)), windows_of(format)
    changed = [one for one, before in zip(varied, first, strict=True) if one.lines != before.lines]
    lines = tuple(line_of(text) for text in other["do"]) * other.get("rounds", rounds)
    if _whose(variant.name) != _whose(other["called"]) or not changed:
        return False
    made = changed[0]
    return lines in (made.lines, _with_most(made).lines) or _goes_on(made, replace(made, lines=lines))
