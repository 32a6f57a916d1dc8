"""The desk's page of an event's markings, and the sheets that hang on a wall: one for each lane, or for each athlete."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from app.compose.markings_view import Drawing, WallMark, floor_drawing, wall_drawing
from app.hall.changing import change_roster
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.markings import markings_of
from app.hall.organising import found, needed_roster
from app.rules.records.markings import Markings, footprint, hall_width, line_text, measured, wall_line
from app.rules.records.roster import Entry, Event, Heat, Roster
from app.rules.values.lengths import Length, LengthUnit, parse_length, tape_text
from app.rules.values.units import BadMeasure
from app.rules.values.words import say
from app.store.entering import put_markings

SIZES: Mapping[str, str] = {
    "drop": "The drop under the wrists",
    "tolerance": "How much two measurements may differ",
    "box_width": "Floor box, along the wall",
    "box_depth": "Floor box, out from the wall",
    "rope_width": "Rope space, along the wall",
    "rope_depth": "Rope space, out from the wall",
    "bar_width": "Bar space, along the wall",
    "bar_depth": "Bar space, out from the wall",
    "gap": "Kept free around every space",
}
MOST_SIZE_MM = 20_000
CAUTIONS = (
    "Inverted work: a pad level with the hands, nobody drops on the head. Stop on neck pain, tingling or loss of control.",
    "Ropes: keep the spacing, a dry floor. Bars: a clear space behind the lifter, no spare plates in it.",
    "The venue's plan, its marked ways out and local rules come first: no lane lies across one.",
)


@dataclass(frozen=True, slots=True)
class LineRow:
    """An athlete's wall line in a list: whose, of which entry, in words; `known` when the reach was measured."""

    athlete: str
    name: str
    entry: str
    reach: str
    line: str
    known: bool


@dataclass(frozen=True, slots=True)
class MarkingsPage:
    """The desk's page of an event's markings."""

    id: str
    name: str
    sizes: tuple[tuple[str, str], ...]
    usual: bool
    none: bool
    floor: Drawing | None
    room: str
    lines: tuple[LineRow, ...]
    missing: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A printed sheet of markings: for a lane of a heat, or for one athlete."""

    title: str
    under: str
    lines: tuple[LineRow, ...]
    wall: Drawing | None


@dataclass(frozen=True, slots=True)
class Sheets:
    """All sheets of an event, and what they share."""

    event: str
    floor: Drawing | None
    tolerance: str
    drop: str
    sheets: tuple[Sheet, ...]
    cautions: tuple[str, ...]


def markings_typed(hall: Hall, event: str) -> dict[str, str]:
    """The form of an event's markings as stored, or as usual. Raises NotThere."""
    roster = needed_roster(hall)
    return form_of_markings(
        markings_of(roster, found(roster.events, event, "event")) or Markings(wall=False, rope=False, bar=False)
    )


def form_of_markings(markings: Markings) -> dict[str, str]:
    """Markings as the fields of their form."""
    ticks = {name: "on" for name in ("wall", "rope", "bar") if getattr(markings, name)}
    return {"unit": markings.unit, **{name: getattr(markings, name).text() for name in SIZES}, **ticks}


def read_markings(typed: Typed) -> Markings:
    """Markings from their form. Raises BadForm, naming each field."""
    read = Reading(typed)
    unit = read.choice("unit", "The tape", {"in": "inches", "cm": "centimetres"})
    sizes = {
        name: _size(read, name, what, cast(LengthUnit, unit if unit in ("in", "cm") else "in")) for name, what in SIZES.items()
    }
    read.done()
    ticks = {name: read.ticked(name) for name in ("wall", "rope", "bar")}
    return Markings.model_validate({"unit": unit, **sizes, **ticks})


def _size(read: Reading, name: str, what: str, unit: LengthUnit) -> Length:
    """One size; nothing typed is no size at all."""
    try:
        size = parse_length(read.raw(name) or "0", unit)
    except BadMeasure as wrong:
        read.wrong(name, f"{what}: {wrong}")
        return Length("0", unit)
    if size.mm > MOST_SIZE_MM:
        read.wrong(name, f"{what} is at most {MOST_SIZE_MM // 1000} m; not {size.text()}.")
    return size


async def save_markings(hall: Hall, event: str, typed: Typed) -> dict[str, str]:
    """Stores an event's markings and returns the form as it stood. Raises BadForm, NotThere."""
    before = markings_typed(hall, event)
    markings = read_markings(typed)
    await change_roster(hall, lambda session: put_markings(session, event, markings))
    return before


def markings_page(hall: Hall, event: str) -> MarkingsPage:
    """The desk's page of an event's markings. Raises NotThere."""
    roster = needed_roster(hall)
    of = found(roster.events, event, "event")
    markings = markings_of(roster, of)
    lines = (
        tuple(row for entry in _entries(roster) for row in _lines(roster, markings, entry)) if markings and markings.wall else ()
    )
    return MarkingsPage(
        id=of.id,
        name=of.name,
        sizes=tuple(SIZES.items()),
        usual=event not in roster.markings,
        none=markings is None,
        floor=floor_drawing(markings) if markings and footprint(markings).spaces else None,
        room=_room(roster, of, markings),
        lines=lines,
        missing=sum(1 for row in lines if not row.known),
    )


def _room(roster: Roster, event: Event, markings: Markings | None) -> str:
    """How much floor the event's lanes take, side by side."""
    lanes = max((len(heat.lanes) for heat in roster.heats if heat.event == event.id), default=0)
    if markings is None or not lanes or not footprint(markings).spaces:
        return ""
    wide, deep = tape_text(hall_width(markings, lanes), markings.unit), tape_text(footprint(markings).depth, markings.unit)
    return f"{lanes} lanes side by side take {wide} along the wall and {deep} out from it."


def _entries(roster: Roster) -> list[Entry]:
    order = {division.id: number for number, division in enumerate(roster.divisions)}
    return sorted(roster.entries, key=lambda entry: order[entry.division])


def _lines(roster: Roster, markings: Markings, entry: Entry) -> list[LineRow]:
    athletes = {athlete.id: athlete.name for athlete in roster.athletes}
    reaches = measured(roster.measures)
    rows = []
    for member in entry.members:
        reach = reaches.get(member)
        said = tape_text(reach.mm, markings.unit) if reach else ""
        line = line_text(markings, reach) if reach else say("wall.not_measured")
        rows.append(LineRow(member, athletes[member], entry.name, said, line, reach is not None))
    return rows


def sheets(hall: Hall, event: str, per: str = "lane") -> Sheets:
    """The sheets to print, one for each lane of each heat, or for each athlete. Raises NotThere."""
    roster = needed_roster(hall)
    of = found(roster.events, event, "event")
    markings = markings_of(roster, of) or Markings(wall=False, rope=False, bar=False)
    made = _per_athlete(roster, markings) if per == "athlete" else _per_lane(roster, of, markings)
    return Sheets(
        event=of.name,
        floor=floor_drawing(markings) if footprint(markings).spaces else None,
        tolerance=tape_text(markings.tolerance.mm, markings.unit),
        drop=tape_text(markings.drop.mm, markings.unit),
        sheets=tuple(made),
        cautions=CAUTIONS,
    )


def _per_lane(roster: Roster, event: Event, markings: Markings) -> list[Sheet]:
    entries = {entry.id: entry for entry in roster.entries}
    heats: list[Heat] = sorted((heat for heat in roster.heats if heat.event == event.id), key=lambda heat: heat.number)
    lanes = [(lane.lane, heat, entries[lane.entry]) for heat in heats for lane in heat.lanes]
    return [
        _sheet(
            roster,
            markings,
            f"Lane {lane}",
            f"Heat {heat.number}{f', {heat.planned}' if heat.planned else ''} · {entry.name}",
            entry,
        )
        for lane, heat, entry in lanes
    ]


def _per_athlete(roster: Roster, markings: Markings) -> list[Sheet]:
    made = []
    for entry in _entries(roster):
        whole = _sheet(roster, markings, "", entry.name, entry)
        for row in whole.lines:
            made.append(Sheet(row.name, entry.name, (row,), _wall(roster, markings, (row,))))
    return made


def _sheet(roster: Roster, markings: Markings, title: str, under: str, entry: Entry) -> Sheet:
    rows = tuple(_lines(roster, markings, entry)) if markings.wall else ()
    return Sheet(title, under, rows, _wall(roster, markings, rows))


def _wall(roster: Roster, markings: Markings, rows: tuple[LineRow, ...]) -> Drawing | None:
    reaches = measured(roster.measures)
    marks = [WallMark(row.name, wall_line(reaches[row.athlete], markings.drop)) for row in rows if row.known]
    return wall_drawing(markings, marks) if marks else None
