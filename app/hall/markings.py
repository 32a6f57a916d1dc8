"""What is marked on wall and floor for an event."""

from app.rules.records.markings import Markings, usual_markings
from app.rules.records.roster import Event, Roster


def markings_of(roster: Roster, event: Event) -> Markings | None:
    """What is marked for an event: as stored, else what its movements ask for."""
    return roster.markings.get(event.id) or usual_markings(event.format)
