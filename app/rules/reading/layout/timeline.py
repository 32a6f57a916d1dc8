"""A time of the clock before each line, from 0:00 to one that says that it is over: each line lasts until the next begins."""

import re
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok

BEGINS = re.compile(
    r"[ \t]*(?:[-–—•*][ \t]+)?(\d{1,3}):([0-5]\d)(?![\d:])[ \t]*[:.=]?[ \t]+(?![-–—]|(?:to|until|till)\b|\d+:)(\S.*)"
)
OVER = re.compile(
    r"(?:the )?(?:end|ends|finish|finished|done|stop|over|time|time's up)(?: of (?:the )?(?:event|workout))?[ .!]*", re.IGNORECASE
)
LEAST = 3
OVER_AT = -1


def timeline(text: str) -> Mapping[int, tuple[int, int]]:
    """By where a line begins: from when to when it is, in seconds; of the last, which says that it is over, when that is."""
    found: dict[int, tuple[int, int]] = {}
    run: list[tuple[int, int, str]] = []
    at = 0
    for line in [*text.splitlines(keepends=True), ""]:
        told = BEGINS.match(line)
        seconds = int(told[1]) * 60 + int(told[2]) if told else 0
        follows = told is not None and (seconds > run[-1][1] if run else seconds == 0)
        if follows and told is not None:
            run.append((at, seconds, told[3].strip()))
        elif line.strip() or not line:
            if len(run) >= LEAST and OVER.fullmatch(run[-1][2]):
                found |= {begins: (first, last) for (begins, first, _), (_, last, _) in pairwise(run)}
                found[run[-1][0]] = (run[-1][1], OVER_AT)
            run = [(at, seconds, told[3].strip())] if told is not None and not seconds else []
        at += len(line)
    return found


def spanned(toks: list[Tok], first: int, last: int) -> list[Tok]:
    """A line of it, with from when to when it is in the place of when it begins; as it stands where it has a time of its own."""
    times = [tok for tok in toks if tok.kind in ("DUR", "DURS", "PRIMED", "SPAN", "EMOM", "EVERY", "CAP")]
    if not toks or times != toks[:1] or toks[0].values != (str(first),):
        return toks
    return [replace(toks[0], kind="SPAN", values=(str(first), str(last))), *toks[1:]]
