"""An event to look at: how the best moved over its heats, and one heat's counts over its clock."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import heat_title
from app.hall.pictures import Picture
from app.hall.result_words import pictures_path
from app.results.best_pictures import best_picture
from app.results.counts_pictures import counts_pictures, lane_counted
from app.results.explaining import NothingHere
from app.results.results_state import event_state
from app.rules.records.document import counting_run
from app.rules.records.roster import Event, Heat, Roster
from app.rules.values.words import say


@dataclass(frozen=True, slots=True)
class HeatLink:
    """A heat that can be looked at; `here`: it is the one that is shown."""

    words: str
    link: str
    here: bool


@dataclass(frozen=True, slots=True)
class EventPictures:
    """An event's pictures: of each standing how the best moved, and the counts of one heat. `state`: how final its results are
    in words; `heats`: those that have begun."""

    competition: str
    event: str
    state: str
    best: tuple[Picture, ...]
    heats: tuple[HeatLink, ...]
    heat: str
    counts: tuple[Picture, ...]


def event_pictures(hall: Hall, event_id: str, heat_id: str = "") -> EventPictures:
    """The pictures of an event as it stands; without a heat, of the one that was run last. Raises NothingHere."""
    roster = hall.projection.roster
    event = next((one for one in roster.events if one.id == event_id), None) if roster else None
    if roster is None or event is None:
        raise NothingHere(say("There is no such event here. Start from all results."))
    heats = sorted((heat for heat in roster.heats if heat.event == event.id), key=lambda heat: heat.number)
    run = [heat for heat in heats if counting_run(hall.projection.runs, heat.id)]
    shown = next((heat for heat in heats if heat.id == heat_id), None)
    if heat_id and shown is None:
        raise NothingHere(say("{name} has no such heat. Start from all results.", name=event.name))
    shown = shown or (run[-1] if run else None)
    found = hall.projection.event_results(event.id)
    numbers = {lane.id: heat.number for heat in heats for lane in heat.lanes}
    best = (best_picture(found, table, numbers) for table in found.tables)
    return EventPictures(
        competition=roster.competition.name,
        event=event.name,
        state=event_state(hall, event),
        best=tuple(one for one in best if one is not None),
        heats=tuple(
            HeatLink(say("Heat {number}", number=heat.number), pictures_path(event.id, heat.id), heat is shown) for heat in run
        ),
        heat=heat_title(event, shown) if shown else "",
        counts=_counts(hall, roster, event, shown) if shown else (),
    )


def _counts(hall: Hall, roster: Roster, event: Event, heat: Heat) -> tuple[Picture, ...]:
    names = {entry.id: entry.name for entry in roster.entries}
    lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
    counted = [
        lane_counted(hall, lane.id, say("{entry}, lane {lane}", entry=names[lane.entry], lane=lane.lane)) for lane in lanes
    ]
    return counts_pictures(event.format, counted)
