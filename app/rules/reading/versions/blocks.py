"""Blocks of lines under the name of a version: `Scaled:` alone in its line, and what is done there until an empty line."""

import re
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.versions.lines import version_line

Lines = list[tuple[int, int]]
AGES = r"(?:age[ds]?\s+)?\d{2}\s*(?:[-–—]|to)\s*\d{2}|\d{2}\s*\+|u\s?\d{2}|(?:over|under)\s+\d{2}"
RANGE = rf"(?:{AGES})(?:\s*(?:years?|yrs?|y/o|year[- ]olds))?"
AMOUNTS = ("COUNT", "REPS", "CALS", "LENG", "SCHEME")
LEAST_PARTED = 2
OF_MEN = {"men", "male", "males", "gents", "guys", "boys"}
OF_WOMEN = {"women", "female", "females", "ladies", "girls"}
OF_ANY = {"for", "the", "version", "option", "group", "category", "division", "age"}  # words that alone name none
EDGES = " \t*#_:=•–—-.“”"


@dataclass(frozen=True, slots=True)
class Block:
    """A version's name, the line that says it, the lines under it; `loads` says that they tell loads and heights alone."""

    name: str
    heading: tuple[int, int]
    lines: tuple[tuple[int, int], ...]
    loads: bool


def name_of(said: str) -> str:
    """A version's name as it is shown: `SCALED` and `scaled` are `Scaled`; what is short, such as RX, stays as it is written."""
    words = [word.capitalize() if word.isalpha() and word.isupper() and len(word) > len("RXD") else word for word in said.split()]
    return " ".join(words)[:1].upper() + " ".join(words)[1:]


class Groups:
    """Knows the names of versions: words of a table, a range of ages, or both."""

    def __init__(self, words: Iterable[str]) -> None:
        every = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
        name = rf"(?:(?:{every})(?:\s+(?:{every}))*(?:\s+{RANGE})?|{RANGE})"
        self._name = re.compile(rf"{name}(?:\s*(?:&|\+|,|/|\band\b)\s*{name})*", re.IGNORECASE)

    def named(self, line: str) -> str:
        """The name that a line says and no more; empty for another line."""
        said = line.strip(EDGES)
        words = set(re.findall(r"[a-z]+", said.casefold()))
        both = words & OF_MEN and words & OF_WOMEN  # `Men and women` is everybody
        return " ".join(said.split()) if self._name.fullmatch(said) and not both else ""

    def begins(self, said: str) -> str:
        """The name that something begins with; empty for none."""
        found = self._name.match(said)
        return said[: found.end()] if found and not said[found.end() : found.end() + 1].isalnum() else ""


def parted(text: str, lines: Sequence[tuple[int, int]], groups: Groups, words: Callable[[int, int], list[Tok]]) -> Lines:
    """Lines, those with a version's name and all its work (`Rx: 10 pull-ups, 14 cal row`) in two, where there are several."""
    found = {line: at for line in lines if (at := _work_behind(text, line, groups, words))}
    if len(found) < LEAST_PARTED:
        return list(lines)
    made: Lines = []
    for start, end in lines:
        at = found.get((start, end))
        made += [(start, end)] if at is None else [(start, at), (at, end)]
    return made


def _work_behind(text: str, line: tuple[int, int], groups: Groups, words: Callable[[int, int], list[Tok]]) -> int | None:
    """Where behind a version's name and a colon its work begins; None for another line."""
    name, colon, rest = text[slice(*line)].partition(":")
    if not colon or not rest.strip() or not groups.named(name):
        return None
    at = line[0] + len(name) + 1
    toks = words(at, line[1])
    counted = any(tok.kind in AMOUNTS and after.kind == "MOVE" for tok, after in pairwise(toks))
    return at if counted and version_line(text, toks, name) is None else None


def blocks(
    text: str,
    lines: Sequence[tuple[int, int]],
    groups: Groups,
    words: Callable[[int, int], list[Tok]],
    whole: Collection[tuple[int, int]],
) -> list[Block]:
    """The blocks of versions, in order. What stands in the line of a name, and is none of the `whole` lines, is all of its
    block."""
    found: list[Block] = []
    at = 0
    while at < len(lines):
        start, end = lines[at]
        name = groups.named(text[start:end])
        at += 1
        if not name or ("/" in name and [tok.kind for tok in words(start, end)] == ["VERSIONS"]):
            continue  # `Rx / Scaled`: whose the numbers below are
        begins = at
        while at < len(lines) and text[slice(*lines[at])].strip() and not groups.named(text[slice(*lines[at])]):
            at += 1
            if lines[at - 1] not in whole:
                break
        under = tuple(lines[begins:at])
        if under:
            loads = all(version_line(text, words(*line), name) is not None for line in under)
            found.append(Block(name_of(name), (start, end), under, loads))
    return found
