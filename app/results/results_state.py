"""How final results are, in words: said one way on the board, on the results pages and at the review."""

from dataclasses import replace
from datetime import UTC, datetime

from app.hall.hall import Hall
from app.hall.signed import faults_of
from app.rules.records.roster import Event
from app.rules.result.protests import Finality, finality, over_at
from app.rules.result.signed_words import Stated, stated_overall_of, stated_signed
from app.rules.values.words import say


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
        return stated_signed(found.signed, found.faults).text
    before = f"Opened again by {found.opened.by} after it was signed off: {found.opened.why}. " if found.opened else ""
    if found.state == "protested":
        return before + say("provisional.protested", n=found.open)
    if found.state == "provisional" and found.until_wall_ms is not None:
        return f"{before}Provisional: protests until {time_of_day(found.until_wall_ms)}"
    over = "Provisional: the time for protests is over, and it is not signed off yet"
    return before + (over if found.state == "unsigned" else "Provisional")


def stated(hall: Hall, event: Event) -> Stated:
    """How final an event's results are, and what was left out."""
    found = finality_of(hall, event)
    return stated_signed(found.signed, found.faults) if found.signed else Stated(finality_text(found))


def event_state(hall: Hall, event: Event) -> str:
    """How final an event's results are, in words."""
    return finality_text(finality_of(hall, event))


def stated_overall(hall: Hall) -> Stated:
    """How final the overall standing is."""
    roster = hall.projection.roster
    if roster is None:
        return Stated("Provisional")
    faulty = any(finality_of(hall, event).faults for event in roster.events)
    return stated_overall_of(roster, hall.projection.rulings, faulty)


def all_signed(hall: Hall) -> bool:
    """Whether every event's results are signed off."""
    roster = hall.projection.roster
    return (
        roster is not None and bool(roster.events) and all(finality_of(hall, event).state == "signed" for event in roster.events)
    )
