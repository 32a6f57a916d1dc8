"""The fewest moves over a plan of loads, against a model of the same question for OR-Tools' CP-SAT solver.

The model knows stacks of plates, place by place from the inside out, and nothing of ways, prefixes or nests: a plate stays where
it and all inside of it stay; whatever does not stay is taken off, or put on.
"""

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from app.rules.values.units import Load
from app.rules.workout.plates import Kit, Side
from tests.builders.gym import a_kit
from tests.vectors.loading import plan

PLATES = {"10": 2, "5": 4, "2.5": 4, "1.25": 2}  # pairs of each, in kilograms; the bar weighs 20
PLACES = 8
EMPTY = len(PLATES)


def by_solver(targets: Sequence[int], now: Side, heavy_inside: bool, room: int) -> int:
    """The fewest moves of one side; `targets`: what the plates of one side weigh in quarters of a kilogram; `room`: how many
    plates the sleeve holds."""
    model = cp_model.CpModel()
    weights = [round(float(weight) * 4) for weight in PLATES]
    stacks = [[model.new_int_var(0, EMPTY, "") for _ in range(PLACES)] for _ in (None, *targets)]
    for place, plate in enumerate(stacks[0]):
        model.add(plate == (now[place] if place < len(now) else EMPTY))
    full = [[_is_there(model, plate) for plate in stack] for stack in stacks]
    for stack, there, target in zip(stacks[1:], full[1:], targets, strict=True):
        is_kind = [[_is(model, plate, kind) for plate in stack] for kind in range(EMPTY)]
        model.add(sum(weights[kind] * sum(is_kind[kind]) for kind in range(EMPTY)) == target)
        model.add(sum(there) <= room)
        for kind, pairs in enumerate(PLATES.values()):
            model.add(sum(is_kind[kind]) <= pairs)
        for inner, outer, held, next_held in zip(stack, stack[1:], there, there[1:], strict=False):
            model.add_implication(next_held, held)
            if heavy_inside:
                model.add(inner <= outer)
    stays = [_stays(model, one, two, there) for one, two, there in zip(stacks, stacks[1:], full, strict=False)]
    moves = sum(sum(one) + sum(two) - 2 * sum(kept) for one, two, kept in zip(full, full[1:], stays, strict=False))
    model.minimize(moves)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def _is(model: cp_model.CpModel, plate: cp_model.IntVar, kind: int) -> cp_model.IntVar:
    found = model.new_bool_var("")
    model.add(plate == kind).only_enforce_if(found)
    model.add(plate != kind).only_enforce_if(~found)
    return found


def _is_there(model: cp_model.CpModel, plate: cp_model.IntVar) -> cp_model.IntVar:
    there = model.new_bool_var("")
    model.add(plate < EMPTY).only_enforce_if(there)
    model.add(plate == EMPTY).only_enforce_if(~there)
    return there


def _stays(
    model: cp_model.CpModel, one: Sequence[cp_model.IntVar], two: Sequence[cp_model.IntVar], there: Sequence[cp_model.IntVar]
) -> list[cp_model.IntVar]:
    kept: list[cp_model.IntVar] = []
    for before, after, held in zip(one, two, there, strict=True):
        stay = model.new_bool_var("")
        model.add(before == after).only_enforce_if(stay)
        model.add_implication(stay, held)
        if kept:
            model.add_implication(stay, kept[-1])
        kept.append(stay)
    return kept


def a_plan(chance: random.Random, most: int) -> tuple[list[int], Side]:
    """Sides that the plates can make, as their weights, and a stack that is on the bar."""
    pieces = [kind for kind, pairs in enumerate(PLATES.values()) for _ in range(pairs)]
    quarters = [round(float(weight) * 4) for weight in PLATES]
    sides = [chance.sample(pieces, chance.randint(0, most)) for _ in range(5)]
    return [sum(quarters[kind] for kind in side) for side in sides[1:]], tuple(sides[0])


def kit_of_plates(heavy_inside: bool) -> Kit:
    return a_kit(" ".join(f"{pairs}x{weight}" for weight, pairs in PLATES.items()) + " kg", heavy_inside=heavy_inside)


@pytest.mark.parametrize(("heavy_inside", "most", "room"), [(True, 5, PLACES), (False, 4, PLACES), (True, 3, 3)])
def test_no_plan_of_ours_has_more_moves_than_the_solver_needs(heavy_inside: bool, most: int, room: int) -> None:
    chance = random.Random(11)
    kit, met = kit_of_plates(heavy_inside), set[int]()
    short, longer = replace(kit, sleeve_mm=room * int(kit.kinds[0].thick_mm)), 0
    for _ in range(9):
        targets, now = a_plan(chance, most)
        loads = [Load(f"{20 + target / 2:g}", "kg") for target in targets]
        found = plan(short, loads, now)
        assert found.moves == by_solver(targets, now, heavy_inside, room), (loads, now)
        met.add(found.moves)
        longer += found.moves > plan(kit, loads, now).moves
    assert len(met) > 3, "plans of many lengths were asked about"
    assert bool(longer) is (room < PLACES), "a sleeve that holds few plates asks for more moves"
