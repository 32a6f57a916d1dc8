"""How a ladder goes on that was begun in full: `then 3 and 3, and so on until 8 and 8`, `always 2 more, up to minute 10`.

What goes on must be plain from what was said: the same things again, each step as far from the one before. Every number in
such a sentence must fit that, and every word be one of those that say it; else the sentence is left to the grammar.
"""

from collections.abc import Sequence
from itertools import pairwise

from app.rules.reading.drafts import Draft, Group, Loaded, Stretch, Work
from app.rules.reading.scan.pieces import Tok, words_in
from app.rules.reading.talk import Span

MOST_STEPS = 100
PAIRS = (["BARE", "AND", "BARE"], ["BARE", "PLUS", "BARE"])
UP_TO = {"until", "till", "to", "through"}
GOES_ON = {"so", "on", "etc", "always", "continuing", "continue", "continues", "keep", "keeps", "going", "add", "adding"}
OF_STEPS = {
    *GOES_ON,
    *UP_TO,
    *(
        "and",
        "then",
        "up",
        "down",
        "the",
        "way",
        "all",
        "more",
        "less",
        "fewer",
        "it",
        "goes",
        "you",
        "each",
        "every",
        "time",
        "in",
    ),
    *("do", "another", "make"),
    *("are", "is", "over", "minutes", "runs", "out", "end"),
    *("minute", "min", "round", "rep", "reps", "of", "um", "okay", "with", "see", "where", "it's", "that", "same", "both"),
}


def goes_on(text: str, toks: Sequence[Tok], draft: Draft) -> list[Tok] | None:
    """The words of a sentence that are left once what it says of how a ladder goes on is put in the draft; None where it says no
    such thing."""
    if not draft.stretches or not any(tok.values for tok in toks):
        return None
    here = draft.stretches[-1]
    if here.kind == "every":
        return _minutes(text, toks, here)
    left = _pairs(text, toks, here)
    if not left:
        return _further(text, toks, here) if left is None else left
    further = _further(text, left, here)
    return left if further is None else further


def _further(text: str, toks: Sequence[Tok], here: Stretch) -> list[Tok] | None:
    """How it goes on, told by the first clauses of a sentence; what stands in the others is left."""
    commas = [at for at, tok in enumerate(toks) if tok.kind == "COMMA"]
    for end in (len(toks), *reversed(commas)):
        if end and (told := _steps(text, toks[:end], here)) is not None:
            return [*told, *toks[end + 1 :]]
    return None


def _plain(works: Sequence[Work]) -> bool:
    told = [work for work in works if work.amount and work.amount.kind == "reps" and len(work.amount.values) == 1]
    return len(told) == len(works) > 0 and not any(work.rest or work.most or work.who or work.versions for work in works)


def _reps(work: Work) -> int:
    assert work.amount is not None
    return int(work.amount.values[0])


def _ladder(here: Stretch) -> tuple[list[Work], list[int]] | None:
    """The things of a list that begins again and again with other numbers, and its steps: `3 a, 3 b, 6 a, 6 b`."""
    works = here.works
    if (
        here.kind not in ("", "time", "amrap")
        or len([one for one in here.groups if one.works]) != 1
        or here.group.label is not None
    ):
        return None
    group = next(one for one in here.groups if one.works)
    if group.scheme and not (group.open_end or group.rounds > 1 or group.role or any(work.amount for work in works)):
        return works, list(group.scheme)
    if group.rounds > 1 or group.scheme or group.role or not _plain(works):
        return None
    keys = [work.key or work.name for work in works]
    size = next((at for at in range(1, len(keys)) if keys[at] == keys[0]), len(keys))
    steps = [works[at : at + size] for at in range(0, len(works), size)]
    if any([work.key or work.name for work in step] != keys[:size] or len({_reps(work) for work in step}) > 1 for step in steps):
        return None
    if any(has_its_own(work, first) for step in steps[1:] for work, first in zip(step, steps[0], strict=True)):
        return None
    return steps[0], [_reps(step[0]) for step in steps]


def _even(steps: Sequence[int]) -> int:
    """How far each step is from the one before; 0 where they differ."""
    apart = {after - before for before, after in pairwise(steps)}
    return apart.pop() if len(apart) == 1 else 0


def _to(steps: list[int], last: int) -> list[int] | None:
    """The steps up to the last one, as far apart as they were."""
    by = _even(steps)
    if not by or (last - steps[-1]) % by or (last - steps[-1]) // by < 1 or (last - steps[-1]) // by > MOST_STEPS:
        return None
    return [*steps, *range(steps[-1] + by, last + (1 if by > 0 else -1), by)]


def _make(here: Stretch, things: list[Work], steps: list[int], open_end: bool, span: Span) -> None:
    for work in things:
        work.amount = None
    here.groups = [Group(scheme=tuple(steps), scheme_span=span, open_end=open_end, works=things, inline=True)]
    here.spans.append(span)


def _all_of(text: str, toks: Sequence[Tok], start: int, end: int) -> bool:
    """Whether every word between that is no number says how a ladder goes on."""
    left = list(text[start:end])
    for tok in toks:
        if tok.values and tok.kind != "EMOM" and start <= tok.start and tok.end <= end:
            left[tok.start - start : tok.end - start] = " " * (tok.end - tok.start)
    return set(words_in("".join(left))) <= OF_STEPS


def _pairs(text: str, toks: Sequence[Tok], here: Stretch) -> list[Tok] | None:
    """`Then nine and nine`, `then 3 and 3, and so on until 8 and 8`: as many of each of the two things."""
    found = _ladder(here)
    if found is None or len(found[0]) != 2:
        return None
    things, steps = found
    pairs = [
        at
        for at in range(len(toks) - 2)
        if [tok.kind for tok in toks[at : at + 3]] in PAIRS and toks[at].values == toks[at + 2].values
    ]
    if not pairs or not toks[pairs[0]].values[0].isdigit():
        return None
    begins = toks[0].start
    for at in pairs:
        number = int(toks[at].values[0])
        between = text[begins : toks[at].start]
        if not _all_of(text, toks, begins, toks[at].start) or any(
            tok.values for tok in toks if begins <= tok.start < toks[at].start
        ):
            return None
        far = bool(UP_TO & set(words_in(between)))
        told = _to(steps, number) if far else [*steps, number]
        if told is None:
            return None
        steps, begins = told, toks[at + 2].end
    left = list(toks[pairs[-1] + 3 :])
    further = here.seconds is not None and {tok.kind for tok in left} in ({"ELLIPSIS"}, {"ELLIPSIS", "COMMA"})  # `3 and 3 …`
    _make(here, things, steps, further and _even(steps) > 0, Span(toks[0].start, toks[pairs[-1] + 2].end))
    while left and left[0].kind in ("COMMA", "AND", "THEN", "ELLIPSIS"):
        left = left[1:]
    return left


def _steps(text: str, toks: Sequence[Tok], here: Stretch) -> list[Tok] | None:
    """`And so on, always 3 more, until time runs out`: without an end of its own, until the bell."""
    found = _ladder(here)
    end = next((at for at, tok in enumerate(toks) if tok.kind == "BELL"), len(toks))
    lasting = [
        tok for tok in toks[:end] if tok.kind == "DUR" and tok.values == (str(here.seconds),)
    ]  # `until the 8 minutes are over`
    numbers = [tok for tok in toks[:end] if tok.values and tok not in lasting]
    said = set(words_in(text[toks[0].start : toks[end - 1].end])) if end else set()
    if found is None or len(numbers) != 1 or not {"more", "add", "adding"} & said or not GOES_ON & said:
        return None
    things, steps = found
    if len(steps) < 2 or numbers[0].values != (str(_even(steps)),) or not _all_of(text, toks, toks[0].start, toks[end - 1].end):
        return None
    if end == len(toks) and here.seconds is None:
        return None
    _make(here, things, steps, True, Span(toks[0].start, toks[-1].end))
    return []


def _minutes(text: str, toks: Sequence[Tok], here: Stretch) -> list[Tok] | None:
    """`And so on, two more every minute, up to minute 10`, where the first minutes are told."""
    told = [group for group in here.groups if group.works]
    works = [group.works[0] for group in told]
    counted = [group.label == (number,) and len(group.works) == 1 for number, group in enumerate(told, 1)]
    if len(told) < 2 or not all(counted) or not _plain(works) or len({work.key or work.name for work in works}) > 1:
        return None
    by, first = _even([_reps(work) for work in works]), _reps(works[0])
    numbers = [tok for tok in toks if tok.values and tok.kind != "EMOM"]
    last = [tok for tok in numbers if tok.kind == "MINUTE"]
    said = set(words_in(text[toks[0].start : toks[-1].end]))
    if not by or len(last) > 1 or not GOES_ON & said or not _all_of(text, toks, toks[0].start, toks[-1].end):
        return None
    often = int(last[0].values[0]) if last else (here.total or 0) // (here.seconds or 60)
    fits = {str(abs(by)), str(first + by * (often - 1))}
    if not len(told) < often <= MOST_STEPS or any(tok.values[0] not in fits for tok in numbers if tok not in last):
        return None
    if by < 1 or {"less", "fewer"} & said or here.count is not None or any(has_its_own(work, works[0]) for work in works[1:]):
        return None
    here.groups, here.adds, here.total = [Group(works=works[:1])], by, often * (here.seconds or 60)
    here.spans.append(Span(toks[0].start, toks[-1].end))
    return []


def rungs_of(here: Stretch) -> tuple[int, ...]:
    """How many of one thing there are in each of the minutes that were told so far, of which each has another number."""
    told = [group for group in here.groups if group.works]
    works = [group.works[0] for group in told]
    if here.kind != "every" or not _plain(works) or any(has_its_own(work, works[0]) for work in works[1:]):
        return ()
    if here.adds and len(works) == 1 and told[0].label is None:
        return _reps(works[0]), _reps(works[0]) + here.adds
    counted = [group.label == (number,) and len(group.works) == 1 for number, group in enumerate(told, 1)]
    alike = all(counted) and len({work.key or work.name for work in works}) == 1
    return tuple(_reps(work) for work in works) if alike and here.count is None else ()


def has_its_own(work: Work, first: Work) -> bool:
    """Whether more, or something else, is said of a thing than of the first of its kind."""
    loads = first.load is not None and work.load is not None and _load(work.load) == _load(first.load)
    others = (work.size, work.note, work.each_side, work.sync, work.worth) != (None, "", False, False, None)
    same = (work.size, work.note, work.each_side, work.sync, work.worth) == (
        first.size,
        first.note,
        first.each_side,
        first.sync,
        first.worth,
    )
    return (work.load is not None and not loads) or (others and not same)


def _load(load: Loaded) -> tuple[str, ...]:
    return (*load.values, load.unit, *load.versions)


def begins_to_go_on(toks: Sequence[Tok]) -> int | None:
    """Where in a sentence of work it begins to say how a ladder goes on: `…, then 3 and 3`, `…, and so on, one more each
    minute`."""
    for at in range(1, len(toks) - 1):
        if toks[at].kind not in ("COMMA", "THEN", "ELLIPSIS") or toks[at - 1].kind in ("COMMA", "THEN", "ELLIPSIS", "STOP"):
            continue
        rest = [tok for tok in toks[at:] if tok.kind not in ("COMMA", "THEN")]
        pair = [tok.kind for tok in rest[:3]] in PAIRS and rest[0].values == rest[2].values
        more = rest[0].kind == "ELLIPSIS" and any(tok.values for tok in rest) if rest else False
        if pair or more:
            return at
    return None
