"""A table with a column for each member: its rows say from when to when each of them does what."""

import re
from collections.abc import Callable
from dataclasses import replace

from app.rules.reading.layout.tables import Cell
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.things import HELD

CLOCK = re.compile(r"(?:clock|time|minutes?|min|from|window|when|start)\W*", re.IGNORECASE)
MEMBER = re.compile(r"(?:partner|athlete|member|person|team ?mate)?\s*([ABC12])", re.IGNORECASE)
KINDS = {"A": "MEMBERA", "B": "MEMBERB", "C": "MEMBERC", "1": "MEMBERA", "2": "MEMBERB"}
OVER = re.compile(r"(?:the )?(?:end|finish|done|stop|over)\W*", re.IGNORECASE)
IDLE = {"REST", "DASH", "COMMA", "OFF"}
IDLE_WORDS = {"rest", "rests", "resting", "wait", "waits", "off", "nothing", "watch", "watches", "recover", "recovers"}


def members_of(text: str, cells: list[Cell]) -> dict[int, Tok] | None:
    """The columns of the members, each with the word for who it is; None where it is no such heading."""
    said = [text[cell.start : cell.end].strip() for cell in cells]
    found = [MEMBER.fullmatch(one) for one in said[1:]]
    if len(found) < 2 or not CLOCK.fullmatch(said[0]) or any(one is None for one in found):
        return None
    return {
        at: Tok(KINDS[one[1].upper()], cells[at].start, cells[at].end, said[at])
        for at, one in enumerate(found, 1)
        if one is not None
    }


def by_members(
    text: str, members: dict[int, Tok], cells: list[Cell], words: Callable[[int, int], list[Tok]]
) -> list[list[Tok]] | None:
    """What a row says of who works, in a sentence, and of any other row its cells; None for the heading, and for a row in which
    nobody does anything; nothing where who does what is not clear."""
    read = [words(cell.start, cell.end) if cell.end > cell.start else [] for cell in cells]
    said = [text[cell.start : cell.end].strip() for cell in cells]
    if members_of(text, cells) is not None or (len(said) > 1 and all(OVER.fullmatch(one) for one in said[1:] if one)):
        return None
    span = read[0]
    if [tok.kind for tok in span] != ["SPAN"]:
        return [toks for toks in read if toks]
    done: list[tuple[Tok, list[Tok]]] = []
    held: list[tuple[Tok, list[Tok]]] = []
    for at, who in members.items():
        toks = [tok for tok in read[at] if tok.kind not in ("LPAR", "RPAR", "COMMA")] if at < len(read) else []
        idle = at >= len(read) or not said[at] or said[at].casefold() in IDLE_WORDS
        if idle or (read[at] and {tok.kind for tok in read[at]} <= IDLE):
            continue
        if not toks:
            return []  # `work`, and what is not said
        holds = [tok.kind for tok in toks] in (["MOVE"], ["HOLD", "MOVE"]) and toks[-1].key in HELD
        (held if holds else done).append((replace(who, start=toks[0].start, end=toks[0].start), _most_first(toks)))
    if not done and not held:
        return None  # they rest
    told = [tok for _, cell in [*done, *held] for tok in cell]
    if len(done) != 1 or len(held) > 1 or any(tok.kind in ("PROSE", "UNKNOWN") and not tok.key for tok in told):
        return []
    who, toks = done[0]
    beside = [tok for other, thing in held for tok in (_word(other, "WHILE"), other, _word(other, "HOLD"), thing[-1])]
    return [[*span, who, *toks, *beside]]


def _word(beside: Tok, kind: str) -> Tok:
    return replace(beside, kind=kind)


def _most_first(toks: list[Tok]) -> list[Tok]:
    """`burpees (max)`: as many as possible stands before its thing."""
    most = [tok for tok in toks if tok.kind == "MAX"]
    return [*most, *(tok for tok in toks if tok.kind != "MAX")] if len(most) == 1 else toks
