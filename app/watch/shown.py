"""Which heat a screen of the hall shows: the one at work that was last given a GO, in the whole hall or on the one floor that its
address names; what is at work beside it; and what comes next there."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import event_of, heat_title, in_day_order, planned_words, state_of
from app.rules.records.document import Run
from app.rules.records.moves import ON_THE_FLOOR
from app.rules.records.platforms import floor_at, floors
from app.rules.records.roster import Heat, Roster
from app.rules.values.words import ranges, say

NOWHERE = 0  # the floor of a lane that no heat has: nothing is on it


@dataclass(frozen=True, slots=True)
class FloorLink:
    """A floor by its lanes, in words, and what names it in an address: `?lane=7`."""

    words: str
    query: str


@dataclass(frozen=True, slots=True)
class Beside:
    """What a screen does not show. `only`: the floor that it keeps to; None for the whole hall. `working`: the other floors
    with a heat at work."""

    only: FloorLink | None = None
    working: tuple[FloorLink, ...] = ()

    @property
    def words(self) -> str:
        """What else is at work, in a sentence for a screen that nobody presses; empty where nothing is."""
        named = ", ".join(one.words for one in self.working)
        return say("Also on the floor: {lanes}", lanes=named) if named else ""


def floor_of(roster: Roster | None, lane: int | None) -> int | None:
    """The first lane of the floor that a lane belongs to, by which the floor is named: NOWHERE for a lane that no heat has; None
    for the whole hall."""
    if lane is None:
        return None
    lanes = floor_at(roster, lane) if roster is not None else ()
    return lanes[0] if lanes else NOWHERE


def heats_there(roster: Roster, lane: int | None) -> tuple[Heat, ...]:
    """The heats on a lane's floor; all without one."""
    if lane is None:
        return roster.heats
    lanes = floor_at(roster, lane)
    return tuple(heat for heat in roster.heats if any(one.lane in lanes for one in heat.lanes))


def shown_heat(hall: Hall, roster: Roster, runs: Mapping[str, Run], lane: int | None) -> Heat | None:
    """The heat that a screen shows, of the whole hall or of a lane's floor: of those at work the one last given a GO; where none
    is, the last that had one. `runs`: the newest of each heat."""
    gone = [heat for heat in heats_there(roster, lane) if heat.id in runs]
    working = [heat for heat in gone if at_work(hall, roster, heat, runs)]
    return max(working or gone, key=lambda heat: (runs[heat.id].go_wall_ms, runs[heat.id].number), default=None)


def beside(hall: Hall, roster: Roster, runs: Mapping[str, Run], shown: Heat | None, lane: int | None) -> Beside:
    """What is at work besides the heat that a screen shows, which keeps to a lane's floor or shows the whole hall."""
    known = floors(roster)
    only = floor_at(roster, lane) if lane is not None and len(known) > 1 else ()
    here = {one.lane for one in shown.lanes} if shown and at_work(hall, roster, shown, runs) else set(only)
    busy = {one.lane for heat in roster.heats if at_work(hall, roster, heat, runs) for one in heat.lanes}
    working = tuple(_link(lanes) for lanes in known if busy & set(lanes) and not here & set(lanes))
    return Beside(_link(only) if only else None, working)


def at_work(hall: Hall, roster: Roster, heat: Heat, runs: Mapping[str, Run]) -> bool:
    """Whether a heat is on the floor now."""
    return heat.id in runs and state_of(hall, roster, heat, runs[heat.id]) in ON_THE_FLOOR


def floor_links(roster: Roster) -> tuple[FloorLink, ...]:
    """The floors that a screen can keep to."""
    return tuple(_link(lanes) for lanes in floors(roster))


def _link(lanes: tuple[int, ...]) -> FloorLink:
    return FloorLink(say("lanes_named", n=len(lanes), named=ranges(lanes)), f"?lane={lanes[0]}")


def next_heat(roster: Roster, runs: Mapping[str, Run], lane: int | None) -> str:
    """The first heat of the day, on a lane's floor or in the whole hall, that has had no GO: `Mirror, heat 3, planned 10:30`.
    Empty where none waits."""
    there = {heat.id for heat in heats_there(roster, lane)}
    waiting = next((heat for heat in in_day_order(roster) if heat.id in there and heat.id not in runs), None)
    if waiting is None:
        return ""
    several = len(roster.events) > 1
    named = heat_title(event_of(roster, waiting), waiting) if several else say("Heat {number}", number=waiting.number)
    return planned_words(named, waiting)
