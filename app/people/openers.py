"""Openers: who lifts what in an event, and what each means to begin with, entered at the desk or at the door."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from app.hall.forms import refuse
from app.rules.count.sheets import format_for
from app.rules.records.entered import entered
from app.rules.records.roster import Entry, Event, Roster
from app.rules.values.units import BadMeasure, Load
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.openers import MOST_PLANNED, Opener, OpenerKey
from app.rules.workout.typed_loads import Around, Doubt, typed_load
from app.store.kinds import OPENERS

# Between two loads stand blanks, semicolons or strokes; not before a unit that belongs to the load.
BETWEEN = re.compile(r"[;/\s]+(?!(?:kgs?|lbs?)\b)", re.IGNORECASE)
AGAIN = "Save again to keep it as it is."


@dataclass(frozen=True, slots=True)
class Lifter:
    """One member of an entry in one lift of an event, as the entry does it."""

    event: Event
    task: str
    lift: LiftTask
    format: Format
    entry: Entry
    member: int

    @property
    def key(self) -> OpenerKey:
        """Whose opener it is and for which lift."""
        return (self.event.id, self.task, self.entry.id, self.member)

    @property
    def field(self) -> str:
        """Names the lifter's fields in a form."""
        return f"{self.task}-{self.entry.id}-{self.member}"


def lifters_of(roster: Roster, event: Event) -> tuple[Lifter, ...]:
    """Who lifts what in an event: by division and entry, each member who has a window of the lift, lift by lift."""
    lifters, does_it = [], entered(roster, event).taking_part
    for division in roster.divisions:
        for entry in (one for one in does_it if one.division == division.id):
            format = format_for(event, entry.division, _chosen(roster, event.id, entry.id))
            for member in range(1, min(len(entry.members), format.members) + 1):
                lifters += [
                    Lifter(event, key, task, format, entry, member)
                    for key, task in format.tasks.items()
                    if isinstance(task, LiftTask) and _lifts(format, key, member)
                ]
    return tuple(lifters)


def _chosen(roster: Roster, event: str, entry: str) -> str:
    """The variant that an entry chose on its lane, if it has one."""
    lanes = (lane for heat in roster.heats if heat.event == event for lane in heat.lanes if lane.entry == entry)
    return next((lane.variant for lane in lanes), "")


def _lifts(format: Format, task: str, member: int) -> bool:
    return any(window.task == task and (isinstance(window.who, str) or member in window.who) for window in format.windows)


def stored_opener(roster: Roster, lifter: Lifter) -> Opener | None:
    """The opener of a lifter as stored, or None."""
    return next((opener for opener in roster.openers if opener.key == lifter.key), None)


def read_opener(lifter: Lifter, text: str, then: str, fields: tuple[str, str], sure: Collection[str]) -> Opener | None:
    """An opener as typed, None for an empty one. Raises BadForm naming the field; in the fields in `sure` a slip is taken."""
    if not text.strip():
        if then.strip():
            raise refuse(fields[0], "There is a plan but no opener. Type the opener, or clear the plan.")
        return None
    heaviest = lifter.format.movements[lifter.lift.movement].heaviest
    loads: list[Load] = []
    for field, one in ((fields[0], text), *((fields[1], part) for part in planned_texts(then))):
        around = Around(planned=loads[-1] if loads else None, heaviest=heaviest)
        loads.append(_read_load(lifter, field, one, around, field in sure))
    if len(loads) > MOST_PLANNED + 1:
        raise refuse(fields[1], f"A plan holds at most {MOST_PLANNED} loads.")
    return Opener(
        event=lifter.event.id,
        task=lifter.task,
        entry=lifter.entry.id,
        member=lifter.member,
        load=loads[0],
        then=tuple(loads[1:]),
    )


def planned_texts(text: str) -> list[str]:
    """The loads of a plan, as typed one after another: `105 110; 112,5 kg`."""
    return [part.strip(",") for part in BETWEEN.split(text.strip()) if part.strip(",")]


def _read_load(lifter: Lifter, field: str, text: str, around: Around, sure: bool) -> Load:
    try:
        load, doubt = typed_load(text, lifter.lift, lifter.format.unit, around)
    except BadMeasure as wrong:
        raise refuse(field, str(wrong)) from None
    if doubt is not None and not sure:
        raise refuse(field, _asked(doubt))
    return load


def _asked(doubt: Doubt) -> str:
    return f"{doubt.sentence} {AGAIN}"


def store_openers(session: Session, openers: Mapping[OpenerKey, Opener | None]) -> None:
    """Stores openers by key, and forgets those that are None."""
    for key, opener in openers.items():
        if opener is None:
            OPENERS.forget(session, key)
        else:
            OPENERS.put(session, opener)
