"""A ladder of minutes told in a sentence: `2 pull-ups in the first minute, 4 in the second, always two more, up to minute ten`.

The sentence is taken apart as it is written: when, how many, how many more, until when. Every number must be one of these and fit
the others, every word say one of them or carry nothing; else the sentence is left to the grammar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.frames.parts import Part, begins_at, parts_of
from app.rules.reading.scan.pieces import Tok, words_in

KINDS = {
    **dict.fromkeys(("minute", "minutes", "min", "mins"), "min"),
    **dict.fromkeys(("rep", "reps", "repetition", "repetitions"), "rep"),
    **dict.fromkeys(("each", "every", "following", "always", "per"), "each"),
    **dict.fromkeys(("more", "additional"), "more"),
    **dict.fromkeys(("until", "till", "to"), "to"),
    **dict.fromkeys(("last", "final"), "last"),
}
CARRY_NOTHING = {
    *("in", "the", "of", "and", "then", "so", "on", "etc", "are", "is", "due", "than", "before", "it", "a", "an", "at", "with"),
    *("you", "do", "does", "up", "there", "we", "your", "that", "as", "for", "follows", "comes", "after", "they"),
}
ENDS = {"beyond", "stop", "stops", "ends", "end", "last", "over", "max", "finish", "finishes"}
OF_ENDS = {
    *("nobody", "goes", "whole", "thing", "after", "if", "anybody", "anyone", "left", "workout", "event", "which", "then"),
    *("latest", "still", "somebody", "going", "ladder", "reached", "minute"),
}
LEAST_SAID = 2
GOES_ON = ("COMMA", "ELLIPSIS", "THEN")
MOST_MINUTES = 60


@dataclass(frozen=True, slots=True)
class MinuteLadder:
    """So many in the first minute and so many more in each that follows; `minutes` of them where it is said, `until_miss` where
    it says so; `thing` is what is done, where that is told in the sentence, and `load` with what."""

    first: int
    by: int
    minutes: int | None
    until_miss: bool
    thing: Tok | None
    load: Tok | None = None


def minute_ladder(text: str, toks: Sequence[Tok], numbers: Mapping[str, int], before: Sequence[int] = ()) -> MinuteLadder | None:
    """The ladder that a sentence tells, or goes on with: `before` is how many the minutes before it have. None where it is
    none."""
    begun = [tok for tok in toks if tok.kind != "EMOM" or tok is not toks[0]]
    moves = {tok.key: tok for tok in begun if tok.kind == "MOVE"}
    loads = [tok for tok in begun if tok.kind == "LOAD"]
    if not begun or len(moves) > 1 or len(loads) > len(moves) or not any(tok.values for tok in begun):
        return None
    parts = _parts(text, _begins(text, toks, begun), begun[-1].end, begun, numbers)
    if parts is None:
        return None
    said, at = _said(parts, list(before))
    more, at = _more(parts, at)
    ends, at = _until(parts, at)
    until_miss = [part.kind for part in parts[at:]] == ["FAIL"]
    if at + until_miss < len(parts) or (before and moves) or not parts:
        return None
    steps = {after - before for before, after in pairwise(said)} | ({more} if more else set())
    if len(said) + (more > 0) < LEAST_SAID or len(steps) != 1 or min(steps) < 1:
        return None
    by = steps.pop()
    if ends and (ends[0] > MOST_MINUTES or ends[0] < len(said) or ends[1] not in (0, said[0] + by * (ends[0] - 1))):
        return None
    return MinuteLadder(said[0], by, ends[0] if ends else None, until_miss, next(iter(moves.values()), None), *loads)


def last_minute(text: str, toks: Sequence[Tok], numbers: Mapping[str, int], first: int, by: int) -> int | None:
    """`Nobody goes beyond minute 12`, `it ends after the tenth minute, in which 12 are due`: how many minutes there are."""
    parts = _parts(text, _begins(text, toks, list(toks)), toks[-1].end, toks, numbers, ENDS | OF_ENDS) if toks else None
    words = set(words_in(text[toks[0].start : toks[-1].end])) if toks else set()
    if parts is None or not words & ENDS or ("nobody" in words and "beyond" not in words):
        return None
    plain = [part for part in parts if part.kind not in ("rep", "each", "last")]
    for at in range(len(plain)):
        when = _when(plain, at) or _so_many_minutes(plain, at)
        rest = [*plain[:at], *plain[at + 2 :]] if when else []
        counts = {part.number for part in rest}
        if when and all(part.kind == "num" for part in rest) and counts <= {first + by * (when - 1)} and when <= MOST_MINUTES:
            return when
    return None


def _begins(text: str, toks: Sequence[Tok], begun: Sequence[Tok]) -> int:
    """Where the sentence begins, with the words before it that carry nothing for the grammar."""
    if begun[0] is not toks[0] or begun[0].kind in GOES_ON:  # the end of a sentence that tells work before it
        return begun[0].start
    return begins_at(text, begun)


def _parts(
    text: str, start: int, end: int, toks: Sequence[Tok], numbers: Mapping[str, int], also: set[str] | None = None
) -> list[Part] | None:
    """What a sentence is made of; None where a word of it says something else."""
    table = {**dict.fromkeys((*CARRY_NOTHING, *(also or ())), ""), **KINDS}
    found = parts_of(text, (start, end), toks, table, numbers, ("MOVE", "FAIL", "LOAD"))
    return found if found is None else [part for part in found if part.kind not in ("MOVE", "LOAD")]


def _when(parts: Sequence[Part], at: int) -> int:
    """`Minute 3`, `the third minute`: which one; 0 where none stands there."""
    kinds = [part.kind for part in parts[at : at + 2]]
    if kinds == ["min", "num"] or kinds == ["min", "nth"]:
        return parts[at + 1].number
    return parts[at].number if kinds == ["nth", "min"] else 0


def _so_many_minutes(parts: Sequence[Part], at: int) -> int:
    return parts[at].number if [part.kind for part in parts[at : at + 2]] == ["num", "min"] else 0


def _said(parts: Sequence[Part], found: list[int]) -> tuple[list[int], int]:
    """How many in each of the first minutes, in order, and where that ends; `found` are those that were told before."""
    at = 0
    while at < len(parts):
        when, long = (_when(parts, at), 2) if _when(parts, at) else (parts[at].number if parts[at].kind == "nth" else 0, 1)
        before = when == 0 and parts[at].kind == "num"  # `4 in the second`
        if before:
            place = at + 1 + (parts[at + 1 : at + 2] != [] and parts[at + 1].kind == "rep")
            if place >= len(parts):
                break
            when, long = (
                (_when(parts, place), 2)
                if _when(parts, place)
                else ((parts[place].number, 1) if parts[place].kind == "nth" else (0, 0))
            )
            count, ends = parts[at].number, place + long
        else:
            place = at + long
            if not when or place >= len(parts) or parts[place].kind != "num":
                break
            count, ends = parts[place].number, place + 1
            ends += ends < len(parts) and parts[ends].kind == "rep"
        if when != len(found) + 1:
            break
        found.append(count)
        at = ends
    return found, at


def _more(parts: Sequence[Part], at: int) -> tuple[int, int]:
    """How many more in each minute, and where that ends; 0 where it is not said."""
    end = at
    while end < len(parts) and parts[end].kind in ("each", "min", "num", "more", "rep") and not _is_last(parts, end):
        end += 1
    run = parts[at:end]
    told = [part.number for part in run if part.kind == "num"]
    if len(told) != 1 or not any(part.kind == "more" for part in run):
        return 0, at
    return told[0], end


def _is_last(parts: Sequence[Part], at: int) -> bool:
    return at < len(parts) and _when(parts, at) > 0 and [part.kind for part in parts[at + 2 : at + 3]] == ["last"]


def _until(parts: Sequence[Part], at: int) -> tuple[tuple[int, int] | None, int]:
    """`Up to 20 in the tenth minute`, `minute ten is the last with 20`: which is the last, and how many in it (0 where that is
    not said)."""
    if _is_last(parts, at):
        when = _when(parts, at)
        told = [part.number for part in parts[at + 3 : at + 4] if part.kind == "num"]
        return (when, told[0] if told else 0), at + 3 + len(told)
    if at >= len(parts) or parts[at].kind != "to":
        return None, at
    if when := _when(parts, at + 1):
        return (when, 0), at + 3
    if parts[at + 1 : at + 2] and parts[at + 1].kind == "num" and (when := _when(parts, at + 2)):
        return (when, parts[at + 1].number), at + 4
    return None, at
