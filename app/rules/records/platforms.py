"""Platforms: lanes whose lifters share one bar, with one set of referees, one marshal and one team of loaders.

Nobody sets one up: where the lifts of a heat have an order (rules/count/lift_order.py), its lanes share a bar. Heats that have
lanes in common are on one platform, flight after flight; two that have none may lift at once on two platforms. What is marked at
a platform stands on the sheet of the lane whose lifter it is about, as if that lane had a tablet of its own. So nothing is kept
of a platform: who is called and who is next is folded from those sheets, by everybody who holds them.
"""

from collections.abc import Iterable
from dataclasses import replace

from app.rules.records.roster import Heat, Roster
from app.rules.records.seats import AT_PLATFORMS, JUDGES, SHEETS, SheetKind, SheetRow
from app.rules.workout.formats import Format, LiftTask


def shares_a_bar(format: Format) -> bool:
    """Whether the lanes of an event's heats share one bar in any of its lifts."""
    return any(isinstance(task, LiftTask) and task.order != "lanes" for task in format.tasks.values())


_BY_REFEREES = {
    row.sheet: replace(
        SHEETS[row.sheet],
        name=row.name,
        short=row.name.split()[0],
        who=f"the {row.title}",
        sheet=f"the {row.title}'s sheet",
    )
    for row in AT_PLATFORMS.values()
    if row.role in JUDGES
}


def sheet_row(kind: SheetKind, format: Format) -> SheetRow:
    """A kind of sheet as it is called in an event: at a shared bar by the referee who writes it."""
    return _BY_REFEREES.get(kind, SHEETS[kind]) if shares_a_bar(format) else SHEETS[kind]


def heats_at_platforms(roster: Roster) -> tuple[Heat, ...]:
    """The heats whose lanes share a bar."""
    sharing = {event.id for event in roster.events if shares_a_bar(event.format)}
    return tuple(heat for heat in roster.heats if heat.event in sharing and heat.lanes)


def platforms(roster: Roster) -> tuple[tuple[int, ...], ...]:
    """The lanes of each platform, in order."""
    return _joined({one.lane for one in heat.lanes} for heat in heats_at_platforms(roster))


def floors(roster: Roster) -> tuple[tuple[int, ...], ...]:
    """The lanes of each floor, in order: heats on two of them may be at work at once. A platform is one; the lanes of no platform
    are one as far as heats have them in common."""
    known = platforms(roster)
    shared = {lane for lanes in known for lane in lanes}
    rest = _joined({one.lane for one in heat.lanes} - shared for heat in roster.heats)
    return tuple(sorted((*known, *rest)))


def floor_at(roster: Roster, lane: int) -> tuple[int, ...]:
    """The lanes of the floor that a lane belongs to; none where no heat has it."""
    return next((lanes for lanes in floors(roster) if lane in lanes), ())


def _joined(groups: Iterable[set[int]]) -> tuple[tuple[int, ...], ...]:
    """Groups of lanes, in order, joined where they have one in common."""
    found: list[set[int]] = []
    for lanes in groups:
        for other in [one for one in found if one & lanes]:
            found.remove(other)
            lanes = lanes | other
        if lanes:
            found.append(lanes)
    return tuple(sorted(tuple(sorted(lanes)) for lanes in found))


def platform_at(roster: Roster, lane: int | None) -> tuple[int, ...]:
    """The lanes of the platform that a lane belongs to; that lane alone where no heat shares a bar there; none without one."""
    alone = () if lane is None else (lane,)
    return next((lanes for lanes in platforms(roster) if lane in lanes), alone)
