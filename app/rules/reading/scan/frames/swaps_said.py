"""That two members change places, told with who does what then: `after 2 minutes swap: B does the thrusters, A hangs, another 2
minutes`. All that is named must be so once they have changed; one word more, and the grammar has the sentence."""

from collections.abc import Sequence

from app.rules.reading.drafts import Stretch
from app.rules.reading.scan.frames.roster_said import member_of
from app.rules.reading.scan.pieces import Tok, words_in

CHANGES = {"swap", "swaps", "switch", "switches", "change", "changes", "trade", "roles", "places", "over"}
BESIDE = {
    *(
        "after",
        "at",
        "exactly",
        "then",
        "now",
        "it",
        "it's",
        "is",
        "who",
        "again",
        "another",
        "for",
        "and",
        "the",
        "they",
        "you",
        "next",
    ),
    *(
        "first",
        "second",
        "more",
        "also",
        "of",
        "no",
        "break",
        "straight",
        "away",
        "with",
        "without",
        "a",
        "does",
        "do",
        "while",
        "same",
    ),
    *(
        "once",
        "that",
        "those",
        "these",
        "this",
        "minutes",
        "immediately",
        "directly",
        "works",
        "rest",
        "both",
        "partners",
        "in",
        "as",
    ),
}
MORE = {"another", "again", "more", "next", "second", "after", "once", "then", "no", "not", "without"}
PARTED_BY = ("COMMA", "COLON", "AND", "THEN", "WHILE", "NOREST", "HOLD", "STOP")


def swapped(text: str, toks: Sequence[Tok], here: Stretch, elapsed: int) -> bool:
    """Whether a sentence says that the two of a stretch change places, and as long again; `elapsed` seconds have gone by then."""
    turns = [tok for tok in toks if tok.kind in ("SWITCH", "REST") and _words(text, tok) & CHANGES]
    holder, worker = here.holder or (), here.who or ()
    fits = len(turns) == 1 and len(worker) == 1 and here.count in (None, 1)
    return fits and _so(
        text, [tok for tok in toks if tok not in turns], here, holder or _other(worker), worker, {here.seconds, elapsed}
    )


def told_again(text: str, toks: Sequence[Tok], here: Stretch) -> bool:
    """Whether a sentence only says again who does what in a stretch: `number 2 does the sit-ups, number 1 holds the plank`."""
    worker, holder = here.who or (), here.holder or ()
    more = any(tok.values and not member_of(tok) for tok in toks) or any(
        _words(text, tok) & (CHANGES | MORE) for tok in toks if not tok.key
    )
    return not more and len(worker) == len(holder) == 1 and _so(text, toks, here, worker, holder, set())


def _so(
    text: str, toks: Sequence[Tok], here: Stretch, worker: Sequence[int], holder: Sequence[int], lasts: set[int | None]
) -> bool:
    """Whether everything that is named is so, with these two in their places."""
    who, named = 0, set[int]()
    for tok in toks:
        if member := member_of(tok):
            who = member
        elif tok.key and tok.kind in ("MOVE", "UNKNOWN"):
            thing = here.works[0] if (who,) == tuple(worker) else here.held if (who,) == tuple(holder) else None
            if thing is None or len(here.works) > 1 or not (thing.key == tok.key or thing.key.endswith(f"_{tok.key}")):
                return False
            named.add(who)
        elif tok.values:
            if tok.kind != "DUR" or len(tok.values) != 1 or int(tok.values[0]) not in lasts:
                return False
        elif tok.kind not in PARTED_BY and not _words(text, tok) <= BESIDE | CHANGES:
            return False
    return who == 0 or bool(named)


def _other(worker: Sequence[int]) -> tuple[int, ...]:
    return (3 - worker[0],) if worker[0] in (1, 2) else ()


def _words(text: str, tok: Tok) -> set[str]:
    return set(words_in(text[tok.start : tok.end]))
