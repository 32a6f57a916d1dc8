"""A film's text, typed as it was spoken, without a stop: its sentences begin where a clause surely begins.

Only there: `and we count`, `it's four stations`. What somebody says in one breath otherwise (`when you hear the beep`, `the bar
you start with`) may belong to what is before or behind it, so it stays where it is, and stands in red if it is not understood.
Where words are quoted from such a text, its new stops are shown.
"""

import functools
import re
from collections.abc import Iterable, Iterator

from app.rules.reading.scan.pieces import in_small
from app.rules.values.shapes import Base

LEAST_WORDS, MOST_COMMAS = 30, 20  # words of such a line, and to one comma
LEAST_OF_A_CLAUSE = 2
STOPS = re.compile(r"[.!?;:…\d]")
WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


class ClauseTable(Base):
    """What begins a clause: one of `joins` before one of `begins`, or one of `alone` that does not stand behind a word that it
    `goes_with`."""

    joins: tuple[str, ...]
    begins: tuple[str, ...]
    alone: tuple[str, ...]
    goes_with: tuple[str, ...]


def with_stops(text: str, table: ClauseTable) -> str:
    """A text as long as it was, with a stop for the blank before each clause of the lines that were spoken without one."""
    return "".join(_with_stops(line, table) for line in text.splitlines(keepends=True))


def _with_stops(line: str, table: ClauseTable) -> str:
    words = len(WORD.findall(line)) if not STOPS.search(line) else 0
    if words < LEAST_WORDS or line.count(",") * MOST_COMMAS > words:
        return line
    blanks = {start - 1 for start in _begins(line, table)}
    return "".join("." if at in blanks else sign for at, sign in enumerate(line))


def _begins(text: str, table: ClauseTable) -> Iterator[int]:
    """Where clauses begin behind a blank."""
    last = 0
    for found in _clauses(table.joins, table.begins, table.alone).finditer(text):
        before = WORD.findall(in_small(text[last : found.start()]))
        joined = found["joined"] is not None
        if (
            len(before) < LEAST_OF_A_CLAUSE
            or (not joined and before[-1] in table.goes_with)
            or not text[found.start() - 1].isspace()
        ):
            continue
        yield found.start()
        last = found.start()


@functools.lru_cache
def _clauses(joins: tuple[str, ...], begins: tuple[str, ...], alone: tuple[str, ...]) -> re.Pattern[str]:
    joined = rf"(?:{_any(joins)})\s+(?:{_any(begins)})"
    return re.compile(rf"(?<![\w'’])(?:(?P<joined>{joined})|(?:{_any(alone)}))(?![\w'’])", re.IGNORECASE)


def _any(ways: Iterable[str]) -> str:
    return "|".join(re.escape(way).replace(r"\ ", r"\s+").replace("'", "['’]") for way in sorted(ways, key=len, reverse=True))
