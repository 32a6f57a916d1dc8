"""A stated point of the work in one window, at which a time can be taken: the end of a round, of a line, of a step of a scheme,
or a repetition. It is told by the taps that bring there, so the marks that count alone say when it was reached."""

import re
from itertools import accumulate
from typing import Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base
from app.rules.values.words import say
from app.rules.workout.tasks import CountTask, ListTask, Task

NOT_ONE = "A point of the work is the end of a round, of a line, of the lines of one number, or a repetition."
NOT_WORK = "a point is one of counted repetitions or of a work list"

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
# As people write it: `the end of the 15s`, `line 4 of round 2`, `round 3, window 2`, `repetition 60`, `60 reps`,
# `your time after 2 rounds`, `when the set of 12 is finished`.
WRITTEN = re.compile(
    r"(?:who\s+(?:was|is)\s+(?:sooner|faster)\s+|(?:(?:the|your)\s+)?(?:split\s+)?(?:time|split)\s+)?"
    r"(?:(?:at|after|to|for|when)\s+)?(?:the\s+)?(?:end\s+of\s+|last\s+rep(?:etition)?\s+of\s+)?(?:(?:the|your)\s+)?"
    r"(?:(?P<scheme>\d{1,6})\s*['’]?s|(?:set|round)\s+of\s+(?P<set>\d{1,6})"
    r"|(?<=after\s)(?P<rounds>\d{1,4})\s+(?:full\s+|complete\s+)?rounds|line\s*(?P<line>\d{1,3})|round\s*(?P<round>\d{1,4})"
    r"|(?P<nth>\d{1,3}(?:st|nd|rd|th)|" + "|".join(ORDINALS) + r")\s+(?:full\s+|complete\s+)?round"
    r"|(?:rep(?:etition)?|no\.?|number)\s*(?P<reps>\d{1,6})|(?P<count>\d{1,6})\s*rep(?:etition)?s?)"
    r"(?:\s+(?:of|in)\s+(?:the\s+)?round\s*(?P<of>\d{1,4}))?(?:\s*,?\s*(?:of|in)?\s*window\s*(?P<window>\d{1,3}))?"
    r"(?:\s+(?:is|are)\s+(?:finished|completed|done|over))?\s*\.?",
    re.IGNORECASE,
)


class Point(Base):
    """A point of the work: after `round`, after `line` (counted from 1) or after the lines of `scheme` repetitions, of a round if
    there are several; or at repetition `reps` of the work. `window`: in which of those that the score takes from; None: the first
    of counted repetitions or of a work list."""

    window: int | None = Field(default=None, ge=0, lt=200)
    round: int | None = Field(default=None, ge=1, le=1000)
    line: int | None = Field(default=None, ge=1, le=200)
    scheme: int | None = Field(default=None, ge=1, le=100_000)
    reps: int | None = Field(default=None, ge=1, le=1_000_000)

    @model_validator(mode="after")
    def _one(self) -> Self:
        ends = [one for one in (self.line, self.scheme, self.reps) if one is not None]
        if len(ends) > 1 or (not ends and self.round is None) or (self.reps is not None and self.round is not None):
            raise ValueError(NOT_ONE)
        return self

    def words(self) -> str:
        """The point as it is said: `the end of line 4 of round 2`. `read_point` reads that."""
        said = self._within()
        return said if self.window is None else say("point.in_window", point=said, window=self.window + 1)

    def _within(self) -> str:
        """The point as it is said inside its window."""
        if self.reps:
            return say("point.reps", reps=self.reps)
        if self.line and self.round is None:
            return say("point.line", line=self.line)
        if self.line:
            return say("point.line_of_round", line=self.line, round=self.round)
        if self.scheme and self.round is None:
            return say("point.scheme", scheme=self.scheme)
        if self.scheme:
            return say("point.scheme_of_round", scheme=self.scheme, round=self.round)
        return say("point.round", round=self.round)


def _nth(said: str) -> int:
    """`third`, `3rd`: 3."""
    digits = "".join(sign for sign in said if sign.isdigit())
    return int(digits) if digits else ORDINALS.index(said.casefold()) + 1


def read_point(text: str) -> Point | None:
    """A point as people write it; None where it is none."""
    found = WRITTEN.fullmatch(text.strip())
    if found is None:
        return None
    named = found.groupdict()
    nth = named.pop("nth")
    named["scheme"], named["round"] = named.pop("set") or named["scheme"], named.pop("rounds") or named["round"]
    told = {name: int(number) for name, number in named.items() if number is not None}
    told |= {"round": _nth(nth)} if nth else {}
    if "window" in told:
        told["window"] -= 1
    of, count = told.pop("of", None), told.pop("count", None)
    told |= ({"round": of} if of is not None else {}) | ({"reps": count} if count is not None else {})
    try:
        return Point.model_validate(told)
    except ValueError:
        return None


def taps_to(task: Task, point: Point) -> int:
    """How many taps of a task bring to a point of it. Raises ValueError with what the task lacks."""
    if isinstance(task, CountTask) and point.reps is not None:
        if task.target is not None and not task.grows and point.reps > task.target:
            raise ValueError(f"the most that counts there is {say('repetitions', n=task.target)}")
        return point.reps
    if not isinstance(task, ListTask):
        raise ValueError(NOT_WORK)
    return _taps_of_work(task, point.reps) if point.reps is not None else _taps_of_line(task, point)


def _taps_of_work(task: ListTask, reps: int) -> int:
    """The tap that brings a list to so many repetitions of work, or beyond."""
    work = task.work_in_round
    if task.rounds is not None and reps > work * task.rounds:
        raise ValueError(f"the work list has {say('repetitions', n=work * task.rounds)}")
    rounds, rest = divmod(reps - 1, work)
    worths = accumulate(item.worth for item in task.items for _ in range(item.reps))
    return rounds * task.taps_in_round + next(tap for tap, done in enumerate(worths, 1) if done > rest)


def _taps_of_line(task: ListTask, point: Point) -> int:
    if point.round is None and task.rounds != 1:
        raise ValueError(f"the work list has {task.rounds or 'any number of'} rounds: say of which one")
    number = point.round or 1
    if task.rounds is not None and number > task.rounds:
        raise ValueError(say("point.rounds", n=task.rounds))
    line = len(task.items) if point.line is None and point.scheme is None else point.line or _line_of(task, point.scheme or 0)
    if line > len(task.items):
        raise ValueError(say("point.lines", n=len(task.items)))
    return (number - 1) * task.taps_in_round + sum(item.reps for item in task.items[:line])


def _line_of(task: ListTask, scheme: int) -> int:
    """The last of the lines of so many repetitions, which follow one another."""
    lines = [number for number, item in enumerate(task.items, 1) if item.amount == scheme]
    if not lines:
        raise ValueError(f"the work list has no line of {scheme}")
    if lines[-1] - lines[0] >= len(lines):
        raise ValueError(f"the lines of {scheme} do not follow one another: name one by its number")
    return lines[-1]
