"""A competition that has begun from a ready one, by a few answers: all of it but who competes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from app.rules.beginning.ready import Ready, ReadyBreak, ReadyEvent
from app.rules.reading.reader import understand
from app.rules.records.day import Break, DayRules, EventDay
from app.rules.records.judges import clock_of, minutes_of
from app.rules.records.roster import Competition, Division, Event, Roster
from app.rules.values.units import LoadUnit
from app.rules.workout.formats import Format

MINUTES_IN_DAY = 24 * 60
NewId = Callable[[], str]


class NotWhole(Exception):
    """Raised for an event whose text the reader does not take without a question: its text says which."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What is asked before a ready competition begins. divisions: the names of those that are held, by key."""

    competition: Competition
    start: str
    lanes: int
    divisions: Mapping[str, str]


def latest_start(ready: Ready) -> str:
    """The latest that its day may begin, so that it ends before midnight."""
    return clock_of(MINUTES_IN_DAY - 1 - ready.hours * 60)


def begun(ready: Ready, answers: Answers, new_id: NewId) -> Roster:
    """The competition. Raises NotWhole."""
    held = [one for one in ready.divisions if one.key in answers.divisions]
    divisions = {one.key: Division(id=new_id(), name=answers.divisions[one.key]) for one in held}
    lighter = [divisions[one.key].id for one in held if one.lighter]
    events = tuple(_event(one, answers.competition.unit, lighter, new_id()) for one in ready.events)
    return Roster(
        competition=answers.competition,
        divisions=tuple(divisions.values()),
        events=events,
        overall=ready.overall,
        day=_day(ready, answers, [event.id for event in events]),
    )


def event_text(event: ReadyEvent, unit: LoadUnit) -> str:
    """An event as a written workout in a unit."""
    loads = {key: said[unit] for key, said in event.loads.items()}
    return "\n".join([line.format_map(loads) for line in event.text] + [f"Loads in {unit}"])


def event_format(event: ReadyEvent, unit: LoadUnit) -> Format:
    """An event as its text says it. Raises NotWhole."""
    read = understand(event_text(event, unit))
    if not read.whole or read.format is None:
        raise NotWhole(f"The text of {event.name} leaves something open.")
    return read.format


def _event(event: ReadyEvent, unit: LoadUnit, lighter: Sequence[str], key: str) -> Event:
    format = event_format(event, unit)
    variants = {division: variant.id for variant in format.variants for division in lighter}
    return Event(id=key, name=event.name, format=format, variants=variants)


def _day(ready: Ready, answers: Answers, events: Sequence[str]) -> DayRules:
    start = minutes_of(answers.start)
    return DayRules(
        start=answers.start,
        end=clock_of(start + ready.hours * 60),
        changeover=ready.changeover,
        reset=ready.reset,
        rest=ready.rest,
        step=ready.step,
        breaks=tuple(_break(one, start + one.after) for one in ready.breaks),
        events=tuple(EventDay(event=event, last_lane=answers.lanes) for event in events),
    )


def _break(one: ReadyBreak, begins: int) -> Break:
    return Break(name=one.name, start=clock_of(begins), end=clock_of(begins + one.minutes), least=one.least)
