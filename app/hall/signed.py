"""Events that are signed off: what is said where something is made on their lanes, and what was signed but can't be shown."""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.live.projection import Projection
from app.rules.records.in_force import signed_off
from app.rules.records.marks import Mark
from app.rules.records.roster import Event
from app.rules.records.rulings import Ruling
from app.rules.records.signed import Held, held_faults
from app.rules.result.results import EventResults

# By event, what was found and for which results: the projection makes them anew whenever a mark of the event or a ruling comes.
_FAULTS: WeakKeyDictionary[Projection, dict[str, tuple[EventResults, tuple[str, ...]]]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class SignedNote:
    """The sentence, and where the event is opened again."""

    words: str
    link: str


def signed_note(hall: Hall, assignment: str) -> SignedNote | None:
    """What to say on pages of a lane of a signed event; None while it is open."""
    place = hall.projection.place_of(assignment)
    signed = signed_off(hall.projection.rulings, place.event.id) if place else None
    if place is None or signed is None:
        return None
    kept = "What is made here is kept, but changes nothing unless the event is reopened."
    words = f"{place.event.name} is signed off, by {signed.by}. {kept}"
    return SignedNote(words, f"/review/results#event-{place.event.id}")


def faults_of(hall: Hall, event: Event, signed: Ruling) -> tuple[str, ...]:
    """What of the marks that an event was signed off with can't be shown here, as sentences. Boards ask it again and again, so
    the marks' digests are taken once for each state of the event."""
    now, known = hall.projection.event_results(event.id), _FAULTS.setdefault(hall.projection, {})
    results, faults = known.get(event.id, (None, ()))
    if results is not now:
        held = Held.of(signed)
        faults = tuple(held_faults(held, event_marks(hall, event))) if held else ()
        known[event.id] = (now, faults)
    return faults


def event_marks(hall: Hall, event: Event) -> list[Mark]:
    """The marks of all sheets of an event."""
    heats = hall.projection.roster.heats if hall.projection.roster else ()
    lanes = [lane.id for heat in heats if heat.event == event.id for lane in heat.lanes]
    return [mark for lane in lanes for mark in hall.projection.assignment_marks(lane)]
