"""Loads as people type them for a lift: what can't be is refused, what may be a slip is asked once, with what was probably meant.

static/js/rules/typed_loads.js is its twin on the phone; both pass tests/vectors/typed_loads.json.
"""

from dataclasses import dataclass
from fractions import Fraction

from app.rules.values.units import BadMeasure, Load, LoadUnit, Rounding, both_units, decimal_text, parse_load, round_to
from app.rules.values.words import say
from app.rules.workout.plates import Kit, ways
from app.rules.workout.tasks import LiftTask

# Twice the last load or half of it is no step that a lifter takes; and one unit typed for the other is 2.2 times, or 0.45 times.
# Common practice, no source.
FAR = (Fraction(1, 2), Fraction(2))
MIXED_UP: dict[str, tuple[Fraction, Fraction]] = {
    "kg": (Fraction(2), Fraction(12, 5)),
    "lb": (Fraction(21, 50), Fraction(1, 2)),
}

MOST_STEPS = 400  # from a typed load to one that a lane's plates make, each way; nobody would take a load so far off

# Nobody has lifted more from a rack; an event whose movement names a greater heaviest load is taken at its word.
MOST_LIFTED = Load("600", "kg")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question to ask once before a load is taken, and loads that may have been meant."""

    sentence: str
    offers: tuple[Load, ...] = ()


@dataclass(frozen=True, slots=True)
class Around:
    """What a typed load is held against: the load judged last, the heaviest one tried (None: the last), the one planned or
    declared, the heaviest believable one, what the lane can put on its bar where that is known."""

    last: Load | None = None
    tried: Load | None = None
    planned: Load | None = None
    heaviest: Load | None = None
    kit: Kit | None = None


def typed_load(text: str, task: LiftTask, unit: LoadUnit, around: Around = Around()) -> tuple[Load, Doubt | None]:
    """The load in a text, in `unit` unless it names one, and what is odd about it. Raises BadMeasure for what can't be."""
    load = parse_load(text, unit)
    return load, doubt_about(load, task, around)


def doubt_about(load: Load, task: LiftTask, around: Around = Around()) -> Doubt | None:
    """What is odd about a load, or None. Raises BadMeasure for one below the bar, or beyond what people lift."""
    if load < task.bar:
        raise BadMeasure(say("load.below_bar", bar=both_units(task.bar), load=both_units(load)))
    most = max(MOST_LIFTED, around.heaviest) if around.heaviest else MOST_LIFTED
    if load > most:
        raise BadMeasure(say("load.beyond", load=both_units(load), most=both_units(most)))
    return _far(load, task, around) or _heavy(load, around) or _down(load, task, around) or _off_step(load, task, around.kit)


def _far(load: Load, task: LiftTask, around: Around) -> Doubt | None:
    """Far from the last load, or before there is one from the plan: by the other unit's factor it is offered in that one, where
    that is not less than the bar."""
    near, what = (around.last, "last") if around.last else (around.planned, "planned")
    if near is None or not near.kg:
        return None
    ratio = load.kg / near.kg
    if FAR[0] < ratio < FAR[1]:
        return None
    low, high = MIXED_UP[load.unit]
    if low <= ratio <= high:
        other = Load(load.amount, "lb" if load.unit == "kg" else "kg")
        if other >= task.bar:
            return Doubt(
                say(f"load.unit_{what}", near=both_units(near), load=both_units(load), other=both_units(other)), (other,)
            )
    return Doubt(say(f"load.far_{what}", near=both_units(near), load=both_units(load)))


def _heavy(load: Load, around: Around) -> Doubt | None:
    if around.heaviest is None or load <= around.heaviest:
        return None
    return Doubt(say("load.heavy", load=both_units(load)))


def _down(load: Load, task: LiftTask, around: Around) -> Doubt | None:
    """Less than a load that was tried before, which need not be the last one."""
    tried = around.tried or around.last
    if task.may_go_down or tried is None or load >= tried:
        return None
    return Doubt(say("load.down", near=both_units(tried)), (tried,))


def _off_step(load: Load, task: LiftTask, kit: Kit | None) -> Doubt | None:
    """Off the event's step: the loads on it nearest below and above, never one below the bar; of a lane whose plates are known
    those that it can load. A load that grows has its own."""
    if load.kg % task.step.kg == 0 or task.loads:
        return None
    below = round_to(load.in_unit(task.step.unit), task.step.in_unit(task.step.unit), Rounding.DOWN)
    made = [] if kit is None else [_first(task, below, way, kit) for way in (0, 1)]
    offers = tuple(one for one in made if one is not None)
    known = bool(offers)
    if not known:
        offers = tuple(one for way in (0, 1) if (one := _first(task, below, way, None)) is not None)
    told = [both_units(offer) for offer in offers]
    nearest = say("or", first=told[0], second=told[1]) if told[1:] else told[0]
    return Doubt(say("load.off_step_plates" if known else "load.off_step", step=task.step.text(), offers=nearest), offers)


def _first(task: LiftTask, below: Fraction, way: int, kit: Kit | None) -> Load | None:
    """The first load on the step from `below` on, down (0) or up from the next (1), that a lane can load; None where there is
    none between the bar and what anybody lifts."""
    unit, step = task.step.unit, task.step.in_unit(task.step.unit)
    for n in range(1 if kit is None else MOST_STEPS):
        value = below + step * (1 + n if way else -n)
        if value < task.bar.in_unit(unit):
            return None
        load = Load(decimal_text(value), unit)
        if kit is None or (load <= MOST_LIFTED and ways(kit, load, 1)):
            return load
    return None
