"""Who is ahead where two are level, as the text says it: the steps of a tie, and the point of the work where a time is taken."""

import re
from dataclasses import replace

from app.rules.reading.clock import Clock
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.tie_points import FIRST_ONE, THEIR_ROUND
from app.rules.reading.things import is_such
from app.rules.workout.formats import CountTask, ListTask, TieStep
from app.rules.workout.points import Point, read_point
from app.rules.workout.tasks import WorkItem
from app.rules.workout.tie_steps import TIE_STEPS

TIES = {
    "TIE_AT": ("time_at",),
    "TIE_COUNT": ("count_at",),
    "TIE_SOONER": ("time_of_count",),
    "TIE_BODY": ("bodyweight",),
    "TIE_LIFT": ("earlier_best",),
    "TIE_SHARE": (),
    "TIE_TOTAL": ("total_first",),
    "TIE_BEST": ("best_lift",),
    "TIE_FEWER": ("fewer_attempts",),
    "TIE_TRIES": ("tries_at_best",),
    "TIE_MISSES": ("fewer_misses",),
    "TIE_PART": ("part",),
    "TIE_LOWPART": ("lower_part",),
    "TIE_TRYPART": ("attempt_of_part",),
    "TIE_PREV": ("previous_attempts",),
    "TIE_PREVPART": ("previous_of_part",),
}


def ties_of(clock: Clock) -> tuple[TieStep, ...]:
    """The steps that the text tells, in its order."""
    if not clock.draft.ties:
        clock.things.talk.assume("Nothing is said about equal scores: they share the place.")
    found: list[TieStep] = []
    for tok, span in clock.draft.ties:
        said = clock.things.talk.text[span.start : span.end]
        point = _named_point(clock, tok) if tok.key else read_point(tok.text)
        lacks = tok.kind == "TIE_AT" and not _has_point(clock, point, tok.unit == THEIR_ROUND)
        if lacks or (tok.kind == "TIE_COUNT" and not _has_moment(clock, int(tok.values[0]))):
            clock.things.talk.cannot(span, f"“{said}”: such a tie can't be said yet.")
            continue
        at = int(tok.values[0]) if tok.kind == "TIE_COUNT" else None
        found += [_tie(kind, said, point, at) for kind in TIES[tok.kind]]
    return tuple(found)


def _has_moment(clock: Clock, seconds: int) -> bool:
    """Whether what is counted has that moment: in one window from GO on, for else it may be one of another window's clock."""
    worked = [window for window in clock.windows if window.task is not None]
    counted = all(isinstance(task, ListTask | CountTask) for task in clock.tasks.values())
    return len(worked) == 1 and worked[0].start == 0 and 0 < seconds < worked[0].seconds and counted


def _has_point(clock: Clock, point: Point | None, theirs: bool) -> bool:
    """Whether what is done has that point: rounds among other work are written out, and have no number; of members
    who go in turn a round of the list is one of each, and not `their first round`."""
    lists = [task for task in clock.tasks.values() if isinstance(task, ListTask)]
    if point is None or point.round is None:
        return point is not None
    turns = theirs and any(len({item.who for item in task.items}) > 1 for task in lists)
    return not turns and (not lists or any(task.rounds != 1 for task in lists))


def _named_point(clock: Clock, tok: Tok) -> Point | None:
    """The end of the one line of the one list in which that is done, so many times where a number is told, in the round that is
    told; None where there are several such lines, or rounds of it and none is told, and where so many, or one, are but the first
    of a line."""
    lists = [task for task in clock.tasks.values() if isinstance(task, ListTask)]
    once = lists[:1] and lists[0].rounds == 1
    first = tok.unit if tok.unit != FIRST_ONE else "1"
    if len(lists) != 1 or (once and first not in ("", "1")) or not (once or first):
        return None
    lines = [number for number, item in enumerate(lists[0].items, 1) if _is_that(clock, item, tok)]
    if not lines or (tok.unit == FIRST_ONE and lists[0].items[lines[0] - 1].reps > 1):
        return None
    if once and first:  # `after the first 40 sit-ups`
        before = lists[0].items[: lines[0] - 1]
        return None if any(_is_that(clock, item, replace(tok, values=())) for item in before) else Point(line=lines[0])
    return Point(line=lines[0], round=None if once else int(first)) if len(lines) == 1 else None


def _is_that(clock: Clock, item: WorkItem, tok: Tok) -> bool:
    named = is_such(clock.things.movements[item.movement].library or item.movement, tok.key)
    counted = not tok.values or str(item.reps) == tok.values[0] or (item.note or "").startswith(f"{tok.values[0]} ")
    return named and counted


def _tie(kind: str, said: str, point: Point | None, at: int | None) -> TieStep:
    asked = TIE_STEPS[kind].asks
    part = re.search(r"\d+$", said) if asked == "part" else None
    told = {"point": point if asked == "point" else None, "part": int(part[0]) - 1 if part else None, "at": at}
    return TieStep.model_validate({"kind": kind, **told})
