"""A text whose lines end anywhere, as a narrow page or a film breaks them: its paragraphs are read as one line each."""

import re
from collections.abc import Container, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, plain

LEAST_BREAKS, MOST_JOINED = 3, 1_000
NUMBER_LAST = re.compile(r"\d\s*$")
DANGLING = re.compile(
    r"(?:\b(?:of|at|with|to|and|or|the|a|an|for|(?<!\d )in|x|then|from|by|max|between)|[^\W\d_]-|[(+,])\s*$", re.IGNORECASE
)
GOES_ON = re.compile(r"[>\s]*[a-z(+]")
SHARE = 0.5  # of the breaks of a page that are inside of something


def unwrapped(text: str, lines: list[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Lines, those of a paragraph as one where they end anywhere. A number that is broken between its digits is left alone."""
    if not _wrapped(text, lines):
        yield from lines
        return
    start, end = -1, -1
    for begins, ends in lines:
        blank = not text[begins:ends].strip(" >\t")
        if start >= 0 and (blank or ends - start > MOST_JOINED):
            yield start, end
            start = -1
        if blank:
            yield begins, begins
        else:
            start, end = (begins if start < 0 else start), ends
    if start >= 0:
        yield start, end


def _wrapped(text: str, lines: Sequence[tuple[int, int]]) -> bool:
    """Whether most lines go on in the next, and one ends in a word that can end nothing: a list of `pull-ups 10` does not."""
    said = [text[start:end] for start, end in lines]
    if any("\t" in one or "|" in one for one in said):
        return False
    breaks = [(above, below) for above, below in pairwise(said) if above.strip(" >") and below.strip(" >")]
    if len(breaks) < LEAST_BREAKS or any(NUMBER_LAST.search(one) and two.lstrip(" >")[:1].isdigit() for one, two in breaks):
        return False
    dangling = sum(1 for above, _ in breaks if DANGLING.search(above))
    return dangling > 0 and sum(1 for above, below in breaks if _goes_on(above, below)) > SHARE * len(breaks)


def _goes_on(above: str, below: str) -> bool:
    ended = above.rstrip().endswith((".", "!", ":", ";", "?"))
    return bool(DANGLING.search(above) or (GOES_ON.match(below) and not ended))


def together(found: list[Tok], text: str, known: Container[str]) -> list[Tok]:
    """Words that were broken over two lines as one: `sw` and below it `itch`, of which not both are words themselves."""
    made: list[Tok] = []
    for one in found:
        last = made[-1] if made else None
        if last is not None and last.kind == one.kind == "LETTERS" and "\n" in text[last.end : one.start]:
            whole = plain(last) + plain(one)
            if whole in known and not (plain(last) in known and plain(one) in known):
                made[-1] = replace(last, end=one.end, text=last.text + one.text)
                continue
        made.append(one)
    return made
