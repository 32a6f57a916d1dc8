"""What a lane can put on its bar: its plates, and which loads they make, exactly.

Kilograms and pounds are counted apart, in ten-thousandths. Both sides of a bar carry the same, and a load that plates, bar and
collars make weighs what was declared in kilograms and in pounds separately: 1 lb = 0.45359237 kg, so another mixture of the two
could weigh the same only if it differed by 5000 lb on a side, which is more than any bar carries.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base, ExactLoad, ExactNumber, Id, Name, Said
from app.rules.values.units import KG_IN, MOST_LOAD_KG, Load, LoadUnit, decimal_text
from app.rules.workout.tasks import LiftTask

PARTS = 10_000  # of a kilogram or a pound: as fine as a load can be written
MOST_KINDS = 20
MOST_PIECES = 40  # of one kind
MOST_BARS = 6
MOST_WAYS = 400  # ways of making one load that are looked at, those with the heaviest plates first
FULL_ACROSS_MM = 450  # discs of 10 kg and more (weightlifting's rules, 3.3): they give the height from which a bar is lifted
FINEST = 1000  # plates are weighed to the thousandth

Colour = Literal["red", "blue", "yellow", "green", "white", "black", "grey"]
Lane = Annotated[int, Field(ge=1, le=60)]
Millimetres = Annotated[int, Field(ge=1, le=3000)]

NO_END = Fraction(10**9)  # of a sleeve, where what is too long for it is planned all the same
Side = tuple[int, ...]  # the plates on one side by the number of their kind, innermost first
Amount = tuple[int, int]  # kilograms and pounds, in PARTS


class Plate(Base):
    """A kind of plate that a lane has. `count`: how many pieces. Its colour is named only where a standard gives it one."""

    weight: ExactLoad
    count: int = Field(ge=1, le=MOST_PIECES)
    across_mm: Millimetres = 450
    thick_mm: ExactNumber = Fraction(30)
    colour: Colour | None = None

    @model_validator(mode="after")
    def _weighs(self) -> Self:
        if not self.weight.kg:
            raise ValueError("A plate weighs more than nothing.")
        if (Fraction(self.weight.amount) * FINEST).denominator != 1:
            raise ValueError(f"Plates are weighed to the thousandth; {self.weight.text()} is finer.")
        if not 0 < self.thick_mm <= 500:
            raise ValueError("A plate is more than 0 and at most 500 mm thick.")
        return self


class PlateSet(Base):
    """The bars, collars and plates of a lane, under a name.

    `collars` is the weight of both together. `heavy_inside`: the heaviest plate stands innermost; else the
    order is free. `sleeve_mm`: how long the sleeve is that plates stand on; `sleeves_mm` says it of each bar where bars differ.
    `standard` says whose colours the plates have, if anybody's.
    """

    id: Id
    name: Name
    bars: tuple[ExactLoad, ...] = Field(min_length=1, max_length=MOST_BARS)
    collars: ExactLoad | None = None
    plates: tuple[Plate, ...] = Field(min_length=1, max_length=MOST_KINDS)
    heavy_inside: bool = True
    sleeve_mm: Millimetres = 415
    sleeves_mm: tuple[Millimetres, ...] = ()
    standard: Said = Field(default="", max_length=120)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if not all(bar.kg for bar in self.bars):
            raise ValueError(f"A bar of {self.name} weighs nothing.")
        if self.sleeves_mm and len(self.sleeves_mm) != len(self.bars):
            raise ValueError(f"{self.name} says how long the sleeves are of each of its bars, or of all alike.")
        looks = [(plate.weight.amount, plate.weight.unit, plate.across_mm) for plate in self.plates]
        if len(set(looks)) != len(looks):
            raise ValueError(f"{self.name} names one kind of plate twice. Add up their pieces.")
        if sum(plate.weight.kg * plate.count for plate in self.plates) > MOST_LOAD_KG:
            raise ValueError(f"The plates of {self.name} weigh more than any bar carries ({MOST_LOAD_KG} kg).")
        return self


def lightest(plates: PlateSet) -> Load:
    """The lightest plate that a set has a pair of; of a set without a pair, its lightest."""
    paired = [plate.weight for plate in plates.plates if plate.count >= 2]
    return min(paired or [plate.weight for plate in plates.plates])


def lightest_step(plates: PlateSet) -> Load:
    """The least step that a set can make: a pair of its lightest plate."""
    least = lightest(plates)
    return Load(decimal_text(2 * Fraction(least.amount)), least.unit)


class LanePlates(Base):
    """Which set of plates a lane has."""

    lane: Lane
    plates: Id


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of plate with its number of pairs, as the loaders take it."""

    weight: Load
    pairs: int
    across_mm: int
    thick_mm: Fraction
    colour: str | None


@dataclass(frozen=True, slots=True)
class Kit:
    """What may be on the bar of a lane in an event: kinds from heavy to light, the bar, the collars that count."""

    kinds: tuple[Kind, ...]
    bar: Load
    collars: Load | None
    heavy_inside: bool = True
    sleeve_mm: int = 415


def kit_of(plates: PlateSet, task: LiftTask) -> Kit:
    """The lane's plates under an event's rules: nothing lighter than its least plate, no odd piece, its bar if the lane has it.

    Collars are on the bar always and count only where the event counts them; what the lane's own weigh comes first.
    """
    usable = [plate for plate in plates.plates if plate.count >= 2 and plate.weight >= task.least_plate]
    ordered = sorted(usable, key=lambda plate: (-plate.weight.kg, -plate.across_mm, plate.weight.unit))
    kinds = tuple(Kind(one.weight, one.count // 2, one.across_mm, one.thick_mm, one.colour) for one in ordered)
    place = next((n for n, bar in enumerate(plates.bars) if bar == task.bar), 0)
    collars = (plates.collars or task.collars) if task.collars_counted else None
    sleeve = plates.sleeves_mm[place] if plates.sleeves_mm else plates.sleeve_mm
    return Kit(kinds, plates.bars[place], collars, plates.heavy_inside, sleeve)


@dataclass(frozen=True, slots=True)
class Total:
    """What a bar weighs, exactly: kilograms and pounds apart, in PARTS."""

    amount: Amount

    @property
    def kg(self) -> Fraction:
        """In kilograms."""
        return Fraction(self.amount[0], PARTS) + Fraction(self.amount[1], PARTS) * KG_IN["lb"]

    def in_unit(self, unit: LoadUnit) -> Fraction:
        """In `unit`."""
        return self.kg / KG_IN[unit]

    @property
    def load(self) -> Load | None:
        """The total as a load that can be declared; None when neither unit writes it exactly."""
        kg, lb = self.amount
        if kg and lb:
            return None
        unit: LoadUnit = "lb" if lb else "kg"
        return Load(decimal_text(Fraction(lb or kg, PARTS)), unit)

    def text(self, unit: LoadUnit) -> str:
        """In `unit` for people; `about` stands before what a thousandth can't say exactly."""
        value = self.in_unit(unit)
        text = f"{decimal_text(value, 3)} {unit}"
        return text if (value * 1000).denominator == 1 else f"about {text}"


def parts_of(load: Load | None) -> Amount:
    """A load in PARTS of its own unit; nothing for none."""
    if load is None:
        return 0, 0
    parts = int(Fraction(load.amount) * PARTS)
    return (parts, 0) if load.unit == "kg" else (0, parts)


def plus(one: Amount, other: Amount, times: int = 1) -> Amount:
    """Two amounts together, the second so many times."""
    return one[0] + other[0] * times, one[1] + other[1] * times


def bare(kit: Kit) -> Amount:
    """The bar, with its collars where they count."""
    return plus(parts_of(kit.bar), parts_of(kit.collars))


def total_of(kit: Kit, side: Sequence[int]) -> Total:
    """What the bar weighs with these plates on each side."""
    amount = bare(kit)
    for kind in side:
        amount = plus(amount, parts_of(kit.kinds[kind].weight), 2)
    return Total(amount)


def ways(kit: Kit, load: Load, most: int = MOST_WAYS) -> list[Side]:
    """How a load can be made, heavy plates inside, those with more of the heaviest plates first: what fits on the sleeve; where
    nothing does, all the same. Empty when it can't be made."""
    made: list[Side] = []
    kg, lb = plus(parts_of(load), bare(kit), -1)
    for room in (Fraction(kit.sleeve_mm), NO_END):
        _fill(made, most, _steps(kit), 0, kg, lb, (), room)
        if made:
            break
    return made


@dataclass(frozen=True, slots=True)
class _Step:
    """A kind on the way down: how thick it is, a pair of it in PARTS, in which unit, and what it and those after it can make."""

    one: Side
    thick_mm: Fraction
    pair: int
    pounds: bool
    pairs: int
    kg: frozenset[int]
    lb: frozenset[int]


def _fill(made: list[Side], most: int, steps: Sequence[_Step], at: int, kg: int, lb: int, held: Side, room: Fraction) -> None:
    """Goes down the kinds and never into a dead end: what is left must be made by the kinds that are left, in the `room` that is
    left on the sleeve, in millimetres."""
    if at == len(steps):
        if kg == lb == 0:
            made.append(held)
        return
    step = steps[at]
    if kg not in step.kg or lb not in step.lb:
        return
    for count in range(min(step.pairs, (lb if step.pounds else kg) // step.pair, int(room // step.thick_mm)), -1, -1):
        left, gone = room - step.thick_mm * count, step.pair * count
        if step.pounds:
            _fill(made, most, steps, at + 1, kg, lb - gone, held + step.one * count, left)
        else:
            _fill(made, most, steps, at + 1, kg - gone, lb, held + step.one * count, left)
        if len(made) >= most:
            return


@lru_cache(maxsize=64)
def _steps(kit: Kit) -> tuple[_Step, ...]:
    """The kinds from heavy to light, each with what is still in reach from it on."""
    kg = lb = frozenset({0})
    found: list[_Step] = []
    for kind in reversed(range(len(kit.kinds))):
        pairs = kit.kinds[kind].pairs
        pair = [2 * part for part in parts_of(kit.kinds[kind].weight)]
        kg = frozenset(held + pair[0] * count for held in kg for count in range(pairs + 1)) if pair[0] else kg
        lb = frozenset(held + pair[1] * count for held in lb for count in range(pairs + 1)) if pair[1] else lb
        found.append(_Step((kind,), kit.kinds[kind].thick_mm, pair[0] or pair[1], bool(pair[1]), pairs, kg, lb))
    return tuple(reversed(found))


def nearest(kit: Kit, load: Load) -> tuple[Total | None, Total | None]:
    """The heaviest bar below a load and the lightest above it; None where there is none. Exact, also with mixed plates."""
    steps = _steps(kit)
    kg, lb = (sorted(steps[0].kg), sorted(steps[0].lb)) if steps else ([0], [0])
    target = _grains(plus(parts_of(load), bare(kit), -1))
    below: Amount | None = None
    above: Amount | None = None
    values = [_grains((0, part)) for part in lb]
    for part in kg:
        place = bisect_left(values, target - _grains((part, 0)))
        if place > 0 and (below is None or _grains((part, lb[place - 1])) > _grains(below)):
            below = part, lb[place - 1]
        over = place + (place < len(lb) and _grains((part, lb[place])) == target)
        if over < len(lb) and (above is None or _grains((part, lb[over])) < _grains(above)):
            above = part, lb[over]
    return _total(kit, below), _total(kit, above)


def _total(kit: Kit, plates: Amount | None) -> Total | None:
    return None if plates is None else Total(plus(plates, bare(kit)))


def _grains(amount: Amount) -> int:
    """An amount in millionths of a millionth of a kilogram: whole, so that mixtures compare exactly."""
    return amount[0] * 100_000_000 + amount[1] * 45_359_237


def too_thick(kit: Kit, side: Sequence[int]) -> Fraction:
    """By how many millimetres the plates of a side are thicker than the sleeve; 0 when they fit."""
    return max(Fraction(0), sum((kit.kinds[kind].thick_mm for kind in side), Fraction(0)) - kit.sleeve_mm)


def lies_low(kit: Kit, side: Sequence[int]) -> int:
    """By how many millimetres a bar with these plates lies lower than on full discs, half of what they lack across; 0 where it
    does not, and for a bar without plates, which nobody lifts from the floor."""
    widest = max((kit.kinds[kind].across_mm for kind in side), default=FULL_ACROSS_MM)
    return max(0, FULL_ACROSS_MM - widest) // 2


def side_words(kit: Kit, side: Sequence[int]) -> str:
    """The plates of a side from inside out: `45 + 25 + 2 × 5 lb`, each unit named once where all have it."""
    if not side:
        return "nothing"
    runs: list[list[int]] = []
    for kind in side:
        if runs and runs[-1][0] == kind:
            runs[-1].append(kind)
        else:
            runs.append([kind])
    units = {kit.kinds[kind].weight.unit for kind in side}
    one = len(units) == 1
    words = [f"{len(run)} × " * (len(run) > 1) + _weight_words(kit.kinds[run[0]].weight, not one) for run in runs]
    return " + ".join(words) + (f" {units.pop()}" if one else "")


def _weight_words(weight: Load, with_unit: bool) -> str:
    return weight.text() if with_unit else weight.text().split(" ")[0]
