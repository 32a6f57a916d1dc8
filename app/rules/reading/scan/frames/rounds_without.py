"""What one of several rounds goes without: `except the last round, there you don't run`, `no run in round 3`; and what each of
them begins with: `each round has its own buy-in, 300 m row`.

Every word must be one of the table's; else the sentence is left to the grammar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.rules.reading.scan.frames.parts import Part, begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok

TABLE: Mapping[str, str] = {
    **dict.fromkeys(("don't", "not", "no", "without", "skip", "never"), "not"),
    **dict.fromkeys(("except",), "except"),
    **dict.fromkeys(("round", "rounds"), "round"),
    **dict.fromkeys(("last", "final"), "last"),
    **dict.fromkeys(("stop", "stops", "ends", "clock", "time", "finish"), "clock"),
    **dict.fromkeys(("the", "in", "there", "you", "do", "is", "of", "for", "a", "your", "with", "this", "that", "comes"), ""),
}
LAST = -1  # stands for the number of the last round


@dataclass(frozen=True, slots=True)
class Without:
    """Which round (LAST for the last one) goes without which movements; `ends`: with how many of what it is said to end, and in
    which round."""

    round: int
    keys: tuple[str, ...]
    ends: tuple[int, str, int] | None = None


def without(text: str, toks: Sequence[Tok], numbers: Mapping[str, int]) -> Without | None:
    """What a sentence says that a round goes without; None where it says something else."""
    if not any(tok.key for tok in toks):
        return None
    parts = parts_of(text, (begins_at(text, toks), ends_at(text, toks)), toks, TABLE, numbers, ("MOVE",))
    colon = next((tok.start for tok in toks if tok.kind == "COLON"), None)
    ends: tuple[int, str, int] | None = None
    if parts is not None and colon is not None:
        behind = parts_of(text, (colon, ends_at(text, toks)), toks, TABLE, numbers, ("MOVE",))
        parts = parts_of(text, (begins_at(text, toks), colon), toks, TABLE, numbers, ("MOVE",))
        ends = _ending(behind or ())
        if ends is None:
            return None
    if not parts:
        return None
    excepted = parts[0].kind == "except"
    parts = parts[excepted:]
    number, at = _round(parts, 0)
    things = parts[at + 1 :] if number else []
    if number and parts[at : at + 1] and parts[at].kind == "not" and _only_things(things):
        return Without(number, _keys(things), ends)
    if excepted or not parts or parts[0].kind != "not":
        return None
    at = next((place for place, part in enumerate(parts) if place and part.kind != "MOVE"), len(parts))
    number, behind_at = _round(parts, at)
    things = parts[1:at]
    return Without(number, _keys(things), ends) if number and behind_at == len(parts) and _only_things(things) else None


def _round(parts: Sequence[Part], at: int) -> tuple[int, int]:
    """Which round is named there, and where that ends; 0 for none."""
    kinds = [part.kind for part in parts[at : at + 2]]
    if kinds == ["last", "round"]:
        return LAST, at + 2
    if kinds == ["nth", "round"]:
        return parts[at].number, at + 2
    return (parts[at + 1].number, at + 2) if kinds in (["round", "num"], ["round", "nth"]) else (0, at)


def _only_things(parts: Sequence[Part]) -> bool:
    return bool(parts) and all(part.kind == "MOVE" for part in parts)


def _keys(parts: Sequence[Part]) -> tuple[str, ...]:
    return tuple(part.tok.key for part in parts if part.tok is not None)


def _ending(parts: Sequence[Part]) -> tuple[int, str, int] | None:
    """`The 12th deadlift of round 4 stops your clock`: how many of what, and in which round (0 where that is not said)."""
    kinds = [part.kind for part in parts]
    tok = parts[1].tok if len(parts) > 1 else None
    if kinds[:2] != ["nth", "MOVE"] or tok is None or set(kinds[-2:]) != {"clock"}:
        return None
    number, ends = _round(parts, 2)
    return (parts[0].number, tok.key, number) if kinds[ends:] == ["clock", "clock"] else None


OWN_BUY_IN = ["each", "round", "own", "BUYIN"]
OF_A_BUY_IN: Mapping[str, str] = {
    **dict.fromkeys(("each", "every"), "each"),
    **dict.fromkeys(("round", "rounds", "times"), "round"),
    "own": "own",
    **dict.fromkeys(
        ("has", "have", "its", "their", "a", "the", "is", "in", "with", "of", "yes", "all", "them", "and", "single"), ""
    ),
}


def own_buy_in(text: str, toks: Sequence[Tok], rounds: int, numbers: Mapping[str, int]) -> list[Tok] | None:
    """`Each round has its own buy-in, 300 m row, yes all four times`: what is left of it, the first thing of every round; None
    where it says something else."""
    at = next((place for place, tok in enumerate(toks) if tok.kind == "BUYIN"), None)
    if at is None or rounds < 2:
        return None
    head = parts_of(text, (begins_at(text, toks), toks[at].end), toks, OF_A_BUY_IN, numbers, ("BUYIN",))
    if [part.kind for part in head or ()] != OWN_BUY_IN:
        return None
    left = list(toks[at + 1 :])
    while left and left[0].kind in ("COMMA", "COLON", "DASH"):
        left.pop(0)
    comma = next((place for place, tok in enumerate(left) if tok.kind == "COMMA"), len(left))
    if behind := left[comma:]:
        told = parts_of(text, (behind[0].start, ends_at(text, behind)), (), OF_A_BUY_IN, numbers, ())
        kinds = [part.kind for part in told or [Part("other")]]
        if told is None or not set(kinds) <= {"each", "round", "num"} or any(part.number not in (0, rounds) for part in told):
            return None
    return left[:comma] or None
