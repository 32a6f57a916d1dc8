"""Legal moves. Everything that decides what may be done to a heat next must live here in this file.

A heat's state follows from its newest run and the time; the table says which moves each state allows. An illegal move raises
and nothing happens.
"""

from collections.abc import Mapping
from enum import StrEnum

from app.rules.records.document import Run
from app.rules.records.holding import heat_time


class HeatState(StrEnum):
    """Where a heat stands: planned (no GO yet), set (GO lies ahead), running, held (its clock stands), going on (its clock stands
    and counts down to going on), over (its last bell has gone), stopped (aborted)."""

    PLANNED = "planned"
    SET = "set"
    RUNNING = "running"
    HELD = "held"
    GOING_ON = "going-on"
    OVER = "over"
    STOPPED = "stopped"


class HeatMove(StrEnum):
    """What the desk may do to a heat.

    Give it a GO; hold it (its clock stands for all lanes); let it go on; abort it; restart it (a new run; the old one no longer
    counts); close it before its last bell, so that its marks stand.
    """

    GO = "go"
    HOLD = "hold"
    GO_ON = "go-on"
    ABORT = "abort"
    RESTART = "restart"
    CLOSE = "close"


MOVES: Mapping[HeatState, frozenset[HeatMove]] = {
    HeatState.PLANNED: frozenset({HeatMove.GO}),
    HeatState.SET: frozenset({HeatMove.ABORT, HeatMove.RESTART}),
    HeatState.RUNNING: frozenset({HeatMove.HOLD, HeatMove.ABORT, HeatMove.RESTART, HeatMove.CLOSE}),
    HeatState.HELD: frozenset({HeatMove.GO_ON, HeatMove.ABORT, HeatMove.RESTART, HeatMove.CLOSE}),
    HeatState.GOING_ON: frozenset({HeatMove.HOLD, HeatMove.ABORT, HeatMove.RESTART, HeatMove.CLOSE}),
    HeatState.OVER: frozenset({HeatMove.RESTART}),
    HeatState.STOPPED: frozenset({HeatMove.GO}),
}

# A heat that has its lanes to itself.
ON_THE_FLOOR = frozenset({HeatState.SET, HeatState.RUNNING, HeatState.HELD, HeatState.GOING_ON})

REFUSALS: Mapping[tuple[HeatState, HeatMove], str] = {
    (HeatState.PLANNED, HeatMove.HOLD): "This heat has not started, so there is nothing to hold.",
    (HeatState.SET, HeatMove.HOLD): "This heat has not started yet. Abort it to cancel its GO.",
    (HeatState.HELD, HeatMove.HOLD): "This heat is held already.",
    (HeatState.OVER, HeatMove.HOLD): "This heat is over, so there is nothing to hold.",
    (HeatState.STOPPED, HeatMove.HOLD): "This heat is stopped, so there is nothing to hold.",
    (HeatState.PLANNED, HeatMove.GO_ON): "This heat has not started yet. Press GO.",
    (HeatState.SET, HeatMove.GO_ON): "This heat is not held: its GO is counting down.",
    (HeatState.RUNNING, HeatMove.GO_ON): "This heat is not held: it is running.",
    (HeatState.GOING_ON, HeatMove.GO_ON): "This heat is already counting down to resume.",
    (HeatState.OVER, HeatMove.GO_ON): "This heat is over. Restart it to run it again.",
    (HeatState.STOPPED, HeatMove.GO_ON): "This heat is stopped. Press GO to run it again.",
    (HeatState.HELD, HeatMove.GO): "This heat is held. Resume, abort or restart it.",
    (HeatState.GOING_ON, HeatMove.GO): "This heat is counting down to resume.",
    (HeatState.PLANNED, HeatMove.ABORT): "This heat has not started, so there is nothing to abort.",
    (HeatState.PLANNED, HeatMove.RESTART): "This heat has not started yet. Press GO.",
    (HeatState.PLANNED, HeatMove.CLOSE): "This heat has not started, so there is nothing to close.",
    (HeatState.SET, HeatMove.CLOSE): "This heat has not started yet. Abort it to cancel its GO.",
    (HeatState.SET, HeatMove.GO): "This heat's GO is already counting down.",
    (HeatState.RUNNING, HeatMove.GO): "This heat is running. Abort or restart it first.",
    (HeatState.OVER, HeatMove.GO): "This heat is over. Restart it to run it again.",
    (HeatState.OVER, HeatMove.ABORT): "This heat is over. Restart it to run it again.",
    (HeatState.OVER, HeatMove.CLOSE): "This heat is over already.",
    (HeatState.STOPPED, HeatMove.CLOSE): "This heat is stopped. Press GO to run it again.",
    (HeatState.STOPPED, HeatMove.ABORT): "This heat is already stopped.",
    (HeatState.STOPPED, HeatMove.RESTART): "This heat is stopped. Press GO to run it again.",
}


class IllegalMove(ValueError):
    """Raised when a heat's state does not allow a move; its text is the sentence to show."""


def heat_state(run: Run | None, length_ms: int, now_ms: int, go_ms: int | None = None) -> HeatState:
    """The state of a heat whose newest run is `run`, at server time `now_ms`; `go_ms` is its GO on that same timeline."""
    if run is None:
        return HeatState.PLANNED
    if run.state == "stopped":
        return HeatState.STOPPED
    since_go = now_ms - (run.go_server_ms if go_ms is None else go_ms)
    now = heat_time(since_go, run.holds)
    if run.state == "closed" or now.ms >= length_ms:
        return HeatState.OVER
    if now.standing:
        return HeatState.HELD if now.left_ms is None else HeatState.GOING_ON
    return HeatState.SET if since_go < 0 else HeatState.RUNNING


def check_move(state: HeatState, move: HeatMove) -> None:
    """Raises IllegalMove with the sentence to show unless `state` allows `move`."""
    if move not in MOVES[state]:
        raise IllegalMove(REFUSALS[state, move])
