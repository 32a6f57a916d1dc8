"""How final results are, in words: said one way on the board, on the results pages and at the review."""

from datetime import UTC, datetime

from app.hall.hall import Hall
from app.rules.records.roster import Event
from app.rules.result.protests import Finality, finality, over_at
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
    return finality(event.id, bell, minutes, hall.projection.rulings, roster.protests, now)


def finality_text(found: Finality) -> str:
    """The same in words: `Provisional: protests until 14:32`, `Final: signed off by Ruth Abel`."""
    if found.state == "signed" and found.signed is not None:
        return f"Final: signed off by {found.signed.by}"
    if found.state == "protested":
        return say("provisional.protested", n=found.open)
    if found.state == "provisional" and found.until_wall_ms is not None:
        return f"Provisional: protests until {time_of_day(found.until_wall_ms)}"
    return "Final: the time for protests is over" if found.state == "final" else "Provisional"


def event_state(hall: Hall, event: Event) -> str:
    """How final an event's results are, in words."""
    return finality_text(finality_of(hall, event))


def all_final(hall: Hall) -> bool:
    """Whether every event's results are final, so that the overall standing is."""
    roster = hall.projection.roster
    return roster is not None and all(finality_of(hall, event).state in ("final", "signed") for event in roster.events)
