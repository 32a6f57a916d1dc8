"""What must be so before a record may follow, beyond the table of moves: a sentence for what is not, empty where all is."""

from collections.abc import Callable, Mapping
from typing import Any

from app.rules.round import records as r
from app.rules.round.films import doubts_left, drawn, is_unasked, needs_again, needs_top, opened, wanted
from app.rules.round.inviting import is_over, next_invited
from app.rules.round.moves import OPEN
from app.rules.round.scale import settle
from app.rules.round.state import LineState, RoundState
from app.rules.round.tree import root
from app.rules.values.words import say

NO_TOTAL = "Without a good lift in each part there is no score, so nothing is claimed."
LATE = "That is past the deadline."
NO_GYM = "No gym has this number."
NO_WORD = "The round's opening word is not out yet."
CLAIMED_OTHERWISE = "This line was claimed otherwise: that is replaced or withdrawn first."
ANOTHER_DIVISION = "An entry stands in one division, and in one gym."


def refused_by_guard(state: RoundState, record: r.Record) -> str:
    """Why a record that the table lets pass may not follow, as a sentence; empty where it may."""
    guard = GUARDS.get(record.kind)
    return guard(state, record) if guard else ""


def _opening(state: RoundState, record: r.OpeningWord) -> str:
    if not state.rules.film_word:
        return "This round has no words."
    if state.opening:
        return "The opening word is said once."
    return "The round opens later." if record.at < state.rules.opens_ms else ""


def _gym(state: RoundState, record: r.Gym) -> str:
    return "Another gym has this number." if record.gym in state.gyms else ""


def _bound(state: RoundState, record: r.Bound) -> str:
    if record.gym not in state.gyms:
        return NO_GYM
    return "This gym has bound a key already: its slip was used." if record.gym in state.keys else ""


def _reviewer(state: RoundState, record: r.Reviewer) -> str:
    if record.gym and record.gym not in state.gyms:
        return NO_GYM
    return "Another reviewer is known by this." if record.reviewer in state.reviewers else ""


def _extended(state: RoundState, record: r.Extended) -> str:
    return "A deadline is moved to a later time, never to an earlier one." if record.until <= state.deadline_ms else ""


def _promised(state: RoundState, record: r.Promised) -> str:
    if record.gym not in state.gyms:
        return NO_GYM
    if state.waits_for_its_word:
        return NO_WORD
    if record.at > state.deadline_ms:
        return LATE
    if record.replaces is None:
        return ""
    other = state.hand_ins.get(record.replaces)
    if other is None or other.promise.gym != record.gym:
        return "A hand-in replaces one of the same gym."
    return (
        f"What is replaced must still count: it is {other.state}." if other.state not in ("promised", "arrived", "sound") else ""
    )


def _arrived(state: RoundState, record: r.Arrived) -> str:
    late = record.at > state.hand_ins[record.hand_in].promise.at + state.rules.grace_ms
    return "The file came after the time that its promise gave it." if late else ""


def _lapsed(state: RoundState, record: r.Lapsed) -> str:
    early = record.at <= state.hand_ins[record.hand_in].promise.at + state.rules.grace_ms
    return "The file may still come." if early else ""


def _withdrawn(state: RoundState, record: r.HandInWithdrawn) -> str:
    return LATE if record.at > state.deadline_ms else ""


def _claim(state: RoundState, record: r.Claim) -> str:
    event = state.rules.event(record.event)
    if event is None or state.rules.division(record.division) is None:
        return "The round has no such event or division."
    if len(record.parts) != len(event.parts):
        return f"{event.name} has {len(event.parts)} parts, and the claim says {len(record.parts)}."
    if event.lacks(record.parts):
        return NO_TOTAL
    if record.gym not in state.gyms:
        return NO_GYM
    if state.waits_for_its_word:
        return NO_WORD
    if state.stage != OPEN and record.line in state.lines:
        return "After the roll a line is added, and none is replaced."
    if state.stage != OPEN and not record.why:
        return "A claim after the roll is admitted with a reason."
    if record.hand_in is None:
        return LATE if state.stage == OPEN and record.at > state.deadline_ms else _same_claimant(state, record)
    hand_in = state.hand_ins.get(record.hand_in)
    if hand_in is None or hand_in.state != "sound" or hand_in.promise.gym != record.gym:
        return "A claim comes with a sound hand-in of its gym."
    return _same_claimant(state, record)


def _same_claimant(state: RoundState, record: r.Claim) -> str:
    line = state.lines.get(record.line)
    if line is not None and (line.claim.gym, line.claim.hand_in) != (record.gym, record.hand_in):
        return CLAIMED_OTHERWISE
    other = state.line_of(record.entry)
    if other is not None and (other.claim.gym, other.claim.division) != (record.gym, record.division):
        return ANOTHER_DIVISION
    return ""


def _roll(state: RoundState, record: r.Roll) -> str:
    if record.at <= state.deadline_ms:
        return "The roll is closed after the deadline."
    if state.waiting:
        return f"The roll waits for what was promised: {len(state.waiting)} not in and checked yet."
    if record.lines != len(state.on_the_roll()) or record.root != roll_root(state):
        return "The root is not that of the lines that are here."
    return ""


def roll_root(state: RoundState) -> str:
    """The root of all lines, in the order of entry and event, 64 hex digits."""
    return root([line.leaf for _, line in state.on_the_roll()])


def _draw(state: RoundState, record: r.Draw) -> str:
    rule = state.rules
    if len(record.dice) != rule.dice or int(max(record.dice)) > rule.sides:
        return f"The draw takes {rule.dice} rolls of a die with {rule.sides} sides."
    return ""


def _asked(state: RoundState, record: r.Asked) -> str:
    line = state.lines[record.line]
    if len(line.asks) >= state.rules.most_looks:
        return f"Looks at one line, at most: {state.rules.most_looks}."
    if record.reason == "ruling":
        return "" if record.why and record.by != r.HEADQUARTERS else "Who picks a film says so by name, with a reason."
    return "" if _has_reason(state, record, line) else "The rule does not ask for this look."


def _has_reason(state: RoundState, record: r.Asked, line: LineState) -> bool:
    gym, unasked = line.claim.gym, is_unasked(line)
    match record.reason:
        case "again":
            return needs_again(state, record.line)
        case "top":
            return needs_top(state, record.line)
        case "late":
            return unasked and line.late
        case "draw":
            return unasked and record.line in drawn(state, gym)
        case "opened":
            return unasked and record.line in opened(state, gym)
        case _:
            return unasked and line.doubt is not None and doubts_left(state) > 0


def _doubt(state: RoundState, record: r.Doubt) -> str:
    return "It is doubted already." if state.lines[record.line].doubt is not None else ""


def _offered(state: RoundState, record: r.LookOffered) -> str:
    line, reviewer = state.lines.get(record.line), state.reviewers.get(record.reviewer)
    if line is None or reviewer is None:
        return "There is no such line, or no such reviewer."
    if line.state != "asked" or len(line.sealed) + line.open_looks >= len(line.asks):
        return "No look at this line is waiting for a reviewer."
    if reviewer.gym == line.claim.gym:
        return "Nobody looks at a film of the own gym."
    return "Nobody looks at a line twice." if record.reviewer in line.reviewers() else ""


def _sealed(state: RoundState, record: r.LookSealed) -> str:
    look = state.looks[record.look]
    event = state.rules.event(look.offer.event)
    if event is None or len(record.seen) != len(event.parts):
        return "A look says of each part of the event what was seen."
    if record.at > look.taken_at + state.rules.lease_ms:
        return "The time for this look is over, so it goes back."
    told = [("line", one) for one in record.faults]
    told += [(part.of, one) for part, seen in zip(event.parts, record.seen, strict=True) for one in seen.faults]
    wrong = [one for of, one in told if state.rules.fault_of(one) != of]
    return f"The kit knows of no such fault there: {wrong[0]}." if wrong else ""


def _decision(state: RoundState, record: r.Decision) -> str:
    line, event = state.lines[record.line], state.rules.event(record.event)
    if event is None:
        return "The round has no such event."
    if record.by in _names_of_reviewers(state, line):
        return "Nobody decides on an own look."
    if record.why == "no-film":
        return _no_film(state, record, line)
    if line.state != "looked":
        return "A line is decided when all its looks are sealed."
    given = settle(state.rules, event, line.claimed, line.sealed)
    if given.outcome == "more":
        return "The scale needs another look first."
    return "" if (given.outcome, given.value) == (record.outcome, record.value) else "That is not what the scale gives."


def _no_film(state: RoundState, record: r.Decision, line: LineState) -> str:
    if line.film or line.sealed:
        return "There is a film."
    if record.at <= line.asks[0].at + state.rules.film_ms:
        return "The film may still come."
    return "" if (record.outcome, record.value) == ("refused", None) else "A line without a film is refused."


def _names_of_reviewers(state: RoundState, line: LineState) -> set[str]:
    return {state.reviewers[one].name for one in line.reviewers()}


def _named(state: RoundState, record: r.Named) -> str:
    few = state.corrections[record.gym] < state.rules.named_after
    return f"A gym is named after {say('corrections', n=state.rules.named_after)}." if few else ""


def _published(state: RoundState, record: r.Published) -> str:
    return _unfinished(state)


def _unfinished(state: RoundState) -> str:
    """What of the looks is still to be done, as a sentence."""
    undone = sum(line.state in ("asked", "looked") for line in state.lines.values())
    if undone:
        return f"Lines that were asked for and are not decided: {undone}."
    return f"Looks that the rule asks for: {left}." if (left := len(wanted(state))) else ""


def appeal_until(state: RoundState, line: LineState) -> int:
    """Until when an entry may appeal: counted from the decision, or from the publishing, whichever is later."""
    return max(line.decision.at if line.decision else 0, state.published_at) + state.rules.appeal_ms


def _appeal(state: RoundState, record: r.Appeal) -> str:
    line = state.lines[record.line]
    if line.state not in ("adjusted", "refused"):
        return f"An appeal is against a correction: the line is {line.state}."
    return "The time for an appeal is over." if state.published_at and record.at > appeal_until(state, line) else ""


def _answer(state: RoundState, record: r.Answer) -> str:
    return _answered(state, record, {record.by})


def _panel(state: RoundState, record: r.Panel) -> str:
    judges = set(record.judges)
    if r.HEADQUARTERS in judges:
        return "Who sits on a panel is named."
    if len(judges) != state.rules.panel or len(record.judges) != state.rules.panel:
        return f"A panel is {say('judges', n=state.rules.panel)}."
    line = state.lines[record.line]
    if line.answer is not None and line.answer.by in judges:
        return "Who answered an appeal does not sit on its panel."
    return _answered(state, record, judges)


def _answered(state: RoundState, record: r.Answered, who: set[str]) -> str:
    line = state.lines[record.line]
    if line.decision is not None and line.decision.by in who:
        return "Another head judge answers than who decided."
    if who & _names_of_reviewers(state, line):
        return "Nobody answers an appeal against an own look."
    return "" if (record.outcome == "partly") == (record.value is not None) else "A score is said where an appeal is met in part."


def _signed(state: RoundState, record: r.Signed) -> str:
    appealed = sum(line.appeal == "filed" for line in state.lines.values())
    if appealed:
        return f"Appeals without an answer: {appealed}."
    waiting = [line for line in state.lines.values() if line.state in ("adjusted", "refused")]
    if any(record.at <= appeal_until(state, line) for line in waiting):
        return "Somebody may still appeal."
    return _unfinished(state)


def _invited(state: RoundState, record: r.Invited) -> str:
    own = state.line_of(record.entry)
    if own is None:
        return "There is no such entry."
    return "" if record.entry in next_invited(state, own.claim.division) else "It is not this entry's turn."


def _accepted(state: RoundState, record: r.Accepted) -> str:
    over = is_over(state, state.invitations[record.entry], record.at)
    return "The time for an answer is over." if over else ""


def _no_answer(state: RoundState, record: r.NoAnswer) -> str:
    return "" if is_over(state, state.invitations[record.entry], record.at) else "There is time for an answer yet."


GUARDS: Mapping[str, Callable[[RoundState, Any], str]] = {
    "opening": _opening,
    "gym": _gym,
    "bound": _bound,
    "reviewer": _reviewer,
    "extended": _extended,
    "promised": _promised,
    "arrived": _arrived,
    "lapsed": _lapsed,
    "withdrawn": _withdrawn,
    "claim": _claim,
    "roll": _roll,
    "draw": _draw,
    "asked": _asked,
    "doubt": _doubt,
    "look-offered": _offered,
    "look-sealed": _sealed,
    "decision": _decision,
    "named": _named,
    "published": _published,
    "appeal": _appeal,
    "answer": _answer,
    "panel": _panel,
    "signed": _signed,
    "invited": _invited,
    "accepted": _accepted,
    "no-answer": _no_answer,
}
