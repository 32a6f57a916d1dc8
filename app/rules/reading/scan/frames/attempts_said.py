"""When the attempts at a lift begin, how long each is and what lies between, told in one sentence.

`Attempts at 0:00, 3:00 and 6:00, you have 90 seconds each`; `3 attempts, 1 minute each, 2 minutes between them`. Every word of it
must be one of the frame; a clause that has others is left to the grammar, and all behind it.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.frames.parts import begins_at, parts_of
from app.rules.reading.scan.frames.parts import ends_at as sentence_ends
from app.rules.reading.scan.pieces import Tok, words_in

CLOCK = re.compile(r"\d{1,2}:[0-5]\d")
OF_ATTEMPTS = {
    *("attempt", "attempts", "try", "tries", "lift", "lifts", "begin", "begins", "start", "starts", "at", "and", "the", "of"),
    *(
        "running",
        "clock",
        "on",
        "you",
        "have",
        "get",
        "each",
        "every",
        "shall",
        "has",
        "his",
        "her",
        "their",
        "be",
        "is",
        "are",
        "concluded",
        "completed",
    ),
    *("done", "finished", "within", "in", "platform", "opens", "for", "time", "window", "windows", "long", "format"),
    *("has", "his", "her", "their"),
    *("allowed", "there", "next", "one", "given"),
    *("athlete", "athletes", "must", "per", "between", "them", "with", "rest", "a", "an", "apart", "lasts"),
}
ENDS = re.compile(r"[\n.,;:!?)]")
EACH_OF_THEM = re.compile(r"(?:for |in |on )?(?:each|every)(?: of the)? (?:attempt|try|lift)")  # `for each attempt … one minute`
MOST = 12


def attempts(text: str, toks: Sequence[Tok], before: int | None = None) -> list[Tok] | None:
    """The sentence as so many attempts, each so long, with so much rest between; None where it is no such frame. `before`: how
    many attempts a sentence before it tells."""
    run = _run(text, toks)
    begins = [tok for tok in run if tok.kind == "DUR" and CLOCK.fullmatch(text[tok.start : tok.end])]
    lengths = [tok for tok in run if tok.kind == "DUR" and tok not in begins]
    often = [tok for tok in run if tok.kind == "ATTEMPTS" and (tok.values != ("1",) or not before)]  # `between one and the next`
    said = set(words_in(text[run[0].start : run[-1].end])) if run else set()
    if not (often or said & {"attempt", "attempts", "platform", "try", "tries"}) or not lengths:
        return None
    if not often and before and EACH_OF_THEM.search(text[run[0].start : run[-1].end].casefold()):
        often = [run[0].to(run[0], "ATTEMPTS", values=(str(before),), key="")]
    made = _at_times(begins, lengths, often) if begins else _each_and_between(text, run, lengths, often)
    if made is None:
        return None
    number, each, rest = made
    last = run[-1]
    told = [
        last.to(last, "ATTEMPTS", values=(str(number),), key=""),
        last.to(last, "EACHTRY", values=(), key=""),
        each,
    ]
    if rest:
        told += [
            replace(each, values=(str(rest),)),
            last.to(last, "REST", values=(), key=""),
            last.to(last, "BETWEEN", values=(), key=""),
        ]
    left = list(toks[len(run) :])
    return [*told, *left]


def ends_at(text: str, toks: Sequence[Tok]) -> int | None:
    """Where what such a sentence says of the attempts ends, if more is said behind it."""
    run = _run(text, toks)
    left = [tok for tok in toks[len(run) :] if tok.kind != "STOP"]
    return len(run) if run and left and attempts(text, run) else None


def _run(text: str, toks: Sequence[Tok]) -> list[Tok]:
    """The clauses at the beginning of which every word belongs to such a frame."""
    found: list[Tok] = []
    clause: list[Tok] = []
    for tok in [*toks, None]:
        if tok is None or tok.kind == "COMMA":
            if not clause or not _fits(text, clause):
                break
            found += clause
            clause = []
        if tok is not None:
            clause.append(tok)
    return found


def _fits(text: str, clause: Sequence[Tok]) -> bool:
    if any(tok.key or (tok.values and tok.kind not in ("DUR", "ATTEMPTS")) for tok in clause):
        return False
    line = text.rfind("\n", 0, clause[0].start)
    begins = (
        clause[0].end
        if clause[0].kind == "COMMA"
        else max(line, *(text.rfind(sign, line + 1, clause[0].start) for sign in ".,;:!?(")) + 1
    )
    found = ENDS.search(text, clause[-1].end)
    ends = found.start() if found else len(text)
    left = list(text[begins:ends])
    for tok in clause:
        if tok.values and tok.kind in ("DUR", "ATTEMPTS"):
            left[tok.start - begins : tok.end - begins] = " " * (tok.end - tok.start)
    return set(words_in("".join(left))) <= OF_ATTEMPTS


def _at_times(begins: Sequence[Tok], lengths: Sequence[Tok], often: Sequence[Tok]) -> tuple[int, Tok, int] | None:
    """`At 0:00, 3:00 and 6:00, 90 seconds each`: as far apart as the clock says."""
    at = [int(tok.values[0]) for tok in begins]
    apart = {after - before for before, after in pairwise(at)}
    if at[0] != 0 or len(apart) != 1 or len(lengths) != 1 or len(lengths[0].values) != 1 or len(at) > MOST:
        return None
    rest = apart.pop() - int(lengths[0].values[0])
    told = {int(tok.values[0]) for tok in often}
    return (len(at), lengths[0], rest) if rest >= 0 and told <= {1, len(at)} else None


def _each_and_between(text: str, run: Sequence[Tok], lengths: Sequence[Tok], often: Sequence[Tok]) -> tuple[int, Tok, int] | None:
    """`3 attempts, 1 minute each, 2 minutes between them`."""
    if len(often) != 1 or len(lengths) != 2 or any(len(tok.values) != 1 for tok in (*often, *lengths)):
        return None
    each, rest = lengths
    behind = text[each.end : rest.start].casefold().split()
    each_told = behind[:1] in (["each"], ["each,"]) or EACH_OF_THEM.search(text[run[0].start : rest.start].casefold())
    after = words_in(text[rest.end : rest.end + 40])
    number = int(often[0].values[0])
    if not each_told or "between" not in after[:3] or not 1 < number <= MOST or each.start < often[0].start:
        return None
    return number, each, int(rest.values[0])


OF_A_TRY: Mapping[str, str] = {
    **dict.fromkeys(("begins", "starts", "begin", "start", "from"), "begin"),
    **dict.fromkeys(("ends", "end", "stops", "until", "over"), "end"),
    **dict.fromkeys(("the", "try", "attempt", "one", "and", "is", "at", "no", "later", "than", "by", "on", "it", "which"), ""),
}


def nth_try(text: str, toks: Sequence[Tok], numbers: Mapping[str, int]) -> tuple[int, int, int] | None:
    """`The first begins at 0:00 and ends no later than 2:00`: which try, and its first and last second; None for another
    sentence."""
    if sum(tok.kind == "DUR" for tok in toks) != 2:
        return None
    parts = parts_of(text, (begins_at(text, toks), sentence_ends(text, toks)), toks, OF_A_TRY, numbers, ("DUR",))
    if [part.kind for part in parts or ()] != ["nth", "begin", "DUR", "end", "DUR"]:
        return None
    times = [part.tok for part in parts or () if part.tok is not None]
    clocked = [tok.values for tok in times if CLOCK.fullmatch(text[tok.start : tok.end])]
    if [len(values) for values in clocked] != [1, 1]:
        return None
    return (parts or [])[0].number, int(clocked[0][0]), int(clocked[1][0])
