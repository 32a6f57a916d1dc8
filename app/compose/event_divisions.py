"""Which divisions do an event, and which variant of it; and how the counts of several counters on a lane become one."""

from dataclasses import dataclass

from app.compose.event_fields import read_fields, texts_of_model
from app.hall.changing import change_roster
from app.hall.entered_words import asked_of, unnamed_words
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.heats import has_marks
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster
from app.rules.records.roster import Event
from app.rules.workout.fields import Declared
from app.rules.workout.format_fields import COUNTERS
from app.rules.workout.joining import JoinRule
from app.store.kinds import EVENTS

RANKED = {"with": "ranked with the others", "after": "ranked after everybody who did it as written", "apart": "ranked apart"}


@dataclass(frozen=True, slots=True)
class DivisionField:
    """A division's row: the field that says whether the event is for it, the field of its variant."""

    does: str
    field: str
    name: str


@dataclass(frozen=True, slots=True)
class EventDivisions:
    """The page: the event, its variants to choose from (none: nothing to choose), the fields of how counts are joined. `unnamed`:
    whom it is for where nobody says; `asked`: whoever does not fit it, in sentences."""

    id: str
    name: str
    divisions: tuple[DivisionField, ...]
    unnamed: str
    asked: tuple[str, ...]
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
        divisions=tuple(DivisionField(_does(one.id), _field(one.id), one.name) for one in roster.divisions),
        unnamed=unnamed_words(roster, event),
        asked=tuple(one.sentence for one in asked_of(roster, event)),
        variants=variants,
        counters=COUNTERS,
        judged=has_marks(hall, key),
    )


def divisions_typed(hall: Hall, key: str) -> Typed:
    """The form as stored. Raises NotThere."""
    event = found(needed_roster(hall).events, key, "event")
    typed = {_field(division): variant for division, variant in event.variants.items()}
    typed |= {_does(division): "on" for division in event.divisions}
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
    named = tuple(division.id for division in roster.divisions if read.ticked(_does(division.id)))
    read.done()
    joined = JoinRule.model_validate(counters)
    format = event.format.model_copy(update={"counters": joined})
    return event.model_copy(update={"format": format, "variants": variants, "divisions": named})


def _does(division: str) -> str:
    return f"does-{division}"


def _field(division: str) -> str:
    return f"division-{division}"
