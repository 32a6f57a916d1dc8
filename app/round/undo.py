"""A record that was taken and then is not to be: the state becomes as it was, without folding everything again.

For what comes in while a round is open, thousands of times and several records at once. A gym whose one line contradicts what
somebody else claimed would else cost the fold of all gyms.
"""

from collections.abc import Callable
from typing import Any

from app.rules.round import records as r
from app.rules.round.state import LineState, RoundState

Undo = Callable[[], None]


def undo_of(state: RoundState, record: r.Record) -> Undo | None:
    """What undoes a record, which is taken after this is asked; only as the last that was taken, and only if it was not refused.
    None for a kind that is not undone."""
    match record:
        case r.Promised():
            return lambda: _unpromised(state, record.hand_in)
        case r.Arrived() | r.Checked():
            return _undo_move(state, record)
        case r.Claim():
            before = state.lines.get(record.line)
            return lambda: _unclaimed(state, record, before)
        case r.Doubt():
            return lambda: setattr(state.lines[record.line], "doubt", None)
        case _:
            return None


def _unpromised(state: RoundState, hand_in: str) -> None:
    del state.hand_ins[hand_in], state.waiting[hand_in]


def _undo_move(state: RoundState, record: r.Arrived | r.Checked) -> Undo:
    """Of an arrival or a check: the hand-in, and of one that replaced another also that and its lines."""
    hand_in = state.hand_ins.get(record.hand_in)
    replaces = hand_in.promise.replaces if hand_in is not None and isinstance(record, r.Checked) and not record.faults else None
    moved = [(one, one.state, one.faults) for one in (hand_in, state.hand_ins.get(replaces or "")) if one is not None]
    lines = [pair for pair in state.lines.items() if pair[1].claim.hand_in == replaces] if replaces else []

    def undo() -> None:
        for one, before, faults in moved:
            one.state, one.faults = before, faults
        for one, _, _ in moved:
            if one.state in ("promised", "arrived"):
                state.waiting[one.promise.hand_in] = one
        for key, line in lines:
            state.lines[key] = line
            state.score_changed(line)

    return undo


def _unclaimed(state: RoundState, record: r.Claim, before: LineState | None) -> None:
    line: Any = state.lines.pop(record.line)
    if before is not None:
        state.lines[record.line] = before
        state.score_changed(before)
    state.score_changed(line)
    if line.late:
        state.worked.clear()
