"""What a lane holds so far, in the short words that the desk, the review and the public board share."""

from fractions import Fraction

from app.hall.hall import Hall
from app.rules.count.tally import WindowTally
from app.rules.records.roster import Assignment
from app.rules.records.seats import TABLET_SHEETS
from app.rules.result.scoring import Score
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.workout.formats import Format


def stops_on(hall: Hall, lane: Assignment, run: int) -> tuple[tuple[str, str], ...]:
    """The stops that stand in a run as (sheet, mark): anybody who judges at a lane may stop it, not only its judge."""
    keys = [f"{lane.id}/{run}/{kind}" for kind in TABLET_SHEETS]
    marked = [key for key in keys if hall.projection.has_marks(key)]
    return tuple((key, mark) for key in marked for mark in hall.projection.sheet_tally(key).stops)


def lane_score(made: Score) -> str:
    """A running lane's total: work left reads as such before the cap, for nobody has been capped yet."""
    return f"{made.left} left" if made.left is not None else made.text


def window_text(format: Format, window: WindowTally) -> str:
    """What one window holds so far, short: a count, `13 left`, a finish, the best lift, a measure."""
    task_key = format.windows[window.index].task
    if task_key is None:
        return ""
    task = format.tasks[task_key]
    if task.kind == "lift":
        return window.best.load.text() if window.best else "no lift yet"
    if task.kind == "measure":
        return "" if window.measure is None else f"{decimal_text(window.measure, 3)} {task.unit}"
    if window.finish_ms is not None:
        return exact_text(Fraction(window.finish_ms, 1000))
    if window.left is not None:
        return f"{window.left} left"
    return str(window.credited) if window.joined is None else decimal_text(window.joined, 2)
