"""A total that asks for a good lift in each part: whether there is one, may still be one, or is none any more.

A lifter who makes no good lift in one of them is out, with every lift shown ("lifters failing to achieve a total are eliminated":
guide of a powerlifting federation's state body). Until the attempts are used up, a later lift was judged or the judge has signed,
one may still follow: such an entry stands behind all who lack fewer. Beyond the sheet, none follows once the desk has closed the
heat or the event is signed off (results.py). static/js/rules/result/scoring.js is its twin.
"""

from enum import Enum

from app.rules.count.lifting.judged import attempts_used
from app.rules.count.tally import Tally, WindowTally
from app.rules.workout.formats import Format, LiftTask, Part, ScoreRule
from app.rules.workout.turns import members_in


class Total(Enum):
    """WHOLE: a good lift in each part. OPEN: one is missing, and may follow. NONE: one is missing for good."""

    WHOLE = "whole"
    OPEN = "open"
    NONE = "none"


def total_of(format: Format, rule: ScoreRule, tally: Tally) -> tuple[Total, int]:
    """Whether there is a total, and how many parts lack a good lift."""
    missing = [lifts for part in rule.parts if (lifts := _lifts(format, part, tally)) and all(one.best is None for one in lifts)]
    if not missing:
        return Total.WHOLE, 0
    signed = any(who == "judge" for who, _ in tally.signed)
    gone = signed or any(_is_over(format, lifts, tally) for lifts in missing)
    return Total.NONE if gone else Total.OPEN, len(missing)


def is_settled(format: Format, rule: ScoreRule, tally: Tally) -> bool:
    """Whether no attempt can change a score any more: all its parts are lifts, and none can follow in them."""
    if any(len(_lifts(format, part, tally)) < len(format.window_indexes(part)) for part in rule.parts):
        return False
    return all(_is_over(format, _lifts(format, part, tally), tally) for part in rule.parts)


def _lifts(format: Format, part: Part, tally: Tally) -> list[WindowTally]:
    """The lift windows that a part takes from."""
    indexes = format.window_indexes(part)
    return [tally.windows[i] for i in indexes if isinstance(format.tasks[format.windows[i].task or ""], LiftTask)]


def _is_over(format: Format, lifts: list[WindowTally], tally: Tally) -> bool:
    """Whether no attempt can follow in some windows: a later window was judged, or all attempts are used up."""
    end = max(format.windows[one.index].end_ms for one in lifts)
    later = any(one.holds and format.windows[one.index].start_ms >= end for one in tally.windows)
    return later or all(used_up(format, one) for one in lifts)


def used_up(format: Format, found: WindowTally) -> bool:
    """Whether everybody who may lift in a window has made all attempts, and may not try again under the last one."""
    window = format.windows[found.index]
    task = format.tasks[window.task or ""]
    if not isinstance(task, LiftTask):
        return False
    for member in members_in(format, window):
        mine = [lift for lift in found.lifts if lift.member in (member, None) and not lift.again]
        waits = any(lift.doubt == "waiting" for lift in mine) or (task.tries_until_racked and mine and not mine[-1].racked)
        last = mine[-task.misses_out :] if task.misses_out else []
        out = len(last) == task.misses_out and not any(lift.good for lift in last)
        over = task.attempts is not None and attempts_used(mine) >= task.attempts and not waits
        if not (out or over):
            return False
    return True
