"""How far setting up is: each step, where it is done, what is missing."""

from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import unplaced
from app.hall.organising import needed_roster
from app.hall.views import State
from app.rules.values.words import say
from app.rules.workout.tasks import LiftTask


@dataclass(frozen=True, slots=True)
class Step:
    """One step of setting up: where it is done and how far it is."""

    name: str
    link: str
    state: State
    words: str


def steps(hall: Hall) -> tuple[Step, ...]:
    """The steps of setting up, each with how far it is."""
    roster = hall.projection.roster
    if roster is None:
        return (Step("Competition", "/desk/competition", State("look", "To do"), "Name it first."),)
    waiting = sum(len(unplaced(roster, event.id)) for event in roster.events)
    heats = say("list.heats", n=len(roster.heats))
    plates_done, plates_said = plates_step(hall)
    return (
        Step("Competition", "/desk/competition", State("safe", "Done"), roster.competition.name),
        _step("Divisions", "/desk/divisions", len(roster.divisions), say("list.divisions", n=len(roster.divisions))),
        _step("Entries", "/desk/entries", len(roster.entries), say("list.entries", n=len(roster.entries))),
        _step("Events", "/desk/events", len(roster.events), say("list.events", n=len(roster.events))),
        Step("Judges", "/desk/judges", State("none", ""), say("list.judges", n=len(roster.judges))),
        _step("Heats", "/desk/heats", len(roster.heats), f"{heats}, {waiting} still to place" if waiting else heats),
        Step("Plates", "/desk/plates", State("safe", "Done") if plates_done else State("none", ""), plates_said),
        Step("Tablets", "/desk/tablets", State("none", ""), "Pair one with each lane."),
    )


def _step(name: str, link: str, count: int, words: str) -> Step:
    return Step(name, link, State("safe", "Done") if count else State("look", "To do"), words)


def plates_step(hall: Hall) -> tuple[bool, str]:
    """How far the plates are in setting up: whether every lane that lifts has some, and in words. Lifts go on without them."""
    roster = needed_roster(hall)
    lifts = {event.id for event in roster.events if any(isinstance(task, LiftTask) for task in event.format.tasks.values())}
    lanes = {lane.lane for heat in roster.heats if heat.event in lifts for lane in heat.lanes}
    bare = sorted(lanes - {one.lane for one in roster.lane_plates})
    if not lanes:
        return False, "for lanes that lift a bar"
    if bare:
        return False, say("plates.without", n=len(bare), named=", ".join(map(str, bare)))
    return True, "every lane that lifts has some"
