"""The fold: records to the state of a round, in the order of their numbers. What may not follow is refused and changes nothing.

A record that comes twice counts once. Of two that say different things under one number neither counts, so that no order decides.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from app.rules.round import records as r
from app.rules.round.authority import refused_by_authority
from app.rules.round.codec import leaf, lightened
from app.rules.round.guards import refused_by_guard
from app.rules.round.moves import MOVES, PUBLISHED, SIGNED, next_state, refused_by_table
from app.rules.round.scale import look_score, settle
from app.rules.round.state import HandIn, Invitation, LineState, Look, RoundState, seed_of

TWO = "Two records have this number, so neither counts."
NOT_OPEN = "The round was not opened."
NO_LINE = "There is no such line."


def fold(records: Iterable[r.Record]) -> RoundState:
    """The state of a round. What was refused is told in its `faults`."""
    state = RoundState()
    by_number: dict[int, list[r.Record]] = {}
    for record in records:
        same = by_number.setdefault(record.number, [])
        if record not in same:
            same.append(record)
    for number, given in sorted(by_number.items()):
        said = TWO if len(given) > 1 else take(state, given[0])
        if said:
            state.faults.append((number, said))
    return state


def why_not(state: RoundState, record: r.Record) -> str:
    """Why a record may not follow in this state, as a sentence; empty where it may."""
    if state.rule is None and record.kind != "opened":
        return NOT_OPEN
    move = MOVES[record.kind]
    if move.thing in ("line", "appeal") and record.kind != "claim" and _line_of(state, record) is None:
        return NO_LINE
    return (
        refused_by_table(record.kind, state.stage, state_of(state, record))
        or refused_by_authority(state, record)
        or refused_by_guard(state, record)
    )


def take(state: RoundState, record: r.Record) -> str:
    """Applies the next record to a state; the sentence if it is refused, and then the state is as it was."""
    if said := why_not(state, record):
        return said
    if MOVES[record.kind].thing == "round":
        state.stage = next_state(record.kind, state.stage)
    if effect := EFFECTS.get(record.kind):
        effect(state, record)
    return ""


def _line_of(state: RoundState, record: Any) -> LineState | None:
    return state.lines.get(record.line)


def state_of(state: RoundState, record: Any) -> str:
    """The state of the thing that a record is about; empty for one that is not there."""
    match MOVES[record.kind].thing:
        case "round":
            return state.stage
        case "hand-in":
            hand_in = state.hand_ins.get(record.hand_in)
            return hand_in.state if hand_in else ""
        case "line":
            line = _line_of(state, record)
            return line.state if line else ""
        case "appeal":
            return state.lines[record.line].appeal
        case "look":
            look = state.looks.get(record.look)
            return look.state if look else ""
        case _:
            invitation = state.invitations.get(record.entry)
            return invitation.state if invitation else ""


def _opened(state: RoundState, record: r.Opened) -> None:
    state.rule, state.deadline_ms, state.key = record.rule, record.rule.deadline_ms, record.key or ""


def _opening(state: RoundState, record: r.OpeningWord) -> None:
    state.opening = record.word


def _gym(state: RoundState, record: r.Gym) -> None:
    state.gyms[record.gym] = record


def _bound(state: RoundState, record: r.Bound) -> None:
    state.keys[record.gym] = record.key


def _reviewer(state: RoundState, record: r.Reviewer) -> None:
    state.reviewers[record.reviewer] = record


def _extended(state: RoundState, record: r.Extended) -> None:
    state.deadline_ms = record.until


def _promised(state: RoundState, record: r.Promised) -> None:
    state.hand_ins[record.hand_in] = state.waiting[record.hand_in] = HandIn(record)


def _arrived(state: RoundState, record: r.Arrived) -> None:
    state.hand_ins[record.hand_in].state = next_state(record.kind, "")


def _lapsed(state: RoundState, record: r.Lapsed) -> None:
    state.waiting.pop(record.hand_in).state = next_state(record.kind, "")


def _checked(state: RoundState, record: r.Checked) -> None:
    hand_in = state.waiting.pop(record.hand_in)
    hand_in.state, hand_in.faults = "unsound" if record.faults else "sound", record.faults
    if hand_in.state == "sound" and hand_in.promise.replaces is not None:
        state.hand_ins[hand_in.promise.replaces].state = "replaced"
        state.waiting.pop(hand_in.promise.replaces, None)  # whose file need not come any more
        _forget(state, hand_in.promise.replaces)


def _withdrawn(state: RoundState, record: r.HandInWithdrawn) -> None:
    state.hand_ins[record.hand_in].state = "withdrawn"
    _forget(state, record.hand_in)


def _forget(state: RoundState, hand_in: str) -> None:
    """The lines that came with a hand-in no longer count; what it said stays among the records."""
    for key, line in [pair for pair in state.lines.items() if pair[1].claim.hand_in == hand_in]:
        del state.lines[key]
        state.score_changed(line)


def _claim(state: RoundState, record: r.Claim) -> None:
    event = state.rules.event(record.event)
    assert event is not None, "a guard let a claim of no event pass"
    score, late = event.score(record.parts), state.roll is not None
    film = record.film or (record.line in state.lines and state.lines[record.line].film)
    line = state.lines[record.line] = LineState(lightened(record), score, score, leaf(record), late, film)
    state.score_changed(line)
    if late:
        state.worked.clear()


def _film(state: RoundState, record: r.FilmCame) -> None:
    state.lines[record.line].film = True


def _roll(state: RoundState, record: r.Roll) -> None:
    state.roll = record


def _draw(state: RoundState, record: r.Draw) -> None:
    assert state.roll is not None, "the table let a draw pass before the roll"
    state.draw = record
    state.seed = seed_of(state.roll.root, record.dice)


def _doubt(state: RoundState, record: r.Doubt) -> None:
    state.lines[record.line].doubt = record


def _asked(state: RoundState, record: r.Asked) -> None:
    line = state.lines[record.line]
    line.asks += (record,)
    line.state = "asked"
    state.asked[record.reason] += 1


def _offered(state: RoundState, record: r.LookOffered) -> None:
    look = state.looks[record.look] = Look(record)
    state.lines[record.line].looks += (look,)


def _taken(state: RoundState, record: r.LookTaken) -> None:
    look = state.looks[record.look]
    look.state, look.taken_at = "taken", record.at


def _given_back(state: RoundState, record: r.LookGivenBack) -> None:
    state.looks[record.look].state = "given back"


def _sealed(state: RoundState, record: r.LookSealed) -> None:
    """A look is sealed; once all that were asked for are, the line stands if the scale lets it, else somebody must say more."""
    look = state.looks[record.look]
    line, event = state.lines[look.offer.line], state.rules.event(look.offer.event)
    assert event is not None, "a guard let a look at no event pass"
    look.state, look.sealed, look.score = "sealed", record, look_score(event, record, state.film_word(line.claim.entry))
    if len(line.sealed) >= len(line.asks):
        given = settle(state.rules, event, line.claimed, line.sealed)
        line.state = "stands" if given.outcome == "stands" else "looked"


def _decision(state: RoundState, record: r.Decision) -> None:
    line = state.lines[record.line]
    before, line.decision, line.state = line.value, record, record.outcome
    if record.outcome != "stands":
        line.value = record.value
        _worse(state, line, before)


def _worse(state: RoundState, line: LineState, before: Any) -> None:
    """Notes a correction of a gym, where a line came out worse than it was claimed."""
    event = state.rules.event(line.claim.event)
    if event is not None and (line.value is None or event.worth(line.value) > event.worth(before)):
        state.corrections[line.claim.gym] += 1
    state.score_changed(line)


def _named(state: RoundState, record: r.Named) -> None:
    state.named.add(record.gym)


def _published(state: RoundState, record: r.Published) -> None:
    state.stage, state.published_at = PUBLISHED, record.at
    for line in state.lines.values():
        if line.state == "claimed":
            line.state = "unlooked"


def _appeal(state: RoundState, record: r.Appeal) -> None:
    line = state.lines[record.line]
    line.state, line.appeal, line.appeal_why = "appealed", "filed", record.why


def _answer(state: RoundState, record: r.Answer) -> None:
    line = state.lines[record.line]
    line.state, line.appeal, line.answer = "decided", record.outcome, record
    _answered(state, line, record)


def _panel(state: RoundState, record: r.Panel) -> None:
    line = state.lines[record.line]
    line.appeal = "closed"
    _answered(state, line, record)


def _answered(state: RoundState, line: LineState, record: r.Answered) -> None:
    if record.outcome != "refused":
        line.value = line.claimed if record.outcome == "upheld" else record.value
        state.score_changed(line)


def _signed(state: RoundState, record: r.Signed) -> None:
    state.stage = SIGNED
    for line in state.lines.values():
        line.state = "final"


def _invited(state: RoundState, record: r.Invited) -> None:
    line = state.line_of(record.entry)
    assert line is not None, "a guard let an invitation of nobody pass"
    state.invitations[record.entry] = Invitation(line.claim.division, record.at)


def _invitation(state: RoundState, record: Any) -> None:
    state.invitations[record.entry].state = next_state(record.kind, "")


EFFECTS: Mapping[str, Callable[[RoundState, Any], None]] = {
    "opened": _opened,
    "opening": _opening,
    "gym": _gym,
    "bound": _bound,
    "reviewer": _reviewer,
    "extended": _extended,
    "promised": _promised,
    "arrived": _arrived,
    "lapsed": _lapsed,
    "checked": _checked,
    "withdrawn": _withdrawn,
    "claim": _claim,
    "film": _film,
    "roll": _roll,
    "draw": _draw,
    "doubt": _doubt,
    "asked": _asked,
    "look-offered": _offered,
    "look-taken": _taken,
    "look-given-back": _given_back,
    "look-sealed": _sealed,
    "decision": _decision,
    "named": _named,
    "published": _published,
    "appeal": _appeal,
    "answer": _answer,
    "panel": _panel,
    "signed": _signed,
    "invited": _invited,
    "accepted": _invitation,
    "declined": _invitation,
    "no-answer": _invitation,
    "uninvited": _invitation,
}
