"""What is said wherever something is made on a lane whose event is signed off: that it is kept, and changes nothing."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.rules.records.in_force import signed_off


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
    kept = "What is made here is kept, but changes nothing unless the event is opened again."
    words = f"{place.event.name} is signed off, by {signed.by}. {kept}"
    return SignedNote(words, f"/review/results#event-{place.event.id}")
