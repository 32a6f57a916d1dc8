"""A sentence taken apart as it is written: each of its words by a table, its numbers, and what the scanner knows in it."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from app.rules.reading.scan.pieces import NTH, Tok, in_small

PARTS = re.compile(
    r"(?P<nth>\d+(?:st|nd|rd|th)\b)|(?P<num>\d+)s?(?![^\W_]|[.,:]\d)|(?P<other>\d+)|(?P<sign>\+)|[^\W\d_]+(?:['’][^\W\d_]+)*"
)
END = re.compile(r"[\n.!?;]")
NUM, ORDER = "num", "nth"
MOST_EDGES = 256  # of sentences that are asked by one frame after another where they begin and end


@dataclass(frozen=True, slots=True)
class Part:
    """What a word is for the frame that asks; a number, or which of several; what the scanner knows (`tok`), by its kind."""

    kind: str
    number: int = 0
    tok: Tok | None = None


def parts_of(
    text: str,
    span: tuple[int, int],
    toks: Sequence[Tok],
    table: Mapping[str, str],
    numbers: Mapping[str, int],
    known: Collection[str],
) -> list[Part] | None:
    """The parts of a stretch of the text in order; None where a word of it is in no table. `table`: what a word is, empty where
    it carries nothing; `known`: kinds of words of the scanner that are taken as they are."""
    found: list[Part] = []
    whole = {tok.start: tok for tok in (_thing(tok) if "MOVE" in known else tok for tok in toks) if tok.kind in known}
    passed, spelt = span[0], -1  # where the last number in words ends
    for piece in PARTS.finditer(text, *span):
        word = in_small(piece[0])
        if piece.start() < passed:
            continue
        if tok := whole.get(piece.start()):
            found.append(Part(tok.kind, tok=tok))
            passed = tok.end
        elif piece["nth"]:
            found.append(Part(ORDER, int(word[:-2])))
        elif piece["num"]:
            found.append(Part(NUM, int(piece["num"])))
        elif piece["sign"] and word not in table:
            continue
        elif word in table:
            found += [Part(table[word])] if table[word] else []
        elif word in NTH:
            found.append(Part(ORDER, NTH.index(word) + 1))
        elif word in numbers and _adds_up(text, found, spelt, piece.start(), numbers[word]):
            found[-1] = Part(NUM, found[-1].number + numbers[word])
        elif word in numbers:
            found.append(Part(NUM, numbers[word]))
            spelt = piece.end()
        else:
            return None
    return found


def _thing(tok: Tok) -> Tok:
    """A movement that stands among words that nobody knows, without these."""
    within = tok.kind == "UNKNOWN" and tok.key and tok.within != (0, 0)
    return replace(tok, kind="MOVE", start=tok.within[0], end=tok.within[1]) if within else tok


def _adds_up(text: str, found: Sequence[Part], spelt: int, at: int, number: int) -> bool:
    """`Twenty four`, `twenty-four`."""
    tens = spelt >= 0 and found[-1].kind == NUM and found[-1].number in range(20, 100, 10) and 0 < number < 10
    return tens and text[spelt:at] in (" ", "-")


def begins_at(text: str, toks: Sequence[Tok]) -> int:
    """Where a sentence begins, with the words before its first that carry nothing for the grammar."""
    return _begins(text, toks[0].start)


def ends_at(text: str, toks: Sequence[Tok]) -> int:
    """Where a sentence ends, with the words behind its last that carry nothing for the grammar."""
    return _ends(text, toks[-1].end)


@lru_cache(MOST_EDGES)
def _begins(text: str, at: int) -> int:
    line = text.rfind("\n", 0, at)
    return max(line, *(text.rfind(sign, line + 1, at) for sign in ".!?;")) + 1


@lru_cache(MOST_EDGES)
def _ends(text: str, at: int) -> int:
    found = END.search(text, at)
    return found.start() if found else len(text)
