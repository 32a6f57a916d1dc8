"""Rounds of which each has more than the one before, told by the first of them: `round 1 is 3 pull-ups and 3 burpees. Every round
you add 3 to both. The round of 12 is the last`.

Every word must be one of the table's, and the last round be so many steps from the first; else the grammar has the sentence.
"""

import re
from collections.abc import Mapping, Sequence

from app.rules.reading.drafting.said_work import reps_of
from app.rules.reading.drafts import Draft, Group, Stretch
from app.rules.reading.scan.frames.ladders_said import MOST_STEPS
from app.rules.reading.scan.frames.parts import begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span, Talk

FIRST: Mapping[str, str] = {
    **dict.fromkeys(("round", "set"), "round"),
    **dict.fromkeys(("is", "has", "of", "the", "start", "with", "you", "do", "we", "a"), ""),
}
MORE: Mapping[str, str] = {
    **dict.fromkeys(("round", "rounds", "set", "time"), "round"),
    **dict.fromkeys(("each", "every", "always", "both", "all"), "each"),
    **dict.fromkeys(("add", "adds", "more", "adding"), "more"),
    **dict.fromkeys(
        (
            "you",
            "we",
            "they",
            "to",
            "of",
            "them",
            "the",
            "in",
            "it",
            "there",
            "are",
            "is",
            "and",
            "reps",
            "then",
            "after",
            "with",
        ),
        "",
    ),
}
LAST: Mapping[str, str] = {
    **dict.fromkeys(("last", "final", "until", "till", "ends", "end", "stops", "stop"), "last"),
    **dict.fromkeys(("round", "rounds", "set", "s"), "round"),
    **dict.fromkeys(
        (
            *(
                "the",
                "of",
                "is",
                "one",
                "you",
                "reach",
                "get",
                "to",
                "it",
                "with",
                "at",
                "after",
                "are",
                "done",
                "have",
                "you've",
                "we",
            ),
            *("then", "and", "up", "ladder", "goes", "so", "on", "that", "through", "finish", "finished", "reps"),
        ),
        "",
    ),
}

BY_ITS_PLACE = re.compile(r"\brounds? (?:number )?\d", re.IGNORECASE)  # `round 12`, which is the twelfth, and not the round of 12


def first_round(text: str, toks: Sequence[Tok], here: Stretch | None) -> int:
    """How many of these words say that what follows is the first round: `round 1 is …`; 0 if none do."""
    ends = next((at for at, tok in enumerate(toks) if tok.kind in ("COUNT", "REPS") and at), 0)
    begun = here is not None and (here.works or here.kind not in ("", "time") or here.group.rounds > 1 or here.group.scheme)
    if not ends or begun or toks[0].kind not in ("ROUND", "PROSE", "UNKNOWN", "SET"):
        return 0
    parts = parts_of(text, (begins_at(text, toks), toks[ends].start), (), FIRST, {"one": 1}, ())
    told = [(part.kind, part.number) for part in parts or ()]
    return ends if told in ([("round", 0), ("num", 1)], [("nth", 1), ("round", 0)]) else 0


def rises(text: str, toks: Sequence[Tok], here: Stretch, numbers: Mapping[str, int]) -> bool:
    """Whether a sentence says how many more each round has, or which of them is the last; it is put into the stretch."""
    group = here.group
    if not _plain(here) or (told := _first(group)) == 0:
        return False
    span = begins_at(text, toks), ends_at(text, toks)
    if group.rises:
        parts = parts_of(text, span, toks, LAST, numbers, ())
        numbered = [part.number for part in parts or () if part.kind == "num"]
        kinds = {part.kind for part in parts or ()}
        if len(numbered) != 1 or "last" not in kinds or kinds - {"num", "last", "round"} or BY_ITS_PLACE.search(text, *span):
            return False
        steps, left = divmod(numbered[0] - told, group.rises)
        if left or not 0 < steps <= MOST_STEPS:
            return False
        group.scheme, group.scheme_span = tuple(range(told, numbered[0] + 1, group.rises)), Span(toks[0].start, toks[-1].end)
        for work in group.works:
            work.amount = None
        group.rises = 0
        return True
    parts = parts_of(text, span, toks, MORE, numbers, ())
    added = [part.number for part in parts or () if part.kind == "num"]
    if {part.kind for part in parts or ()} != {"each", "more", "num", "round"} or len(added) != 1 or not added[0]:
        return False
    group.rises, group.rises_span = added[0], Span(toks[0].start, toks[-1].end)
    return True


def _plain(here: Stretch) -> bool:
    told = [group for group in here.groups if group.works]
    one = len(told) == 1 and told[0] is here.group and not (told[0].scheme or told[0].role or told[0].rounds > 1 or told[0].gap)
    return one and here.kind in ("", "time")


def _first(group: Group) -> int:
    """How many of each thing the first round has; 0 where they differ, or something is not counted."""
    alike = {reps_of(work) if work.amount and work.amount.kind == "reps" else 0 for work in group.works}
    return alike.pop() if len(alike) == 1 else 0


def end_rises(draft: Draft, talk: Talk) -> None:
    """Rounds that rise and of which no last one is told, or a first round behind which none is, stand in red."""
    for group in (one for stretch in draft.stretches for one in stretch.groups):
        open_end = group.rises or (group.first_span and not group.scheme)
        if open_end and (span := group.rises_span or group.first_span):
            talk.red(span, "Which round is the last, or how many more each has, is not said.")
