"""Which division does which variant of an event, and how the counts of several counters on a lane become one."""

from dataclasses import dataclass

from app.compose.event_list import has_marks
from app.hall.changing import change_roster
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster
from app.rules.records.roster import Event
from app.rules.workout.joining import How, JoinRule
from app.store import records

HOW: dict[How, str] = {
    "lane": "the lane judge's count alone",
    "closest_two": "the mean of the two closest counts",
    "drop_high_low": "without the highest and the lowest, the mean of the rest",
    "mean": "the mean of all counts",
    "median": "the middle count",
}
RANKED = {"with": "ranked with the others", "after": "ranked after all who did it as written", "apart": "ranked apart"}
MOST_APART = 10_000


@dataclass(frozen=True, slots=True)
class DivisionField:
    """A division's row: the field of its variant."""

    field: str
    name: str


@dataclass(frozen=True, slots=True)
class EventDivisions:
    """The page: the event, its variants to choose from (none: nothing to choose), the ways to join counts."""

    id: str
    name: str
    divisions: tuple[DivisionField, ...]
    variants: tuple[Choice, ...]
    ways: tuple[Choice, ...]
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
        ways=tuple(Choice(how, words) for how, words in HOW.items()),
        judged=has_marks(hall, key),
    )


def divisions_typed(hall: Hall, key: str) -> Typed:
    """The form as stored. Raises NotThere."""
    event = found(needed_roster(hall).events, key, "event")
    beyond = event.format.counters.recount_beyond
    typed = {_field(division): variant for division, variant in event.variants.items()}
    return {**typed, "how": event.format.counters.how, "beyond": "" if beyond is None else str(beyond)}


async def save_divisions(hall: Hall, key: str, typed: Typed) -> None:
    """Stores both. Raises BadForm, NotThere."""
    event = read_divisions(hall, key, typed)
    await change_roster(hall, lambda session: records.put_event(session, event))


def read_divisions(hall: Hall, key: str, typed: Typed) -> Event:
    """The event as the form says it. Raises BadForm, NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    read = Reading(typed)
    how = read.choice("how", "How several counts become one", {str(way): words for way, words in HOW.items()})
    beyond = read.whole("beyond", "How far apart counts may lie", 0, MOST_APART)
    allowed = {"": "as written", **{variant.id: variant.name for variant in event.format.variants}}
    variants = {}
    for division in roster.divisions:
        variant = read.choice(_field(division.id), f"What {division.name} does", allowed)
        if variant:
            variants[division.id] = variant
    read.done()
    joined = JoinRule.model_validate({"how": how, "recount_beyond": beyond})
    return event.model_copy(update={"format": event.format.model_copy(update={"counters": joined}), "variants": variants})


def _field(division: str) -> str:
    return f"division-{division}"
