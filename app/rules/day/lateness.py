"""How a day runs against its plan: when each heat that is still to come will probably start, and how late that is.

A heat starts when it is planned, or as soon after as its lanes, its athletes and the break before it let it. Slack and breaks
that may become shorter take lateness up. Common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.rules.records.day import DayRules
from app.rules.records.judges import MINUTES_IN_DAY, minutes_of
from app.rules.records.roster import Heat

EVENING, MORNING = 18 * 60, 6 * 60


def planned_minutes(heats: Sequence[Heat]) -> dict[str, int]:
    """The planned times of heats in minutes after the midnight on which the day began, by id; heats without one are left out.

    `heats` come by event and number. A time in the small hours that follows an evening is of the next day.
    """
    found: dict[str, int] = {}
    latest = 0
    for heat in heats:
        if heat.planned:
            minute = minutes_of(heat.planned)
            found[heat.id] = minute + MINUTES_IN_DAY if minute < MORNING and latest >= EVENING else minute
            latest = max(latest, minute)
    return found


def nearest(minute: int, anchor: int) -> int:
    """A time of day as minutes after the midnight on which the day began: the day before or after, if that is nearer to
    `anchor`."""
    return min((minute + days * MINUTES_IN_DAY for days in (0, 1, -1)), key=lambda moment: abs(moment - anchor))


@dataclass(frozen=True, slots=True)
class DayHeat:
    """A heat against its plan, in minutes after midnight. `went`: its GO and the end of its work, None before its GO.

    `lanes`: those that its event's equipment stands on. `athletes`: who competes in it.
    """

    key: str
    event: str
    planned: int
    minutes: int
    lanes: frozenset[int]
    athletes: frozenset[str] = frozenset()
    went: tuple[int, int] | None = None

    @property
    def planned_end(self) -> int:
        """When it was to leave the floor."""
        return self.planned + self.minutes


@dataclass(frozen=True, slots=True)
class Lateness:
    """When each heat starts, real or expected, in minutes after midnight; and how late the next one will be."""

    starts: dict[str, int]
    late: int


def lateness(heats: Sequence[DayHeat], rules: DayRules, now: int) -> Lateness:
    """The day as it will probably go on; `now` in minutes after midnight. The next heat is at `now` or later; the lateness is
    the next heat's, or the last heat's own when none is to come."""
    order = sorted(heats, key=lambda heat: (heat.planned, heat.event, heat.key))
    ends: dict[str, int] = {}
    starts: dict[str, int] = {}
    for n, heat in enumerate(order):
        if heat.went is not None:
            starts[heat.key], ends[heat.key] = heat.went[0], max(heat.went[1], heat.went[0])
            continue
        earliest = max([heat.planned, now, *(_after(before, ends[before.key], heat, rules) for before in order[:n])])
        starts[heat.key], ends[heat.key] = earliest, earliest + heat.minutes
    return Lateness(starts, _late(order, starts))


def _after(before: DayHeat, ended: int, heat: DayHeat, rules: DayRules) -> int:
    """The least start of a heat because of one that is planned before it. No gap is asked for that the plan did not have."""
    planned_gap = max(0, heat.planned - before.planned_end)
    gaps = [-(24 * 60)]
    if before.lanes & heat.lanes:
        gaps.append(min(planned_gap, rules.changeover if before.event == heat.event else rules.reset))
    if before.athletes & heat.athletes:
        gaps.append(min(planned_gap, rules.rest))
    for one in rules.breaks:
        if before.planned < minutes_of(one.end) <= heat.planned and before.planned_end <= minutes_of(one.start):
            gaps.append(one.shortest)
    return ended + max(gaps)


def _late(order: Sequence[DayHeat], starts: dict[str, int]) -> int:
    waiting = [heat for heat in order if heat.went is None]
    if waiting:
        return max(0, starts[waiting[0].key] - waiting[0].planned)
    return max(0, starts[order[-1].key] - order[-1].planned) if order else 0
