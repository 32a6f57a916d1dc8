"""Ladders of several things that go different ways, `5 deadlifts, 1 burpee; 4 deadlifts, 2 burpees`, begun and told to go on:
`and so on until you've done 1 deadlift and 5 burpees`, `always one deadlift less and one burpee more`, and its last set below.

How it goes on must be plain from the sets that were told: the same things again, of each as many more or fewer every time. Every
number and every thing in the sentence must fit that; else it is left to the grammar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.drafts import Amount, Draft, Stretch, Work
from app.rules.reading.scan.frames.ladders_said import MOST_STEPS, has_its_own
from app.rules.reading.scan.frames.parts import Part, parts_of
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span, Talk

TABLE: Mapping[str, str] = {
    **dict.fromkeys(("etc", "continue", "continuing", "continues", "always"), "on"),
    **dict.fromkeys(("until", "till", "to"), "to"),
    **dict.fromkeys(("more",), "more"),
    **dict.fromkeys(("less", "fewer"), "less"),
    **dict.fromkeys(
        (
            *(
                "and",
                "so",
                "on",
                "you",
                "you've",
                "have",
                "done",
                "are",
                "at",
                "reach",
                "get",
                "got",
                "the",
                "way",
                "all",
                "down",
                "up",
            ),
            *("it", "it's", "is", "we", "they", "each", "every", "time", "round", "with", "a", "an", "then", "rep", "reps"),
        ),
        "",
    ),
}
LEAST_RUNGS = 2


def goes_further(text: str, toks: Sequence[Tok], here: Stretch, numbers: Mapping[str, int]) -> bool:
    """Puts into a stretch how its crossing ladder goes on, where a sentence says that and no more."""
    group, span = here.groups[-1], Span(toks[0].start, toks[-1].end)
    rungs = _rungs(here)
    if rungs is None or group.gap:
        return False
    if {tok.kind for tok in toks} == {"ELLIPSIS"}:
        group.gap, group.gap_span = len(group.works), span
        here.spans.append(span)
        return True
    parts = parts_of(text, (toks[0].start, toks[-1].end), toks, TABLE, numbers, ("MOVE", "ELLIPSIS"))
    if parts is None:
        return False
    parts = [part for part in parts if part.kind not in ("on", "ELLIPSIS")]
    if parts[:1] and parts[0].kind == "to" and (last := _counts(parts[1:], rungs[-1])) is not None:
        made = _between(rungs, last)
        if made is None:
            return False
        group.works += [*made, *_rung(rungs[-1], last)]
    elif _steps_told(parts, rungs):
        group.gap, group.gap_span = len(group.works), span
    else:
        return False
    here.spans.append(span)
    return True


def fill_gaps(draft: Draft, talk: Talk) -> None:
    """What lies between the sets that were told and the last one, which stands below; where that is not clear, red."""
    for group in (one for stretch in draft.stretches for one in stretch.groups if one.gap and one.gap_span):
        before, behind = group.works[: group.gap], group.works[group.gap :]
        rungs = _rungs_of(before)
        last = [_reps(work) for work in behind] if rungs and _follows(behind, rungs[-1]) else None
        made = _between(rungs, last) if rungs and last else None
        if made is None:
            talk.red(group.gap_span or Span(0, 0), "How it goes on, or where it ends, is not clear.")
        else:
            group.works = [*before, *made, *behind]
        group.gap, group.gap_span = 0, None


def _rungs(here: Stretch) -> list[list[Work]] | None:
    told = [group for group in here.groups if group.works]
    plain = len(told) == 1 and told[0] is here.groups[-1] and not (told[0].scheme or told[0].role or told[0].rounds > 1)
    return _rungs_of(told[0].works) if plain and told[0].label is None and here.kind in ("", "time", "amrap") else None


def _rungs_of(works: Sequence[Work]) -> list[list[Work]] | None:
    """The sets of a list in which the same things come again, each as many more or fewer than before; None where it is none."""
    keys = [work.key or work.name for work in works]
    size = next((at for at in range(1, len(keys)) if keys[at] == keys[0]), len(keys))
    rungs = [list(works[at : at + size]) for at in range(0, len(works), size)]
    counted = all(work.amount and work.amount.kind == "reps" and len(work.amount.values) == 1 for work in works)
    if size < 2 or len(rungs) < LEAST_RUNGS or not counted or any(not _follows(one, rungs[0]) for one in rungs):
        return None
    return rungs if _steps(rungs) else None


def _follows(rung: Sequence[Work], first: Sequence[Work]) -> bool:
    """Whether a set has the things of another one, and no more is said of them."""
    alike = [work.key or work.name for work in rung] == [work.key or work.name for work in first]
    counted = all(work.amount and work.amount.kind == "reps" and len(work.amount.values) == 1 for work in rung)
    return alike and counted and not any(has_its_own(work, one) for work, one in zip(rung, first, strict=True))


def _reps(work: Work) -> int:
    assert work.amount is not None
    return int(work.amount.values[0])


def _steps(rungs: Sequence[Sequence[Work]]) -> list[int] | None:
    """How many more of each thing there are from set to set; None where that differs, or nothing changes."""
    found: list[int] = []
    for column in zip(*rungs, strict=True):
        apart = {_reps(after) - _reps(before) for before, after in pairwise(column)}
        if len(apart) != 1:
            return None
        found.append(apart.pop())
    return found if any(found) else None


def _between(rungs: Sequence[Sequence[Work]], last: Sequence[int]) -> list[Work] | None:
    """The sets between the last that was told and the one that ends it; None where it does not lead there."""
    steps, now = _steps(rungs), [_reps(work) for work in rungs[-1]]
    if steps is None:
        return None
    far = {(end - one) // step for end, one, step in zip(last, now, steps, strict=True) if step}
    often = far.pop() if len(far) == 1 else 0
    if not 0 < often <= MOST_STEPS or [one + step * often for one, step in zip(now, steps, strict=True)] != list(last):
        return None
    return [
        work
        for nth in range(1, often)
        for work in _rung(rungs[-1], [one + step * nth for one, step in zip(now, steps, strict=True)])
    ]


def _rung(like: Sequence[Work], counts: Sequence[int]) -> list[Work]:
    return [replace(work, amount=Amount("reps", (str(count),), "")) for work, count in zip(like, counts, strict=True)]


def _counts(parts: Sequence[Part], rung: Sequence[Work]) -> list[int] | None:
    """`1 deadlift and 5 burpees`: how many of each thing, in their order."""
    numbers = [part.number for part in parts[::2] if part.kind == "num"]
    things = [part.tok.key for part in parts[1::2] if part.tok is not None]
    told = len(parts) == 2 * len(rung) and len(numbers) == len(rung)
    return numbers if told and things == [work.key for work in rung] else None


def _steps_told(parts: Sequence[Part], rungs: Sequence[Sequence[Work]]) -> bool:
    """`Always one deadlift less and one burpee more`: whether so it is, of each of the things."""
    steps = _steps(rungs)
    signs = {"more": 1, "less": -1}
    if steps is None or len(parts) != 3 * len(steps):
        return False
    for at, (work, step) in enumerate(zip(rungs[-1], steps, strict=True)):
        run = parts[3 * at : 3 * at + 3]
        by = [part.number for part in run if part.kind == "num"]
        ways = [signs[part.kind] for part in run if part.kind in signs]
        named = [part.tok.key for part in run if part.tok is not None]
        if len(by) != 1 or len(ways) != 1 or named != [work.key] or by[0] * ways[0] != step:
            return False
    return True
