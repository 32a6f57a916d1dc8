"""Blocks of lines under the name of a version: `Scaled:` alone in its line, and what is done there until an empty line."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.versions.lines import version_line

Lines = list[tuple[int, int]]
AGES = r"(?:age[ds]?\s+)?\d{2}\s*(?:[-–—]|to)\s*\d{2}|\d{2}\s*\+|u\s?\d{2}|(?:over|under)\s+\d{2}"
RANGE = rf"(?:{AGES})(?:\s*(?:years?|yrs?|y/o|year[- ]olds))?"
EDGES = " \t*#_:=•–—-.“”"


@dataclass(frozen=True, slots=True)
class Block:
    """A version's name, the line that says it, the lines under it; `loads` says that they tell loads and heights alone."""

    name: str
    heading: tuple[int, int]
    lines: tuple[tuple[int, int], ...]
    loads: bool


class Groups:
    """Knows the names of versions: words of a table, a range of ages, or both."""

    def __init__(self, words: Iterable[str]) -> None:
        every = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
        self._name = re.compile(rf"(?:(?:{every})(?:\s+(?:{every}))*(?:\s+{RANGE})?|{RANGE})", re.IGNORECASE)

    def named(self, line: str) -> str:
        """The name that a line says and no more; empty for another line."""
        said = line.strip(EDGES)
        return " ".join(said.split()) if self._name.fullmatch(said) else ""


def blocks(text: str, lines: Sequence[tuple[int, int]], groups: Groups, words: Callable[[int, int], list[Tok]]) -> list[Block]:
    """The blocks of versions, in order."""
    found: list[Block] = []
    at = 0
    while at < len(lines):
        start, end = lines[at]
        name = groups.named(text[start:end])
        at += 1
        if not name:
            continue
        begins = at
        while at < len(lines) and text[slice(*lines[at])].strip() and not groups.named(text[slice(*lines[at])]):
            at += 1
        under = tuple(lines[begins:at])
        if under:
            loads = all(version_line(text, words(*line), name) is not None for line in under)
            found.append(Block(name[:1].upper() + name[1:], (start, end), under, loads))
    return found
