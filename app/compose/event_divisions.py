"""Which division does which variant of an event, and how the counts of several counters on a lane become one."""

from dataclasses import dataclass

from app.compose.event_fields import read_fields, texts_of_model
from app.compose.event_list import has_marks
from app.hall.changing import change_roster
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster
from app.rules.records.roster import Event
from app.rules.workout.fields import Declared
from app.rules.workout.format_fields import COUNTERS
from app.rules.workout.joining import JoinRule
from app.store.kinds import EVENTS

RANKED = {"with": "ranked with the others", "after": "ranked after all who did it as written", "apart": "ranked apart"}


@dataclass(frozen=True, slots=True)
class DivisionField:
    """A division's row: the field of its variant."""

    field: str
    name: str


@dataclass(frozen=True, slots=True)
class EventDivisions:
    """The page: the event, its variants to choose from (none: nothing to choose), the fields of how counts are joined."""

    id: str
    name: str
    divisions: tuple[DivisionField, ...]
    variants: tuple[Choice, ...]
    counters: Declared
    judged: bool


def divisions_page(hall: Hall, key: str) -> EventDivisions:
    """The page beside the form's own texts. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    variants = tuple(Choice(one.id, f"{one.name}, {RANKED[one.ranked]}") for one in event.format.variants)
    return EventDivisions(
        id=key,
        name=event.name,
        divisions=tuple(DivisionField(_field(division.id), division.name) for division in roster.divisions),
        variants=variants,
        counters=COUNTERS,
        judged=has_marks(hall, key),
    )


def divisions_typed(hall: Hall, key: str) -> Typed:
    """The form as stored. Raises NotThere."""
    event = found(needed_roster(hall).events, key, "event")
    typed = {_field(division): variant for division, variant in event.variants.items()}
    return {**typed, **texts_of_model(COUNTERS.fields, event.format.counters)}


async def save_divisions(hall: Hall, key: str, typed: Typed) -> None:
    """Stores both. Raises BadForm, NotThere."""
    event = read_divisions(hall, key, typed)
    await change_roster(hall, lambda session: EVENTS.put(session, event))


def read_divisions(hall: Hall, key: str, typed: Typed) -> Event:
    """The event as the form says it. Raises BadForm, NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    read = Reading(typed)
    counters = read_fields(read, COUNTERS.fields, "", "")
    allowed = {"": "as written", **{variant.id: variant.name for variant in event.format.variants}}
    variants = {}
    for division in roster.divisions:
        variant = read.choice(_field(division.id), f"What {division.name} does", allowed)
        if variant:
            variants[division.id] = variant
    read.done()
    joined = JoinRule.model_validate(counters)
    return event.model_copy(update={"format": event.format.model_copy(update={"counters": joined}), "variants": variants})


def _field(division: str) -> str:
    return f"division-{division}"
