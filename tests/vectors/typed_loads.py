"""Cases for loads as people type them: named ones, then many from a fixed seed."""

import json
import random
from typing import Any

from app.rules.values.shapes import load_plain
from app.rules.values.units import BadMeasure, Load
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import PlateSet, kit_of
from app.rules.workout.tasks import LiftTask
from app.rules.workout.typed_loads import Around, typed_load

POUNDS = LiftTask(movement="squat", bar=Load("35", "lb"), step=Load("2.5", "lb"), least_plate=Load("1.25", "lb"))
KILOGRAMS = LiftTask(
    movement="squat", bar=Load("20", "kg"), step=Load("2.5", "kg"), least_plate=Load("1.25", "kg"), may_go_down=False
)
TOLD = {"kind", "movement", "bar", "step", "least_plate", "may_go_down"}  # all that the twin looks at, and what a task must have
TASKS = {"pounds": POUNDS, "kilograms": KILOGRAMS}

NAMED: list[tuple[str, str, str, Any, dict[str, str]]] = [
    ("nothing odd", "227.5", "pounds", "lb", {"last": "225 lb"}),
    ("the first load of all", "135", "pounds", "lb", {}),
    ("the letter O", "1O5", "kilograms", "kg", {}),
    ("a decimal comma", "102,5", "pounds", "lb", {}),
    ("a minus sign", "-5", "kilograms", "kg", {}),
    ("an exponent", "1e3", "kilograms", "kg", {}),
    ("a comma that could be two things", "2,000", "kilograms", "kg", {}),
    ("kilograms typed in a pound event", "102", "pounds", "lb", {"last": "225 lb"}),
    ("pounds typed in a kilogram event", "225", "kilograms", "kg", {"last": "102.5 kg"}),
    ("pounds typed in a kilogram event, which would be less than the bar", "40", "kilograms", "kg", {"last": "20 kg"}),
    ("far above the plan", "250", "kilograms", "kg", {"planned": "100 kg"}),
    ("far below the last, whatever the plan", "60", "kilograms", "kg", {"last": "150 kg", "planned": "60 kg"}),
    ("twice the last in pounds is far, and no mix-up", "450", "pounds", "lb", {"last": "225 lb"}),
    ("off the step", "101", "kilograms", "kg", {"last": "100 kg"}),
    ("off the step just above the bar", "21", "kilograms", "kg", {}),
    ("the other unit named", "100 kg", "pounds", "lb", {}),
    ("down where it may not", "97.5", "kilograms", "kg", {"last": "100 kg"}),
    ("down below one before the last", "97.5", "kilograms", "kg", {"last": "95 kg", "tried": "100 kg"}),
    ("below the bar", "30", "pounds", "lb", {}),
    ("more than anybody lifts", "601", "kilograms", "kg", {}),
    ("more than anybody lifts, where the event says so", "700", "kilograms", "kg", {"heaviest": "800 kg"}),
    ("heavier than the event expects", "330", "kilograms", "kg", {"last": "300 kg", "heaviest": "320 kg"}),
]


def load_of(text: str) -> Load:
    """`225 lb` as a load."""
    amount, unit = text.split()
    return Load(amount, "lb" if unit == "lb" else "kg")


def answer(text: str, task: LiftTask, unit: Any, around: dict[str, Any], plates: PlateSet | None = None) -> dict[str, Any]:
    """What the rule book makes of a text, as JSON; at a lane with these plates, if any."""
    held: dict[str, Any] = {name: Load(**plain) for name, plain in around.items()}
    held |= {"kit": kit_of(plates, task)} if plates else {}
    try:
        load, doubt = typed_load(text, task, unit, Around(**held))
    except BadMeasure as wrong:
        return {"error": str(wrong)}
    asked = None if doubt is None else {"sentence": doubt.sentence, "offers": [load_plain(offer) for offer in doubt.offers]}
    return {"load": load_plain(load), "doubt": asked}


def cases() -> list[dict[str, Any]]:
    """Each case with what the rule book answers."""
    made = [_case(name, text, TASKS[task], unit, around) for name, text, task, unit, around in NAMED]
    chance = random.Random(5)
    for number in range(60):
        task = TASKS[chance.choice(sorted(TASKS))]
        text = f"{chance.randrange(10, 650)}{chance.choice(['', '', '.5', ',5', '.25', 'O', ' lb', 'kg'])}"
        around = {
            name: f"{chance.randrange(40, 500)} {chance.choice(['kg', 'lb'])}"
            for name in ("last", "planned", "heaviest")
            if chance.random() < 0.5
        }
        made.append(_case(f"typed {number}", text, task, task.bar.unit, around))
    return [*made, *at_a_lane()]


# A step of 1 kg that a lane whose least plates make 2.5 does not go along with; one whose plates make nothing near at all.
FINE = KILOGRAMS.model_copy(update={"step": Load("1", "kg"), "may_go_down": True})
FEW = [{"weight": {"amount": "25", "unit": "kg"}, "count": 4}, {"weight": {"amount": "1.25", "unit": "kg"}, "count": 2}]


def at_a_lane() -> list[dict[str, Any]]:
    """The same at lanes whose plates are known."""
    full = set_to_begin("gym-kg", "set_1")
    assert full is not None
    few = PlateSet.model_validate(full.model_dump() | {"plates": FEW})
    found = []
    for name, plates in (("full", full), ("few", few)):
        for text in ("20.5", "62.7", "72.2", "101.5", "140.5", "262.5", "580.1"):
            args = [text, json.loads(FINE.model_dump_json()), "kg", {}, plates.model_dump(mode="json")]
            expect = answer(text, FINE, "kg", {}, plates)
            found.append({"name": f"{text} at a lane of {name} plates", "call": "typed_load_at", "args": args, "expect": expect})
    return found


def _case(name: str, text: str, task: LiftTask, unit: Any, around: dict[str, str]) -> dict[str, Any]:
    held = {key: load_plain(load_of(value)) for key, value in around.items()}
    args = [text, json.loads(task.model_dump_json(include=TOLD)), unit, held]
    return {"name": name, "call": "typed_load", "args": args, "expect": answer(text, task, unit, held)}
