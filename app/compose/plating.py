"""Plates: sets of bars, collars and plates made from one that is offered, changed, copied, removed, and given to lanes."""

import re
from fractions import Fraction
from typing import cast, get_args

from app.hall.changing import change_roster, lanes_of, new_id
from app.hall.forms import Reading, Typed, row_numbers
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.hall.plain import PlainForm, keep
from app.rules.records.roster import MOST_LANES, Roster
from app.rules.values.units import decimal_text
from app.rules.workout.plate_sets import offered, set_to_begin
from app.rules.workout.plates import MOST_BARS, MOST_KINDS, MOST_PIECES, Colour, LanePlates, Plate, PlateSet
from app.store.kinds import LANE_PLATES, PLATE_SETS

COLOURS: dict[str, str] = {"": "none", **{colour: colour for colour in get_args(Colour)}}
ORDERS = {"heavy": "the heaviest plate innermost", "any": "any order, with the fewest plate changes"}
USUAL_LANES = 4
FEW_ROWS = 2  # empty rows that a form offers


def offers() -> dict[str, str]:
    """The sets to begin from, by key, each in its name."""
    return {one.key: one.plates.name for one in offered()}


async def begin_set(hall: Hall, typed: Typed) -> str:
    """Makes a set from one that is offered; returns its id."""
    read = Reading(typed)
    key = read.choice("from", "The set to begin with", offers())
    name = read.optional("name", "The set's name")
    read.done()
    begun = set_to_begin(key, new_id(), name)
    assert begun is not None  # the key was one of those offered
    plates = begun.model_copy(update={"name": _free_name(needed_roster(hall), begun.name)})
    return await keep(hall, PLATE_SETS, plates)


async def copy_set(hall: Hall, key: str) -> str:
    """Makes a set like another; returns its id. Raises NotThere."""
    roster = needed_roster(hall)
    like = found(roster.plate_sets, key, "plate set")
    copy = like.model_copy(update={"id": new_id(), "name": _free_name(roster, like.name)})
    return await keep(hall, PLATE_SETS, copy)


def _free_name(roster: Roster, name: str) -> str:
    """The name, with a number behind it if there is a set of that name."""
    taken = {one.name.casefold() for one in roster.plate_sets}
    number, free = 1, name
    while free.casefold() in taken:
        number += 1
        free = f"{name[:110]} {number}"
    return free


def _read_set(read: Reading, roster: Roster, key: str) -> dict[str, object]:
    """The set that a form describes, with every problem beside its field."""
    unit = roster.competition.unit
    name = read.name("name", "The set's name")
    bars = [bar for n in range(MOST_BARS) if (bar := read.load(f"bar-{n}", f"Bar {n + 1}", unit))]
    if not bars and not read.problems_at("bar-0"):
        read.wrong("bar-0", f"A set has at least one bar. Type what it weighs, such as 20 {unit}.")
    order = read.choice("order", "The order of plates", ORDERS)
    sleeves = _sleeves(read, len(bars))
    collars = read.load("collars", "Both collars together", unit)
    plates = [_plate(read, n, roster) for n in row_numbers(read.typed, "plate") if read.raw(f"plate-{n}-weight")]
    if not plates:
        read.wrong("plate-0-weight", "A set has at least one kind of plate. Type what one piece weighs.")
    return {
        "name": name,
        "bars": bars,
        "collars": collars,
        "plates": sorted((plate for plate in plates if plate), key=lambda plate: -plate.weight.kg),
        "heavy_inside": order == "heavy",
        "sleeve_mm": sleeves[0],
        "sleeves_mm": sleeves if len(sleeves) > 1 else (),
        "standard": read.optional("standard", "Whose colours"),
    }


def _sleeves(read: Reading, bars: int) -> tuple[int, ...]:
    """How long the sleeves are in millimetres: one number for all bars, or one for each with commas between."""
    parts = [part.strip() for part in read.raw("sleeve").split(",")]
    if len(parts) == 1:
        return (read.needed_whole("sleeve", "The sleeve's length", 100, 1000),)
    numbers = [int(part) for part in parts if re.fullmatch(r"[0-9]{3,4}", part) and 100 <= int(part) <= 1000]
    if len(numbers) != len(parts) or len(numbers) != bars:
        read.wrong("sleeve", f"The sleeve's length is one whole number from 100 to 1000, or one for each of the {bars} bars.")
        return (100,)
    return tuple(numbers)


def _plate(read: Reading, n: int, roster: Roster) -> Plate | None:
    at, what = f"plate-{n}-", f"Plate {n + 1}"
    weight = read.load(f"{at}weight", f"{what}'s weight", roster.competition.unit)
    count = read.needed_whole(f"{at}count", f"{what}'s pieces", 1, MOST_PIECES)
    across = read.needed_whole(f"{at}across", f"{what}'s diameter", 1, 3000)
    thick = read.number(f"{at}thick", f"{what}'s thickness in millimetres", Fraction(0))
    if not 0 < thick <= 500 and not read.problems_at(f"{at}thick"):
        read.wrong(f"{at}thick", f"{what} is more than 0 and at most 500 mm thick.")
    colour = read.choice(f"{at}colour", f"{what}'s colour", COLOURS) if f"{at}colour" in read.typed else ""
    if weight is None or read.problems:
        return None
    return Plate(weight=weight, count=count, across_mm=across, thick_mm=thick, colour=cast(Colour, colour) if colour else None)


async def give_lanes(hall: Hall, typed: Typed) -> None:
    """Says which lane has which set; with `all`, every lane that is asked about gets that one."""
    roster, read = needed_roster(hall), Reading(typed)
    known = {"": "none", **{one.id: one.name for one in roster.plate_sets}}
    everywhere = read.choice("all", "The set for all lanes", known) if read.raw("all") else ""
    given = {one.lane: one.plates for one in roster.lane_plates}
    for lane in (lane for lane in lane_numbers(roster) if f"lane-{lane}" in typed):
        given[lane] = everywhere or read.choice(f"lane-{lane}", f"Lane {lane}'s set", known)
    read.done()
    lanes = [LanePlates(lane=lane, plates=plates) for lane, plates in sorted(given.items()) if plates]
    await change_roster(hall, lambda session: LANE_PLATES.put_all(session, lanes))


def lane_numbers(roster: Roster) -> tuple[int, ...]:
    """The lanes to give plates to: those of the start list, those that have some, and never fewer than a small hall's."""
    used = lanes_of(roster) | {one.lane for one in roster.lane_plates}
    return tuple(range(1, min(MOST_LANES, max(used, default=0) or USUAL_LANES) + 1))


def set_typed(plates: PlateSet) -> dict[str, str]:
    """A set as its form posts it."""
    typed = {
        "name": plates.name,
        "collars": plates.collars.text() if plates.collars else "",
        "order": "heavy" if plates.heavy_inside else "any",
        "sleeve": ", ".join(str(one) for one in plates.sleeves_mm or (plates.sleeve_mm,)),
        "standard": plates.standard,
        **{f"bar-{n}": bar.text() for n, bar in enumerate(plates.bars)},
    }
    for n, plate in enumerate(plates.plates):
        at = f"plate-{n}-"
        typed |= {f"{at}weight": plate.weight.text(), f"{at}count": str(plate.count), f"{at}across": str(plate.across_mm)}
        typed |= {f"{at}thick": decimal_text(plate.thick_mm), f"{at}colour": plate.colour or ""}
    return typed


PLATES = PlainForm(
    kind=PLATE_SETS,
    read=_read_set,
    taken="There is already a set called {}. Give this one another name.",
)


def plate_rows(typed: Typed) -> tuple[int, ...]:
    """The rows of a set's form: those that are filled and a few empty ones."""
    filled = [n for n in row_numbers(typed, "plate") if typed.get(f"plate-{n}-weight", "").strip()]
    return tuple(range(min(MOST_KINDS, max(filled, default=-1) + 1 + FEW_ROWS)))
