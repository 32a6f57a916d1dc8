"""What is numbered within a line, `EMOM 12: 1) 12 cal row 2) 10 burpees`: each number begins a line of its own."""

import re
from collections.abc import Sequence
from itertools import pairwise

INSIDE = re.compile(r"(?<![\w.:/(])(?:(\d{1,2})|([a-h]))\)(?=\s+\S)", re.IGNORECASE)
LEAST = 2
LETTERS = "abcdefgh"


def numbered_apart(text: str, lines: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The lines, those with several numbers in them, in order from 1 or from a, parted before each."""
    return [part for line in lines for part in _parts(text, line)]


def _parts(text: str, line: tuple[int, int]) -> list[tuple[int, int]]:
    start, end = line
    found = [one for one in INSIDE.finditer(text, start, end) if not _bracketed(text[start : one.start()])]
    said = [(one[1] or one[2]).casefold() for one in found]
    orders = [str(number) for number in range(1, len(found) + 1)], list(LETTERS[: len(found)])
    if len(found) < LEAST or said not in orders:
        return [line]
    edges = [start, *(one.start() for one in found if text[start : one.start()].strip()), end]
    return list(pairwise(edges))


def _bracketed(before: str) -> bool:
    """Whether a bracket is open there, which the number ends: `(cap 10)`."""
    return before.count("(") > before.count(")")
