"""Plates for tests: kits from short texts, and every way of loading them found by trying everything."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import permutations, product

from app.rules.values.units import Load
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import Kind, Kit, PlateSet, Side, total_of
from tests.builders.cast import load


def a_kit(plates: str, bar: str = "20 kg", collars: str = "", heavy_inside: bool = True) -> Kit:
    """`2x20 1x5 kg` are two pairs of 20 kg and one of 5 kg; groups of one unit are parted by commas."""
    kinds = []
    for group in plates.split(","):
        *pieces, unit = group.split()
        for piece in pieces:
            pairs, weight = piece.split("x")
            kinds.append(Kind(load(f"{weight} {unit}"), int(pairs), 450, Fraction(30), None))
    kinds.sort(key=lambda kind: -kind.weight.kg)
    return Kit(tuple(kinds), load(bar), load(collars) if collars else None, heavy_inside)


def a_set(key: str = "gym-kg") -> PlateSet:
    """A set that the desk offers to begin with."""
    found = set_to_begin(key, "set_1")
    assert found is not None
    return found


def all_sides(kit: Kit) -> Iterator[Side]:
    """Every side that these plates can make, heavy plates inside, by trying every count of every kind."""
    for counts in product(*(range(kind.pairs + 1) for kind in kit.kinds)):
        yield tuple(kind for kind, count in enumerate(counts) for _ in range(count))


def every_way(kit: Kit, wanted: Load) -> list[Side]:
    """The sides that make a load, found by weighing all of them."""
    return [side for side in all_sides(kit) if total_of(kit, side).kg == wanted.kg]


def stacks_of(kit: Kit, wanted: Load) -> set[Side]:
    """The stacks that make a load: in the one order that the kit wants, or in any."""
    sides = every_way(kit, wanted)
    return set(sides) if kit.heavy_inside else {stack for side in sides for stack in permutations(side)}


def fewest_by_trying(kit: Kit, loads: Sequence[Load], now: Side = ()) -> int:
    """The fewest moves through a plan, by trying every chain of stacks, one plate at a time counted."""
    reached = {now: 0}
    for wanted in loads:
        stacks = stacks_of(kit, wanted)
        reached = {stack: min(moves + steps(before, stack) for before, moves in reached.items()) for stack in stacks}
    return min(reached.values())


def steps(before: Side, after: Side) -> int:
    """Moves between two stacks, made one by one: off until what is left is an inner part of the other, then on."""
    held, count = list(before), 0
    while tuple(held) != after[: len(held)]:
        held.pop()
        count += 1
    return count + len(after) - len(held)
