"""The desk's page of an event's markings, and the sheets that hang on a wall: one for each lane, or for each athlete."""

from dataclasses import dataclass
from fractions import Fraction

from app.compose.markings_view import Drawing, WallMark, floor_drawing, wall_drawing
from app.hall.changing import change_roster
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.markings import markings_of, unsaid_wall
from app.hall.organising import found, needed_roster
from app.rules.records.entered import entered
from app.rules.records.markings import (
    REACH,
    SIZES,
    Markings,
    Size,
    footprint,
    hall_width,
    line_text,
    measured,
    unsaid,
    unsaid_words,
    wall_line,
)
from app.rules.records.measuring import CHOICES, MOST_READINGS, Measuring
from app.rules.records.roster import Entry, Event, Heat, Roster
from app.rules.values.lengths import Length, LengthUnit, parse_length, tape_text
from app.rules.values.units import BadMeasure
from app.rules.values.words import say
from app.store.entering import put_markings

PARTS = {
    "wall": "A wall line and a floor box",
    "rope": "A space for the rope",
    "bar": "A space for the bar",
    "": "Around them all",
}
TICKS = tuple(tick for tick in SIZES if tick)
EVERY_SIZE = tuple(size for sizes in SIZES.values() for size in sizes)
MOST_SIZE_MM = 20_000
CAUTIONS = (
    "Inverted work: a pad level with the hands, nobody drops on the head. Stop on neck pain, tingling or loss of control.",
    "Ropes: keep the spacing, a dry floor. Bars: a clear space behind the lifter, no spare plates in it.",
    "The venue's plan, its marked ways out and local rules come first: no lane lies across one.",
)


@dataclass(frozen=True, slots=True)
class LineRow:
    """An athlete's wall line in a list: whose, of which entry, in words; `known` when the reach was measured and the event's
    drop is said."""

    athlete: str
    name: str
    entry: str
    reach: str
    line: str
    known: bool


@dataclass(frozen=True, slots=True)
class Marked:
    """A part of the form: what is marked, the name of its tick (empty for none), and its sizes."""

    tick: str
    label: str
    sizes: tuple[Size, ...]


@dataclass(frozen=True, slots=True)
class MarkingsPage:
    """The desk's page of an event's markings. `asked`: nothing is stored, the ticks are what the movements ask for; `unsaid`: the
    sizes that are missing, `choices` those of how a line is measured, `holds_up` says why the event can't be run without them."""

    id: str
    name: str
    parts: tuple[Marked, ...]
    choices: tuple[tuple[str, str, tuple[Choice, ...]], ...]
    asked: bool
    none: bool
    unsaid: str
    holds_up: str
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
    line: str
    sheets: tuple[Sheet, ...]
    cautions: tuple[str, ...]


def markings_typed(hall: Hall, event: str) -> dict[str, str]:
    """The form of an event's markings as stored, or as its movements ask. Raises NotThere."""
    roster = needed_roster(hall)
    return form_of_markings(markings_of(roster, found(roster.events, event, "event")) or Markings())


def form_of_markings(markings: Markings) -> dict[str, str]:
    """Markings as the fields of their form."""
    ticks = {name: "on" for name in TICKS if getattr(markings, name)}
    sizes = {size.name: getattr(markings, size.name) for size in EVERY_SIZE}
    return {
        "unit": markings.unit,
        **{name: length.text() if length else "" for name, length in sizes.items()},
        **ticks,
        **_form_of_measuring(markings.measuring),
    }


def _form_of_measuring(how: Measuring) -> dict[str, str]:
    chosen = {f"how_{name}": str(getattr(how, name)) for name in CHOICES}
    return chosen | {"how_readings": str(how.readings)} | ({"how_second": "on"} if how.second else {})


def read_markings(typed: Typed) -> Markings:
    """Markings from their form. Raises BadForm, naming each field."""
    read = Reading(typed)
    unit = read.choice("unit", "The tape", {"in": "inches", "cm": "centimetres"})
    tape: LengthUnit = "in" if unit == "in" else "cm"
    sizes = {size.name: _size(read, size, tape) for size in EVERY_SIZE}
    ticks, measuring = {name: read.ticked(name) for name in TICKS}, _measuring(read)
    drop = sizes["drop"]
    if drop is not None and drop.mm >= REACH.low:  # of the lowest wrists there are the line would lie on the floor, or under it
        read.wrong("drop", f"The line lies less than {tape_text(Fraction(REACH.low), tape)} under the wrists; not {drop.text()}.")
    read.done()
    return Markings.model_validate({"unit": unit, **sizes, **ticks, "measuring": measuring})


def _measuring(read: Reading) -> Measuring:
    """How the wall line is measured; what the form did not ask for is as usual."""
    usual = Measuring()
    asked = {name: words for name, words in CHOICES.items() if f"how_{name}" in read.typed}
    chosen = {name: read.choice(f"how_{name}", f"“{label}”", dict(words)) for name, (label, words) in asked.items()}
    readings = read.whole("how_readings", "The readings", 1, MOST_READINGS, usual.readings)
    second = read.ticked("how_second") if "how_readings" in read.typed else usual.second
    said = {**chosen, "readings": readings, "second": second}
    return usual if read.problems else Measuring.model_validate(said)


def _choices() -> tuple[tuple[str, str, tuple[Choice, ...]], ...]:
    """The choices of how a line is measured: the field, its label, what it may be."""
    return tuple(
        (f"how_{name}", label, tuple(Choice(value, said) for value, said in words.items()))
        for name, (label, words) in CHOICES.items()
    )


def _size(read: Reading, asked: Size, unit: LengthUnit) -> Length | None:
    """One size; nothing typed is a size that nobody has said."""
    typed = read.raw(asked.name)
    if not typed:
        return None
    try:
        size = parse_length(typed, unit)
    except BadMeasure as wrong:
        read.wrong(asked.name, f"{asked.label}: {wrong}")
        return None
    if size.mm > MOST_SIZE_MM:
        read.wrong(asked.name, f"{asked.label} is at most {MOST_SIZE_MM // 1000} m; not {size.text()}.")
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
    measured_ones = entered(roster, of).taking_part if markings and markings.wall else ()
    lines = tuple(row for entry in measured_ones for row in _lines(roster, markings or Markings(), entry))
    return MarkingsPage(
        id=of.id,
        name=of.name,
        parts=tuple(Marked(tick, PARTS[tick], sizes) for tick, sizes in SIZES.items()),
        choices=_choices(),
        asked=event not in roster.markings,
        none=markings is None,
        unsaid=unsaid_words(unsaid(markings)) if markings else "",
        holds_up=unsaid_wall(roster, of),
        floor=floor_drawing(markings) if markings and footprint(markings).spaces else None,
        room=_room(roster, of, markings),
        lines=lines,
        missing=sum(1 for row in lines if not row.reach),
    )


def _room(roster: Roster, event: Event, markings: Markings | None) -> str:
    """How much floor the event's lanes take, side by side."""
    lanes = max((len(heat.lanes) for heat in roster.heats if heat.event == event.id), default=0)
    if markings is None or not lanes or not footprint(markings).spaces:
        return ""
    wide, deep = tape_text(hall_width(markings, lanes), markings.unit), tape_text(footprint(markings).depth, markings.unit)
    return say("lanes.room", n=lanes, wide=wide, deep=deep)


def _lines(roster: Roster, markings: Markings, entry: Entry) -> list[LineRow]:
    athletes = {athlete.id: athlete.name for athlete in roster.athletes}
    reaches = measured(roster.measures)
    rows = []
    for member in entry.members:
        reach = reaches.get(member)
        said = tape_text(reach.mm, markings.unit) if reach else ""
        line = line_text(markings, reach) if reach else None
        words = line or say("wall.not_said" if reach else "wall.not_measured")
        rows.append(LineRow(member, athletes[member], entry.name, said, words, line is not None))
    return rows


def sheets(hall: Hall, event: str, per: str = "lane") -> Sheets:
    """The sheets to print, one for each lane of each heat, or for each athlete. Raises NotThere."""
    roster = needed_roster(hall)
    of = found(roster.events, event, "event")
    markings = markings_of(roster, of) or Markings()
    made = _per_athlete(roster, of, markings) if per == "athlete" else _per_lane(roster, of, markings)
    return Sheets(
        event=of.name,
        floor=floor_drawing(markings) if footprint(markings).spaces else None,
        line=_line_rule(markings),
        sheets=tuple(made),
        cautions=CAUTIONS,
    )


def _line_rule(markings: Markings) -> str:
    """What a sheet says of its wall lines: where they lie, and when a judge calls the head judge."""
    if markings.drop is None or markings.tolerance is None:
        return f"Missing: {unsaid_words(unsaid(markings, only_needed=True))}. No line can be taped until then."
    drop, off = (tape_text(size.mm, markings.unit) for size in (markings.drop, markings.tolerance))
    return f"The line is {drop} under the wrists. Measure again before GO; call the head judge if it differs by more than {off}."


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


def _per_athlete(roster: Roster, event: Event, markings: Markings) -> list[Sheet]:
    made = []
    for entry in entered(roster, event).taking_part:
        whole = _sheet(roster, markings, "", entry.name, entry)
        for row in whole.lines:
            made.append(Sheet(row.name, entry.name, (row,), _wall(roster, markings, (row,))))
    return made


def _sheet(roster: Roster, markings: Markings, title: str, under: str, entry: Entry) -> Sheet:
    rows = tuple(_lines(roster, markings, entry)) if markings.wall else ()
    return Sheet(title, under, rows, _wall(roster, markings, rows))


def _wall(roster: Roster, markings: Markings, rows: tuple[LineRow, ...]) -> Drawing | None:
    reaches, drop = measured(roster.measures), markings.drop
    marks = [WallMark(row.name, wall_line(reaches[row.athlete], drop)) for row in rows if row.known and drop]
    return wall_drawing(markings, marks) if marks else None
