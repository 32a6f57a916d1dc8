"""Cases of plates and loading: the rule book's answers, which the loaders' screen must give as well."""

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from functools import partial
from typing import Any

from app.rules.values.shapes import load_plain
from app.rules.values.units import Load
from app.rules.workout.plate_sets import offered, set_to_begin
from app.rules.workout.plates import Kit, PlateSet, Total, kit_of, lies_low, nearest, side_words, too_thick, total_of, ways
from app.rules.workout.tasks import LiftTask
from tests.vectors.loading import Plan, plan, quick_plan

Plain = dict[str, Any]


def _kit(plates: Plain, task: Plain) -> Kit:
    return kit_of(PlateSet.model_validate(plates), LiftTask.model_validate(task))


def _load(plain: Plain) -> Load:
    return Load(plain["amount"], plain["unit"])


def _total(total: Total | None) -> Plain | None:
    if total is None:
        return None
    load = total.load
    return {"kg": str(total.kg), "texts": [total.text("kg"), total.text("lb")], "load": load and load_plain(load)}


def _ways(plates: Plain, task: Plain, load: Plain) -> list[list[int]]:
    return [list(side) for side in ways(_kit(plates, task), _load(load))]


def _nearest(plates: Plain, task: Plain, load: Plain) -> list[Plain | None]:
    return [_total(total) for total in nearest(_kit(plates, task), _load(load))]


def _plan(how: Callable[..., Plan], plates: Plain, task: Plain, loads: Sequence[Plain], now: Sequence[int]) -> Plain:
    found = how(_kit(plates, task), [_load(load) for load in loads], tuple(now))
    return asdict(found) | {"sides": [side and list(side) for side in found.sides]}


def _with(plates: Plain, task: Plain, side: Sequence[int]) -> Plain:
    kit = _kit(plates, task)
    return {
        "total": _total(total_of(kit, side)),
        "words": side_words(kit, side),
        "too_thick": str(too_thick(kit, side)),
        "low": lies_low(kit, side),
    }


CALLS: dict[str, Callable[..., Any]] = {
    "bar_ways": _ways,
    "bar_nearest": _nearest,
    "bar_plan": partial(_plan, plan),
    "bar_quick": partial(_plan, quick_plan),
    "bar_with": _with,
}


def _set(key: str, **changed: Any) -> Plain:
    plates = set_to_begin(key, "set_1")
    assert plates is not None
    return PlateSet.model_validate(plates.model_dump() | changed).model_dump(mode="json")


def _task(bar: str, least: str, unit: str, collars: str | None = None) -> Plain:
    lift: Plain = {"kind": "lift", "movement": "squat", "bar": bar, "step": "1", "least_plate": least, "collars": collars}
    lift["collars_counted"] = collars is not None
    loads = {name: {"amount": lift[name], "unit": unit} for name in ("bar", "step", "least_plate", "collars") if lift[name]}
    return LiftTask.model_validate(lift | loads).model_dump(mode="json")


MIXED = [
    {"weight": {"amount": weight, "unit": unit}, "count": count}
    for weight, unit, count in [
        ("20", "kg", 4),
        ("10", "kg", 2),
        ("2.5", "kg", 2),
        ("25", "lb", 2),
        ("5", "lb", 4),
        ("1", "lb", 3),
    ]
]
SETS: dict[str, tuple[Plain, Plain]] = {
    "pounds": (_set("gym-lb"), _task("35", "2.5", "lb")),
    "kilograms": (_set("gym-kg"), _task("20", "0.5", "kg")),
    "kilograms, no plate below 2.5": (_set("gym-kg"), _task("15", "2.5", "kg")),
    "weightlifting, collars counted": (_set("weightlifting"), _task("20", "0.5", "kg", "5")),
    "powerlifting in any order": (_set("powerlifting", heavy_inside=False), _task("20", "0.25", "kg", "5")),
    "weightlifting, the shorter bar": (_set("weightlifting"), _task("15", "0.5", "kg", "5")),
    "a short sleeve": (_set("gym-kg", sleeve_mm=90), _task("20", "0.5", "kg")),
    "a short sleeve in any order": (_set("gym-kg", sleeve_mm=90, heavy_inside=False), _task("20", "0.5", "kg")),
    "mixed": (_set("gym-kg", plates=MIXED), _task("20", "0.5", "kg")),
    "mixed in any order": (_set("gym-kg", plates=MIXED, heavy_inside=False), _task("20", "0.5", "kg")),
}
LOADS = ("102.5", "61", "187.25", "19", "20", "600", "100.0001")


def cases() -> list[Plain]:
    """Each set with some loads by hand, then plans from a fixed seed."""
    assert {"gym-lb", "gym-kg", "weightlifting", "powerlifting"} <= {one.key for one in offered()}
    return [*_single(), *_plans(), _twice_two()]


def _case(name: str, call: str, *args: Any) -> Plain:
    return {"name": name, "call": call, "args": list(args), "expect": CALLS[call](*args)}


def _single() -> Iterator[Plain]:
    for name, (plates, task) in SETS.items():
        for amount in LOADS:
            load = {"amount": amount, "unit": task["bar"]["unit"]}
            yield _case(f"nearest to {amount} of {name}", "bar_nearest", plates, task, load)
        yield _case(f"ways to 102.5 of {name}", "bar_ways", plates, task, {"amount": "102.5", "unit": task["bar"]["unit"]})
        yield _case(f"ways to 225 lb of {name}", "bar_ways", plates, task, {"amount": "225", "unit": "lb"})
        yield _case(f"two light plates of {name}", "bar_with", plates, task, [len(_kit(plates, task).kinds) - 1] * 2)
        yield _case(f"three plates of {name}", "bar_with", plates, task, [0, 0, 2])
        yield _case(f"a sleeve too short for {name}", "bar_with", plates, task, [0] * 12 + [1])


def _plans() -> Iterator[Plain]:
    chance = random.Random(5)
    for name, (plates, task) in SETS.items():
        for number in range(3):
            loads, now = _any_plan(chance, _kit(plates, task))
            yield _case(f"plan {number} of {name}", "bar_plan", plates, task, loads, now)
            yield _case(f"quick plan {number} of {name}", "bar_quick", plates, task, loads, now)


def _twice_two() -> Plain:
    """Of the smallest plates that two a side hold, a third is asked for: as a set of plates that is no other one."""
    pieces = [
        {"weight": {"amount": weight, "unit": "kg"}, "count": 2 * pairs}
        for weight, pairs in (("6", 2), ("3", 3), ("2", 2), ("1", 1))
    ]
    plates, task = _set("gym-kg", plates=pieces, heavy_inside=False), _task("20", "1", "kg")
    return _case("twice two of the same", "bar_plan", plates, task, [{"amount": "28", "unit": "kg"}] * 2, [])


def _any_plan(chance: random.Random, kit: Kit) -> tuple[list[Plain], list[int]]:
    """Some loads that go up mostly, one of them impossible now and then, from plates in any order."""
    loads = []
    for _ in range(chance.randrange(1, 6)):
        side = sorted(chance.choices(range(len(kit.kinds)), k=chance.randrange(1, 4)))
        load = total_of(kit, side).load
        loads.append(load_plain(load) if load else {"amount": "77.77", "unit": "kg"})
    now = [kind for kind in range(len(kit.kinds)) if chance.random() < 0.3]
    chance.shuffle(now)
    return loads, now
