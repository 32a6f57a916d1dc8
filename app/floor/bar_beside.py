"""What a bar that lanes share was called with, told to the lanes' own tablets and call screens: these hold the marks of their own
lane alone, and a load below such a bar is better refused where it is declared than found by the head judge."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from app.hall.hall import Hall
from app.hall.told import told_now
from app.rules.count.lifting.bar_floor import bar_floor
from app.rules.records.document import counting_number
from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark, SheetKey, sheet_key
from app.rules.records.roster import Heat
from app.rules.values.shapes import load_plain
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask

Plain = dict[str, Any]
MOVES: frozenset[Kind] = frozenset({"called", "begun", "strike"})  # what may change how heavy the bar was called


def bars_of(hall: Hall, heats: Iterable[str]) -> Plain:
    """By heat the run that counts, and by window what its bar was called with, where that does not go down; in JSON values."""
    roster = hall.projection.roster
    by_id = {heat.id: heat for heat in roster.heats} if roster else {}
    found = {}
    for heat in (by_id[one] for one in heats if one in by_id):
        if _rising(hall, heat):
            floors = {str(index): load_plain(load) for index, load in floors_of(hall, heat).items()}
            found[heat.id] = {"run": counting_number(hall.projection.runs, heat.id), "floors": floors}
    return found


def floors_of(hall: Hall, heat: Heat) -> dict[int, Load]:
    """By window what the bar of a heat was called with, where it does not go down and somebody was called."""
    run = counting_number(hall.projection.runs, heat.id)
    windows = _rising(hall, heat)
    sheets = [hall.projection.sheet_marks(SheetKey(lane.id, run, "lane").text()) for lane in heat.lanes] if windows else []
    return {index: load for index in windows if (load := bar_floor(sheets, index)) is not None}


def tell_bar(hall: Hall, sheets: Mapping[str, Sequence[Mark]]) -> None:
    """Tells all lanes of a heat what its bar was called with, where marks may have changed that."""
    moved = {sheet_key(sheet).assignment for sheet, marks in sheets.items() if any(mark.kind in MOVES for mark in marks)}
    places = [place for one in moved if (place := hall.projection.place_of(one)) is not None]
    for heat in {place.heat.id: place.heat for place in places if rises(place.format)}.values():
        message = {"type": "bars", "bars": bars_of(hall, [heat.id]), "told": told_now(hall)}
        for lane in heat.lanes:
            if hall.hub.watchers(f"lane:{lane.lane}"):
                hall.hub.tell_here(f"lane:{lane.lane}", message)


def rises(format: Format) -> bool:
    """Whether an event has a bar that does not go below what it was called with."""
    return any(isinstance(task, LiftTask) and task.bar_rises for task in format.tasks.values())


def _rising(hall: Hall, heat: Heat) -> list[int]:
    """The windows of a heat whose bar does not go down."""
    place = hall.projection.place_of(heat.lanes[0].id) if heat.lanes else None
    if place is None:
        return []
    tasks = ((index, place.format.tasks.get(window.task or "")) for index, window in enumerate(place.format.windows))
    return [index for index, task in tasks if isinstance(task, LiftTask) and task.bar_rises]
