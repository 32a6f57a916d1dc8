"""How final results are, in words: said one way on the board, on the results pages and at the review."""

from bisect import bisect
from dataclasses import replace
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.hall.organising import in_the_hall
from app.hall.signed import faults_of
from app.live.projection import Projection
from app.rules.records.roster import Competition, Event, Roster
from app.rules.result.protests import Finality, all_closed, announced_at, finality, over_at
from app.rules.result.signed_words import Stated, stated_overall_of, stated_signed
from app.rules.values.words import say

# For which records they were found, and the moments.
_TURNS: WeakKeyDictionary[Projection, tuple[int, tuple[int, ...]]] = WeakKeyDictionary()


def moment_text(hall: Hall, wall_ms: int) -> str:
    """A moment by the hall's clocks: `14:32`, and of another day than today, for a time for protests may be days, with that day:
    `14:32 on 2031-05-18`."""
    moment, now = (in_the_hall(hall.projection.roster, ms) for ms in (wall_ms, hall.time.wall_ms()))
    told = moment.strftime("%H:%M")
    return told if moment.date() == now.date() else say("{time} on {day}", time=told, day=moment.date().isoformat())


def finality_of(hall: Hall, event: Event) -> Finality:
    """How final an event's results are now."""
    roster = hall.projection.roster
    assert roster is not None  # an event was found in it
    found = _finality(hall, roster, event)
    return replace(found, faults=faults_of(hall, event, found.signed)) if found.signed else found


def _finality(hall: Hall, roster: Roster, event: Event) -> Finality:
    """The same, without looking whether all that was signed can be shown."""
    bell, announced = _bell(hall, roster, event), announced_of(hall, roster, event)
    rulings, now = hall.projection.rulings, hall.time.wall_ms()
    heats = [heat for heat in roster.heats if heat.event == event.id]
    closed = all_closed(heats, hall.projection.runs, event.format.length_ms, now)
    return finality(event.id, bell, announced, roster.competition, rulings, roster.protests, now, closed)


def said_of(hall: Hall) -> object:
    """What all that is said of results depends on: equal while nothing came in, and no time for protests began or ended."""
    now = hall.projection
    known = _TURNS.get(now)
    if known is None or known[0] != now.records:
        known = _TURNS[now] = (now.records, _turns(hall))
    return now, now.version, bisect(known[1], hall.time.wall_ms())


def _turns(hall: Hall) -> tuple[int, ...]:
    """When what is said of an event changes by itself, in order: at the bell of a heat, after which all others may have been
    closed; as the time for protests or appeals ends."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    found = [_finality(hall, roster, event) for event in roster.events]
    length, runs = {event.id: event.format.length_ms for event in roster.events}, hall.projection.runs
    moments = {over_at((heat,), runs, length[heat.event]) for heat in roster.heats}
    moments |= {moment for one in found for moment in (one.until_wall_ms, one.appeals_until_wall_ms)}
    return tuple(sorted(moment for moment in moments if moment is not None))


def _bell(hall: Hall, roster: Roster, event: Event) -> int | None:
    """When an event's last bell went, or will go if nothing is held; None while a heat of it waits."""
    heats = [heat for heat in roster.heats if heat.event == event.id]
    return over_at(heats, hall.projection.runs, event.format.length_ms)


def announced_of(hall: Hall, roster: Roster, event: Event) -> int | None:
    """When an event's result was announced; None while it was not, or heats were run again since."""
    heats = [heat for heat in roster.heats if heat.event == event.id]
    return announced_at(event.id, heats, hall.projection.runs, hall.projection.rulings)


def filing_rule(competition: Competition) -> str:
    """Until when protests may be filed, told beforehand: `Protests until 30 minutes after a result is announced`."""
    if competition.protest_from == "announcement":
        return say("protests.after_announcement", n=competition.protest_minutes)
    return say("protests.after_bell", n=competition.protest_minutes)


def finality_text(hall: Hall, found: Finality) -> str:
    """The same in words: `Provisional: protests until 14:32`, `Final: signed off by Ruth Abel`."""
    if found.signed is not None:
        return stated_signed(found.signed, found.faults).text
    opened = "Reopened by {by} after it was signed off: {why}."
    before = f"{say(opened, by=found.opened.by, why=found.opened.why)} " if found.opened else ""
    if found.state == "protested":
        return before + say("provisional.protested", n=found.open)
    if found.state == "provisional" and found.until_wall_ms is not None:
        return before + say("Provisional: protests until {time}", time=moment_text(hall, found.until_wall_ms))
    if found.state == "unannounced":
        return before + say("Provisional: the time for protests begins when the result is announced")
    if found.state == "appealable" and found.appeals_until_wall_ms is not None:
        return before + say("Provisional: appeals until {time}", time=moment_text(hall, found.appeals_until_wall_ms))
    over = "Provisional: the time for protests is over, and it is not signed off yet"
    return before + say(over if found.state == "unsigned" else "Provisional: not every heat is over")


def stated(hall: Hall, event: Event) -> Stated:
    """How final an event's results are, and what was left out."""
    found = finality_of(hall, event)
    return stated_signed(found.signed, found.faults) if found.signed else Stated(finality_text(hall, found))


def times_running(hall: Hall, found: Finality) -> tuple[tuple[str, str], ...]:
    """Which of an event's times are not over, `protests` or `appeals`, each with its end as text."""
    now, ends = hall.time.wall_ms(), (("protests", found.until_wall_ms), ("appeals", found.appeals_until_wall_ms))
    return tuple((what, moment_text(hall, end)) for what, end in ends if end is not None and now < end)


def event_state(hall: Hall, event: Event) -> str:
    """How final an event's results are, in words."""
    return finality_text(hall, finality_of(hall, event))


def stated_overall(hall: Hall) -> Stated:
    """How final the overall standing is."""
    roster = hall.projection.roster
    if roster is None:
        return Stated(say("Provisional"))
    faulty = any(finality_of(hall, event).faults for event in roster.events)
    return stated_overall_of(roster, hall.projection.rulings, faulty)


def all_signed(hall: Hall) -> bool:
    """Whether every event's results are signed off."""
    roster = hall.projection.roster
    return (
        roster is not None and bool(roster.events) and all(finality_of(hall, event).state == "signed" for event in roster.events)
    )
