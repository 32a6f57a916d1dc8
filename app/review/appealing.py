"""The second instance: until when an answer may be appealed against. An appeal is a protest against the answer to another."""

from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.results.results_state import moment_text
from app.rules.records.in_force import signed_off
from app.rules.records.roster import Protest
from app.rules.result.protests import decisions, in_time, no_appeal, open_until

DECIDED_FIRST = "{by} gave the first answer. Somebody else decides an appeal."
HAS_APPEAL = "This answer was appealed against: the appeal is what is decided now."


def until_when(hall: Hall, protest: Protest) -> int | None:
    """Until when the answer to a protest may be appealed against, by the wall clock; None without an answer."""
    answer = decisions(hall.projection.rulings).get(protest.id)
    return None if answer is None else open_until(answer.made_wall_ms, needed_roster(hall).competition.appeal_minutes)


def never(hall: Hall, protest: Protest) -> str:
    """Why nobody can appeal against the answer to a protest, whatever the time, in words; or nothing."""
    return no_appeal(protest, decisions(hall.projection.rulings).get(protest.id), needed_roster(hall).protests)


def too_late(hall: Hall, protest: Protest) -> str:
    """Why it is too late to appeal, in words; or nothing: the desk may still take the appeal, and says why. Who signs an event
    off before the time of an answer is over does not end it."""
    until, now = until_when(hall, protest), hall.time.wall_ms()
    if until is None or in_time(now, until):
        return ""
    event = next(one for one in needed_roster(hall).events if one.id == protest.event)
    if signed_off(hall.projection.rulings, event.id) is not None:
        return f"{event.name} is signed off. Speak to the head judge."
    return f"Appeals against this answer could be filed until {moment_text(hall, until)}. Speak to the desk."


def can_until(hall: Hall, protest: Protest) -> str:
    """Until when an entry can still appeal; nothing where it can't."""
    until = until_when(hall, protest)
    return "" if until is None or never(hall, protest) or too_late(hall, protest) else moment_text(hall, until)


def was_appealed(hall: Hall, protest: Protest) -> bool:
    """Whether somebody appealed against the answer to a protest."""
    return any(one.against == protest.id for one in needed_roster(hall).protests)
