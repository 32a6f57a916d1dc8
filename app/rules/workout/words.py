"""The rule book's own words: windows, people, takes and rules as a person would say them. Screens and explanations share
these."""

from collections.abc import Sequence

from app.rules.values.clock_times import minutes_text
from app.rules.values.units import decimal_text
from app.rules.values.words import ENGLISH, decimal, in_force, known, say
from app.rules.workout.formats import Format, ListTask, Part, Window
from app.rules.workout.movements import shown_name

TAKES = {
    "sum": "all added up",
    "best": "the best one",
    "worst": "the worst one",
    "last": "the last one with something that counts",
    "time": "the finish time",
    "member_best": "each member's best, added up",
    "heaviest": "the heaviest load done",
}
JOINS = {
    "lane": "the lane judge's count",
    "closest_two": "the mean of the two closest counts",
    "drop_high_low": "the counts without the highest and the lowest",
    "mean": "the mean of the counts",
    "median": "the middle count",
}


def listed(words: Sequence[str]) -> str:
    """Several things in one sentence: `a, b and c`."""
    told = [part for part in (", ".join(words[:-1]), *words[-1:]) if part]
    return say("{first} and {second}", first=told[0], second=told[1]) if len(told) > 1 else "".join(told)


def lower_name(name: str) -> str:
    """A fault's name inside a sentence; names that are written in capitals stay so. A movement's name stays as it was typed."""
    return name[:1].lower() + name[1:] if name[1:2].islower() and in_force().language in (ENGLISH, "") else name


def inside(word: str) -> str:
    """A word inside a sentence, where the language writes it small there."""
    return word[:1].lower() + word[1:] if in_force().language in (ENGLISH, "") else word


def member_letter(member: int) -> str:
    """1 is A."""
    return chr(ord("A") + member - 1)


def who_text(window: Window, members: int) -> str:
    """Who works in a window: `A`, `A and B`, `all together`, `shared as they like`; nothing for a single athlete."""
    if members == 1:
        return ""
    if isinstance(window.who, str):
        return say(f"who.{window.who}")
    return listed([member_letter(member) for member in window.who])


def work_text(format: Format, window: Window) -> str:
    """What is done in a window: its movement, `work list`, or `rest`."""
    if window.task is None:
        return inside(say("rest"))
    task = format.tasks[window.task]
    return say("work list") if isinstance(task, ListTask) else shown_name(format.movements[task.movement].name)


def window_text(format: Format, index: int) -> str:
    """A window in one line: `Window 3, A: Double-unders, 4:00 to 6:00`."""
    window = format.windows[index]
    who = who_text(window, format.members)
    span = say("{start} to {end}", start=minutes_text(window.start), end=minutes_text(window.start + window.seconds))
    return say(
        "Window {number}: {work}, {span}",
        number=f"{index + 1}, {who}" if who else index + 1,
        work=work_text(format, window),
        span=span,
    )


def part_text(format: Format, part: Part, name: str) -> str:
    """How a part is made: `Double-unders: all added up, the lowest 1 dropped, times 0.5`."""
    text = f"{shown_name(name)}: {known(TAKES[part.take])}"
    if part.drop:
        text += say(", the lowest {drop} dropped", drop=part.drop)
    if part.weight != 1:
        text += say(", times {number}", number=decimal(decimal_text(part.weight)))
    return text
