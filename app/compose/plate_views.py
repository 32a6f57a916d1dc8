"""What the desk's pages of plates show: the sets with their lanes, and how a load that is tried would be loaded."""

from dataclasses import dataclass
from fractions import Fraction

from app.compose.plating import lane_numbers
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster
from app.rules.records.roster import Roster
from app.rules.values.units import BadMeasure, Load, decimal_text, parse_load
from app.rules.values.words import ranges, say
from app.rules.workout.plates import (
    Kit,
    PlateSet,
    Side,
    Total,
    kit_of,
    lightest_step,
    nearest,
    side_words,
    too_thick,
    total_of,
    ways,
)
from app.rules.workout.tasks import LiftTask

TRIED = "lift"
HOLDS_NUMBER_MM = 38
STEPS_TRIED = 200  # loads of an event that are looked at, from the bar on
FEW_NAMED = 4


@dataclass(frozen=True, slots=True)
class SetLine:
    """A set in the list: what is in it, and which lanes have it."""

    id: str
    name: str
    words: str
    lanes: str


@dataclass(frozen=True, slots=True)
class LaneLine:
    """A lane and the set it has; empty for none."""

    lane: int
    plates: str


@dataclass(frozen=True, slots=True)
class DrawnPlate:
    """A plate of the drawing, in millimetres; `colour` is the standard's or empty, `number` what fits on it."""

    x: str
    y: str
    width: str
    height: str
    middle: str
    colour: str
    number: str


@dataclass(frozen=True, slots=True)
class Tried:
    """A load that was tried: how it is loaded, or what is nearest. `problem` for what is no load."""

    typed: str
    problem: str = ""
    said: str = ""
    side: str = ""
    totals: str = ""
    near: str = ""
    drawn: tuple[DrawnPlate, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Fit:
    """Whether a set makes the loads of an event, in words."""

    words: str
    good: bool


@dataclass(frozen=True, slots=True)
class PlatesPage:
    """The page of all sets."""

    sets: tuple[SetLine, ...]
    lanes: tuple[LaneLine, ...]
    choices: tuple[Choice, ...]


def plates_page(hall: Hall) -> PlatesPage:
    """All sets, and which lane has which."""
    roster = needed_roster(hall)
    given = {one.lane: one.plates for one in roster.lane_plates}
    return PlatesPage(
        sets=tuple(SetLine(one.id, one.name, _contents(one), _lanes(roster, one.id)) for one in roster.plate_sets),
        lanes=tuple(LaneLine(lane, given.get(lane, "")) for lane in lane_numbers(roster)),
        choices=tuple(Choice(one.id, one.name) for one in roster.plate_sets),
    )


def _contents(plates: PlateSet) -> str:
    bars = " or ".join(bar.text() for bar in plates.bars)
    kinds = say("plates.kinds", n=len(plates.plates))
    return f"bar {bars}, {kinds}, steps of {lightest_step(plates).text()}"


def _lanes(roster: Roster, key: str) -> str:
    lanes = sorted(one.lane for one in roster.lane_plates if one.plates == key)
    return say("plates.lanes", n=len(lanes), named=ranges(lanes))


def tried(hall: Hall, key: str, typed: str) -> Tried | None:
    """How a load would be put on with a set's first bar, collars on top of it; None when nothing was typed. Raises NotThere."""
    plates = found(needed_roster(hall).plate_sets, key, "plate set")
    if not typed.strip():
        return None
    unit = plates.bars[0].unit
    try:
        load = parse_load(typed, unit)
    except BadMeasure as bad:
        return Tried(typed, problem=str(bad))
    kit = kit_of(plates, _any_lift(plates))
    sides = ways(kit, load, 1)
    if not sides:
        return Tried(typed, said=f"{load.text()} can't be made from these plates.", near=_near(kit, load))
    return _loaded(kit, sides[0], typed)


def fits(hall: Hall, key: str) -> tuple[Fit, ...]:
    """For each event that lifts a bar, whether a set makes its loads step by step, from the bar on. Raises NotThere."""
    roster = needed_roster(hall)
    plates = found(roster.plate_sets, key, "plate set")
    lifts = [(event.name, task) for event in roster.events for task in event.format.tasks.values() if isinstance(task, LiftTask)]
    return tuple(_fit(name, task, kit_of(plates, task)) for name, task in lifts)


def _fit(name: str, task: LiftTask, kit: Kit) -> Fit:
    unit = task.step.unit
    start, step = task.bar.in_unit(unit), task.step.in_unit(unit)
    first = -(-max(start, total_of(kit, ()).in_unit(unit)) // step)
    loads = [Load(decimal_text(step * (first + n)), unit) for n in range(STEPS_TRIED)]
    missing = [load.text() for load in loads if not ways(kit, load, 1)]
    asks = f"{name}: from {loads[0].text()} by {task.step.text()}"
    if not missing:
        return Fit(f"{asks} every load to {loads[-1].text()} can be made.", True)
    some = ", ".join(missing[:FEW_NAMED])
    more = f" and {len(missing) - FEW_NAMED} more of {STEPS_TRIED}" if len(missing) > FEW_NAMED else ""
    return Fit(f"{asks} these can't be made: {some}{more}.", False)


def _any_lift(plates: PlateSet) -> LiftTask:
    """A lift that asks for nothing but what the set has."""
    least = min(plate.weight for plate in plates.plates)
    return LiftTask(movement=TRIED, bar=plates.bars[0], step=least, least_plate=least)


def _loaded(kit: Kit, side: Side, typed: str) -> Tried:
    total = total_of(kit, side)
    over = too_thick(kit, side)
    said = say("too_thick", mm=decimal_text(over)) if over else ""
    words = side_words(kit, side)
    return Tried(typed, said=said, side=words, totals=_both(total), drawn=_drawn(kit, side), words=f"One side: {words}")


def _both(total: Total) -> str:
    return f"{total.text('kg')} = {total.text('lb')}"


def _near(kit: Kit, load: Load) -> str:
    below, above = nearest(kit, load)
    words = [f"{one.text(load.unit)} {where}" for one, where in ((below, "below"), (above, "above")) if one]
    return f"The nearest: {' and '.join(words)}."


def _drawn(kit: Kit, side: Side) -> tuple[DrawnPlate, ...]:
    """The plates along the sleeve, to scale, the middle of the bar at height 0."""
    plates, at = [], Fraction(0)
    for index in side:
        kind = kit.kinds[index]
        half = Fraction(kind.across_mm, 2)
        texts = (at, -half, kind.thick_mm, 2 * half, at + kind.thick_mm / 2)
        x, y, width, height, middle = (decimal_text(value, 2) for value in texts)
        number = kind.weight.text().split(" ")[0] if kind.thick_mm >= HOLDS_NUMBER_MM else ""
        plates.append(DrawnPlate(x, y, width, height, middle, kind.colour or "", number))
        at += kind.thick_mm
    return tuple(plates)
