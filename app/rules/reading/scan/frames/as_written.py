"""A sentence as it is written, with what is counted and done told by its kind: `rest for <DUR>, <TIMES> in a row`."""

import re
from collections.abc import Sequence

from app.rules.reading.scan.pieces import Tok

SIGNS = re.compile(r"[^\w<>,:'()/]+")
LABELS, MOST_BEFORE = ("PART",), 120  # characters that carry nothing before a sentence
EDGES = "\n.!?;:,()"
EDGE = re.compile(f"[{re.escape(EDGES)}]")


def as_written(text: str, toks: Sequence[Tok], to_the_edge: bool = True) -> str:
    """The words of a sentence or a clause in small letters, each number and each movement as the kind of its word of the grammar;
    up to the next sign on both sides, since the first and the last may carry nothing for the grammar; not `to_the_edge`: up to
    the last of them."""
    if not toks:
        return ""
    before = text[max(0, toks[0].start - MOST_BEFORE) : toks[0].start]
    said, at = "", toks[0].start - len(EDGE.split(before)[-1])
    for tok in toks:
        if placed(tok):
            begins, ends = tok.within if tok.key and tok.kind == "UNKNOWN" else (tok.start, tok.end)
            said += f"{text[at:begins].casefold()} <{'MOVE' if tok.key else tok.kind}> "
            at = max(at, ends)
    if not to_the_edge:
        return _plain(said + text[at : max(at, toks[-1].end)].casefold())
    edge = EDGE.search(text, max(at, toks[-1].end))
    said += text[at : edge.start() if edge else len(text)].casefold()
    return _plain(said)


def _plain(said: str) -> str:
    return " ".join(SIGNS.sub(" ", said.replace("’", "'")).split())


def placed(tok: Tok) -> bool:
    """Whether a word stands as its kind in what is written."""
    return bool(tok.values or tok.key) or tok.kind in LABELS
