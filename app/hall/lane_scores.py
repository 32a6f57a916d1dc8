"""What a lane holds so far, in the short words that the desk, the review and the public board share."""

from fractions import Fraction

from app.hall.hall import Hall
from app.live.places import Place
from app.rules.count.flags import settled_marks
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.roster import Assignment
from app.rules.records.seats import SHEETS, TABLET_SHEETS
from app.rules.result.results import concerns, status_of
from app.rules.result.scoring import Score, shown_text
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say
from app.rules.workout.formats import Format

NOTHING = "–"  # where nothing was judged that may be told
STOP = "stop"  # the flag of a stop, see app/review/finding.py


def stops_made(hall: Hall, lane: Assignment, run: int) -> tuple[Mark, ...]:
    """The stops of a run that their judges have not taken back: anybody who judges at a lane may stop it, not only its judge."""
    keys = [f"{lane.id}/{run}/{kind}" for kind in TABLET_SHEETS]
    marked = [key for key in keys if hall.projection.has_marks(key)]
    stops = {stop for key in marked for stop in hall.projection.sheet_tally(key).stops}
    return tuple(mark for key in marked for mark in hall.projection.sheet_marks(key) if mark.id in stops) if stops else ()


def stops_on(hall: Hall, lane: Assignment, run: int) -> tuple[Mark, ...]:
    """Those of them that nobody has seen to: the head judge has not settled them, nor ruled the entry out of the event."""
    made = stops_made(hall, lane, run)
    rulings = hall.projection.standing_rulings
    if not made or ruled_out(hall, lane):
        return ()
    seen = {mark for mark, why in settled_marks(rulings) if why == STOP}
    return tuple(mark for mark in made if mark.id not in seen)


def ruled_out(hall: Hall, lane: Assignment) -> str:
    """What an entry was called or ruled to have become in its event, a key of STATUS; empty while it takes part."""
    place = hall.projection.place_of(lane.id)
    rulings = hall.projection.standing_rulings if place else ()
    about = [one for one in rulings if place and concerns(one, place.event.id, lane.entry, lane.id)]
    return status_of(about) or ""


def stop_text(stop: Mark) -> str:
    """A stop in words: `Stopped by the judge: Cramp`."""
    return f"Stopped by {SHEETS[sheet_key(stop.sheet).kind].who}: {stop.body.get('why') or 'no reason given'}"


def score_so_far(hall: Hall, place: Place, tally: Tally) -> Score | None:
    """The first score of a lane so far; None while the results say that it is not judged yet."""
    if not hall.projection.judged(place, tally):
        return None
    return hall.projection.score_of(place.assignment.id, place.format, place.format.scores[0], tally)


def lane_score(made: Score) -> str:
    """A running lane's total: work left reads as such before the cap, for nobody has been capped yet."""
    return say("{left} left", left=made.left) if made.left is not None else shown_text(made)


def window_text(format: Format, window: WindowTally) -> str:
    """What one window holds so far, short: a count, `13 left`, a finish, the best lift, a measure."""
    task_key = format.windows[window.index].task
    if task_key is None:
        return ""
    task = format.tasks[task_key]
    if task.kind == "lift":
        return decimal(window.best.load.text()) if window.best else say("no lift yet")
    if task.kind == "measure":
        return "" if window.measure is None else decimal(f"{decimal_text(window.measure, 3)} {task.unit}")
    if window.finish_ms is not None:
        return decimal(exact_text(Fraction(window.finish_ms, 1000)))
    if window.left is not None:
        return say("{left} left", left=window.left)
    return str(window.credited) if window.joined is None else decimal(decimal_text(window.joined, 2))


def cell_text(format: Format, window: WindowTally) -> str:
    """What one window holds so far, for a table: a dash for lifts of which none was good, for what was tried stands beside it."""
    task_key = format.windows[window.index].task
    no_lift = task_key is not None and format.tasks[task_key].kind == "lift" and window.best is None
    return NOTHING if no_lift else window_text(format, window)
