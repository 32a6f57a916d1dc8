"""What is due by itself at a time: promises that lapse, looks that are asked for or go back, invitations that move on."""

from typing import Any

from app.rules.round import records as r
from app.rules.round.doubting import far_doubts
from app.rules.round.films import is_doubtable, wanted
from app.rules.round.inviting import due
from app.rules.round.moves import AFTER_DRAW, OPEN
from app.rules.round.state import RoundState

Said = tuple[type[r.Kept], dict[str, Any]]
OF_INVITATIONS: dict[str, type[r.Kept]] = {"invited": r.Invited, "no-answer": r.NoAnswer}


def due_now(state: RoundState, now_ms: int) -> list[Said]:
    """The records that nobody need decide on, each as its class and what it says; more may be due once these are written."""
    if state.stage == OPEN:
        over = [key for key, one in state.waiting.items() if one.state == "promised" and _is_over(state, one.promise.at, now_ms)]
        return [(r.Lapsed, {"hand_in": key}) for key in over]
    if state.stage in AFTER_DRAW:
        lease = state.rules.lease_ms
        back = [key for key, look in state.looks.items() if look.state == "taken" and now_ms > look.taken_at + lease]
        if doubts := [(key, why) for key, why in far_doubts(state).items() if is_doubtable(state.lines[key])]:
            return [(r.Doubt, {"entry": key[0], "event": key[1], "why": why}) for key, why in doubts]
        asks = [{"entry": one.entry, "event": one.event, "reason": one.reason} for one in wanted(state)]
        return [*((r.LookGivenBack, {"look": key}) for key in back), *((r.Asked, one) for one in asks)]
    return [(OF_INVITATIONS[one.kind], {"entry": one.entry}) for one in due(state, now_ms)]


def _is_over(state: RoundState, promised_at: int, now_ms: int) -> bool:
    return now_ms > promised_at + state.rules.grace_ms
