"""How final results are, in words: said one way on the board, on the results pages and at the review."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

from app.hall.hall import Hall
from app.hall.signed import faults_of
from app.rules.records.roster import Event
from app.rules.result.in_the_way import left_out_of
from app.rules.result.protests import Finality, finality, over_at
from app.rules.values.words import say

NOT_SHOWN = "marks that were signed are missing or changed"


def time_of_day(wall_ms: int) -> str:
    """A moment in this computer's own time of day: `14:32`."""
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone().strftime("%H:%M")


def finality_of(hall: Hall, event: Event) -> Finality:
    """How final an event's results are now."""
    roster = hall.projection.roster
    assert roster is not None  # an event was found in it
    heats = [heat for heat in roster.heats if heat.event == event.id]
    bell = over_at(heats, hall.projection.runs, event.format.length_ms)
    minutes, now = roster.competition.protest_minutes, hall.time.wall_ms()
    found = finality(event.id, bell, minutes, hall.projection.rulings, roster.protests, now)
    return replace(found, faults=faults_of(hall, event, found.signed)) if found.signed else found


def finality_text(found: Finality) -> str:
    """The same in words: `Provisional: protests until 14:32`, `Final: signed off by Ruth Abel`."""
    if found.signed is not None:
        return _signed_text(found)
    before = f"Opened again by {found.opened.by} after it was signed off: {found.opened.why}. " if found.opened else ""
    if found.state == "protested":
        return before + say("provisional.protested", n=found.open)
    if found.state == "provisional" and found.until_wall_ms is not None:
        return f"{before}Provisional: protests until {time_of_day(found.until_wall_ms)}"
    over = "Provisional: the time for protests is over, and it is not signed off yet"
    return before + (over if found.state == "unsigned" else "Provisional")


def _signed_text(found: Finality) -> str:
    """Who signed. It is the desk where it was signed by the desk's password; final only where nothing was left out, and what was
    signed is here."""
    signed = found.signed
    if signed is None:
        return ""
    by = f"{signed.by}, for the desk" if signed.body.get("signer") == "desk" else signed.by
    but = _but(len(left_out_of(signed)), bool(found.faults))
    return f"Signed off by {by}{but}" if but else f"Final: signed off by {by}"


def _but(left_out: int, faults: bool) -> str:
    """Why what was signed is not final: `, but for 2 things left out`; empty where it is."""
    told = [f"for {say('left_out', n=left_out)}"] if left_out else []
    told += [NOT_SHOWN] if faults else []
    return f", but {', and '.join(told)}" if told else ""


@dataclass(frozen=True, slots=True)
class Stated:
    """How final results are, in words; and what was left out of their sign-off, each with the reason."""

    text: str
    left_out: tuple[str, ...] = ()


def stated(hall: Hall, event: Event) -> Stated:
    """How final an event's results are, and what was left out."""
    found = finality_of(hall, event)
    return Stated(finality_text(found), tuple(f"Left out: {what}. {why}" for what, why in left_out_of(found.signed)))


def event_state(hall: Hall, event: Event) -> str:
    """How final an event's results are, in words."""
    return finality_text(finality_of(hall, event))


def stated_overall(hall: Hall) -> Stated:
    """How final the overall standing is: final where every event is, with nothing left out or missing."""
    events = hall.projection.roster.events if hall.projection.roster else ()
    if not all_signed(hall):
        return Stated("Provisional")
    left_out = tuple(f"{event.name}. {line}" for event in events for line in stated(hall, event).left_out)
    but = _but(len(left_out), any(finality_of(hall, event).faults for event in events))
    return Stated(f"Signed off{but}" if but else "Final", left_out)


def all_signed(hall: Hall) -> bool:
    """Whether every event's results are signed off."""
    roster = hall.projection.roster
    return (
        roster is not None and bool(roster.events) and all(finality_of(hall, event).state == "signed" for event in roster.events)
    )
