"""Two versions across the lines: `Pro / Open` alone in a line, and below it `30 m handstand walk / 30 m bear crawl`, `50/35 kg`.
Where only numbers stand in pairs, the line may as well say that all of it is for both: that is asked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.reading.versions.blocks import AMOUNTS, EDGES, Block, Groups, Lines, name_of

MOST = ("MAX", "DUR")
THINGS = ("MOVE",)
PAIRED = ("LOAD", "PAIRNUM", "SIZE", "CALS", "LENG")


@dataclass(frozen=True, slots=True)
class Across:
    """A text with two versions across, by their `names`: its lines, those with work of each in two, and the blocks of the two;
    none where only numbers stand in pairs."""

    names: tuple[str, ...]
    lines: Lines
    blocks: tuple[Block, ...]


def across(text: str, lines: Sequence[tuple[int, int]], groups: Groups, words: Callable[[int, int], list[Tok]]) -> Across | None:
    """The versions that one line names and the lines below tell across; None where no line does, or one more names a version."""
    headed = [line for line in lines if "/" in text[slice(*line)] and _names(text, line, groups, words)]
    if len(headed) != 1 or any(groups.named(text[slice(*line)]) for line in lines if line not in headed):
        return None
    head, names = headed[0], _names(text, headed[0], groups, words)
    first: Lines = []
    second: Lines = []
    made: Lines = []
    for line in lines:
        at = _parted(line, words) if line > head and "/" in text[slice(*line)] else None
        if at is None:
            made += [line] if line != head else []
            continue
        first.append((line[0], at))
        second.append((at + 1, line[1]))
        made += [first[-1], second[-1]]
    if first:
        return Across(names, made, (Block(names[0], head, tuple(first), False), Block(names[1], head, tuple(second), False)))
    pairs = any(tok.kind in PAIRED and len(tok.values) == len(names) for line in made if line > head for tok in words(*line))
    legend = [tok.kind for tok in words(*head)] == ["VERSIONS"]  # which says whose they are
    return Across(names, made, ()) if pairs and not legend else None


def _names(text: str, line: tuple[int, int], groups: Groups, words: Callable[[int, int], list[Tok]]) -> tuple[str, ...]:
    """The two names that a line says and no more; none for another line."""
    said = text[slice(*line)].strip(EDGES + "()[]")
    parts = [part.strip(EDGES) for part in said.split("/")]
    if len(parts) != 2:
        return ()
    if all(groups.named(part) for part in parts) and parts[0].casefold() != parts[1].casefold():
        return name_of(parts[0]), name_of(parts[1])
    toks = words(*line)
    return tuple(name.capitalize() for name in toks[0].values) if [tok.kind for tok in toks] == ["VERSIONS"] else ()


def _parted(line: tuple[int, int], words: Callable[[int, int], list[Tok]]) -> int | None:
    """Where in a line the work of the second version is parted from that of the first."""
    toks = words(*line)
    slashes = [at for at, tok in enumerate(toks) if tok.kind == "SLASH"]
    if len(slashes) != 1 or not all(_is_work(part) for part in (toks[: slashes[0]], toks[slashes[0] + 1 :])):
        return None
    return toks[slashes[0]].start


def slashed(text: str, lines: Sequence[tuple[int, int]], words: Callable[[int, int], list[Tok]]) -> Span | None:
    """Where work stands beside other work, parted by a stroke alone: both, or one of each version's."""
    line = next((one for one in lines if "/" in text[slice(*one)] and _parted(one, words) is not None), None)
    return Span(*line) if line else None


def _is_work(toks: Sequence[Tok]) -> bool:
    """Whether one thing is told, with its amount."""
    if [tok.kind for tok in toks] == ["MOVE"]:
        return True  # under a scheme
    counted = [tok for tok, after in pairwise(toks) if tok.kind in (*AMOUNTS, *MOST) and after.kind in THINGS]
    return len(counted) == 1 and toks[0] is counted[0] and sum(tok.kind in THINGS for tok in toks) == 1
