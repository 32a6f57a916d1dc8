"""What members of an entry are called, behind how many they are: `teams of 2 (A and B)`, `teams of three: pupil A, B and C`."""

import re

from app.rules.reading.scan.again.said import Again
from app.rules.reading.scan.pieces import Tok, in_small

MEMBER = r"(?:(?:athlete|member|partner|pupil|player|rower|skier|runner|rider|lifter|person)s?\s+)?"
NAMES = rf"{MEMBER}A(?:(?:\s*[,&+/]\s*(?:and\s+)?|\s+and\s+){MEMBER}[B-L])+"
# In brackets, or up to the end of a sentence: `pairs, A and B: 10 burpees` says who does them.
BEHIND = re.compile(rf"\s*(?:\(\s*({NAMES})\s*\)|[:,–—-]\s*({NAMES})(?=\s*(?:[.;!\n]|$)))")
LETTER = re.compile(r"\b[A-L]\b")
COUNTED = {"PAIR": 2, "TRIO": 3}
LETTERS = "ABCDEFGHIJKL"


def without_names(text: str, toks: list[Tok]) -> tuple[list[Tok], list[Tok]]:
    """A sentence without the names, which are all of its members, and those names."""
    for tok in toks:
        members = COUNTED.get(tok.kind) or (int(tok.values[0]) if tok.kind == "TEAMS" and tok.values[0].isdigit() else 0)
        named = BEHIND.match(text, tok.end) if members else None
        if named is None:
            continue
        letters = "".join(LETTER.findall(named[1] or named[2]))
        if letters != LETTERS[:members]:
            return toks, []
        gone = [one for one in toks if named.start() <= one.start and one.end <= named.end()]
        return [one for one in toks if one not in gone], gone
    return toks, []


WORDS = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*|\d+")
WHO = re.compile(r"who|which", re.IGNORECASE)  # without it nobody is chosen


def without_choice(text: str, toks: list[Tok], members: int | None, again: Again) -> tuple[list[Tok], list[Tok]]:
    """`Find a partner, decide who's 1 and who's 2`: a sentence without its end in which they are to choose who is who of
    `members`, and that end."""
    members = 2 if members is None and any(tok.kind == "PAIR" for tok in toks) else members
    if members is None or not toks or not WHO.search(text, toks[0].start, toks[-1].end):
        return toks, []
    for first in [0, *(place for place, tok in enumerate(toks) if tok.kind == "COMMA")]:
        tail = [tok for tok in toks[first:] if tok.kind != "STOP"]
        clause = tail[1:] if first else tail
        if not clause:
            continue
        words = WORDS.findall(in_small(text[clause[0].start : clause[-1].end]))
        if again.chooses(words, members):
            return [tok for tok in toks if tok not in tail], clause
    return toks, []
