"""What is marked on wall and floor for an event."""

from app.rules.records.markings import Markings, asked_markings, unsaid, unsaid_words
from app.rules.records.roster import Event, Roster


def markings_of(roster: Roster, event: Event) -> Markings | None:
    """What is marked for an event: as stored, else what its movements ask for, no size of it said."""
    return roster.markings.get(event.id) or asked_markings(event.format)


def unsaid_wall(roster: Roster, event: Event) -> str:
    """What an event lacks before it can be run, and where to say it; nothing when it lacks nothing."""
    markings = markings_of(roster, event)
    missing = unsaid(markings, only_needed=True) if markings else ()
    if not missing:
        return ""
    lacks = f"{event.name} has a wall line, but these are missing: {unsaid_words(missing)}."
    return f"{lacks} Fill them in on its markings page, or untick the line there if it has none."
