"""Several lines under windows that come every so often: all of them in each window, or one after another? It is asked where lines
are numbered, where each of them stands under a minute, and where one is for as many as possible."""

import re
from collections.abc import Sequence
from itertools import pairwise

from app.rules.reading.clock import Clock
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.talk import Span

A_MINUTE = 60
NUMBER_OF_LINE = re.compile(r"(?<![\w.:/])\(?(\d{1,2}|[a-h])[.)]\s", re.IGNORECASE)
IN_TURN = ("turn", "One after another: a window for each line, and then again")
TOGETHER = ("together", "All of them in each window")
LEFT = ("left", "All in each window: the last in the time that the others leave")


def ask_for_turns(clock: Clock, stretch: Stretch) -> None:
    """Puts lines into windows of their own, or the last of them into the time that the others leave, as it is answered."""
    works = stretch.works
    plain = all(group.label is None and group.rounds == 1 and not group.scheme and not group.role for group in stretch.groups)
    turned = stretch.one_by_one or stretch.listed or stretch.adds or stretch.alternates or stretch.together
    if not plain or len(works) < 2 or turned:
        return
    lines = numbered_lines(clock.things.talk.text, works) or own_lines(clock.things.talk.text, stretch)
    most = [work for work in works if work.most]
    if (not lines and not most) or any(work.long for work in works):
        return
    several = (stretch.count or 1) > 1 and stretch.stations is None
    if stretch.kind == "windows" and not (several and most == works[-1:] and all(work.amount for work in works[:-1])):
        return  # in which order they come is asked there
    together = TOGETHER if not most else LEFT
    answers = [IN_TURN, together] if lines else [together, IN_TURN]
    if most and most != works[-1:]:
        answers = [IN_TURN]
    asked = "Several lines under one window: is each done in a window of its own, or all in each?"
    told = clock.things.talk.ask("lines", stretch.span or Span(0, 0), asked, answers)
    if told == "turn" and stretch.kind == "every":
        told_apart = lines or [[work] for work in works]
        stretch.groups = [Group(works=line, label=(number,)) for number, line in enumerate(told_apart, start=1)]
    elif told == "left":
        stretch.groups = [Group(works=works[:-1]), Group(works=works[-1:], role="rest-of-time")]


def own_lines(text: str, stretch: Stretch) -> list[list[Work]]:
    """The works of each line, where a minute has a line for each of them; what stands in one line is done in one minute."""
    works = stretch.works
    between = [text[one.span.end : two.span.start] for one, two in pairwise(works)]
    apart = all("\n" in said for said in between) and not any(work.joined or work.rest for work in works)
    return [[work] for work in works] if apart and not stretch.in_windows and (stretch.seconds or A_MINUTE) <= A_MINUTE else []


def numbered_lines(text: str, works: Sequence[Work]) -> list[list[Work]]:
    """The works behind each number, where all that is done stands behind numbers from 1, or letters from a; else none."""
    lines: dict[int, list[Work]] = {}
    said: dict[int, str] = {}
    for work in works:
        start = text.rfind("\n", 0, work.span.start) + 1
        told = [*NUMBER_OF_LINE.finditer(text, start, work.span.start)]
        begins = told[-1].start() if told else start
        said[begins] = told[-1][1].casefold() if told else ""
        lines.setdefault(begins, []).append(work)
    orders = [[str(number) for number in range(1, len(said) + 1)], list("abcdefgh"[: len(said)])]
    return list(lines.values()) if len(said) > 1 and list(said.values()) in orders else []


def as_it_is_told(clock: Clock, stretch: Stretch, stations: int, count: int) -> None:
    """Whether there are as many windows as are told by their numbers; `EMOM, ascending`, `three things in turn`: whether there is
    more in each window, and whether there are so many things."""
    span = stretch.span or Span(0, 0)
    if count < stations or (stretch.by_numbers and count % stations):
        clock.things.talk.red(span, f"{stations} windows are told, and there are {count}.")
    elif stretch.by_numbers and count > stations:
        clock.things.talk.assume("After the last window that is told by its number it begins again.", stretch.span)
    if stretch.climbs is not None and not stretch.adds:
        clock.things.talk.red(stretch.climbs, "How many more there are in each window is not said.")
    if stretch.stations not in (None, stations):
        clock.things.talk.red(span, f"It says {stretch.stations} things in turn and names {stations}.")
