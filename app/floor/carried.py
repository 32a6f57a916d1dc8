"""What the desk says of a heat whose GO was given before this computer was started anew, or by another."""

from app.hall.hall import Hall
from app.hall.hand_clock import seconds_text
from app.hall.views import Carried as View
from app.live.servertime import Carried
from app.rules.records.document import Run

SINCE = "This computer was restarted, or replaced another, after this heat's GO."
BY_WALL = "It worked GO out from its time of day, which may have been changed, so the heat clock here may be off by any amount."
NO_TABLET = "No tablet that kept the time has connected. Compare with one that was in the heat, or with a stopwatch."
SHORT = {
    "wall": "Its clock may be wrong: GO was given before this computer started.",
    "tablets": "Its clock follows the tablets.",
}
BY_TABLETS = "GO is set to what the tablets that kept its time say"
NEWS_MS = 1_000  # a time of day that was off by less is no news


def carried_view(hall: Hall, run: Run | None) -> View | None:
    """What the desk is told of a run; None where there is nothing to decide."""
    strange = run is not None and run.boot != hall.time.boot
    carried = hall.time.carried.get((run.heat, run.number)) if run and strange else None
    if carried is None or carried.by == "desk":
        return None
    if carried.by == "wall":
        return View(True, SHORT["wall"], f"{SINCE} {BY_WALL} {NO_TABLET}")
    return View(False, SHORT["tablets"], f"{SINCE} {_by_tablets(carried)}") if abs(carried.apart_ms) >= NEWS_MS else None


def _by_tablets(carried: Carried) -> str:
    apart = seconds_text(round(abs(carried.apart_ms), -2))
    which = "later" if carried.apart_ms > 0 else "earlier"
    return f"{BY_TABLETS}, to within {carried.bound_ms} ms. By this computer's time of day it would be {apart} s {which}."
