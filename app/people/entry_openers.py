"""Openers that a list of entries says: held against the lift as the entry does it, like those that are typed at the desk."""

from collections.abc import Mapping

from app.people.entry_columns import Lift
from app.people.entry_facts import Cell, ListedOpener
from app.rules.count.sheets import format_for
from app.rules.records.entered import fits
from app.rules.records.roster import Entry, Event, Roster
from app.rules.values.units import BadMeasure
from app.rules.workout.openers import Opener, OpenerKey
from app.rules.workout.tasks import LiftTask
from app.rules.workout.typed_loads import Around, typed_load


def lifts_of(roster: Roster) -> tuple[Lift, ...]:
    """The lifts for which openers may be listed, in the order of the events."""
    return tuple(
        Lift(f"{event.id}/{key}", event.name, event.format.movements[task.movement].name)
        for event in roster.events
        for key, task in event.format.tasks.items()
        if isinstance(task, LiftTask)
    )


def opener_listed(
    event: Event, entry: Entry, member: int, listed: ListedOpener, cell: Cell, stored: Mapping[OpenerKey, Opener]
) -> Opener | None:
    """The opener in a cell; None where it can't be one, which is noted at the cell. What was planned after it stays."""
    if not event.admits(entry.division) or not fits(event, entry):
        cell.wrong(f"{entry.name} does not do {event.name}: it is for entries of another size, or for other divisions.")
        return None
    key = listed.lift.partition("/")[2]
    format = format_for(event, entry.division, "")
    lift = format.tasks[key]
    if not isinstance(lift, LiftTask):
        return None
    around = Around(heaviest=format.movements[lift.movement].heaviest)
    try:
        load, doubt = typed_load(listed.text, lift, listed.unit or format.unit, around)
    except BadMeasure as wrong:
        cell.wrong(str(wrong))
        return None
    if doubt is not None:
        cell.odd(doubt.sentence)
    was = stored.get((event.id, key, entry.id, member))
    return Opener(event=event.id, task=key, entry=entry.id, member=member, load=load, then=was.then if was else ())
