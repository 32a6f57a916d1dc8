"""Faults under a key that several movements use: named by the movement that was judged."""

import json
from collections.abc import Callable
from itertools import product
from typing import Any

from app.rules.workout.faults import fault_name
from app.rules.workout.formats import CountTask, Format, ListTask, Part, ScoreRule, Window, WorkItem
from app.rules.workout.movements import movement

USED = ("overhead_press", "back_squat", "push_up")


def several() -> Format:
    """Presses, squats, then a list of both: each has a fault `lockout` of its own."""
    work = (WorkItem(movement="overhead_press", reps=5), WorkItem(movement="back_squat", reps=5))
    tasks = {
        "press": CountTask(movement="overhead_press"),
        "squat": CountTask(movement="back_squat"),
        "both": ListTask(items=work),
    }
    return Format(
        movements={key: movement(key) for key in USED},
        tasks=tasks,
        windows=(*(Window(start=60 * i, seconds=60, task=key) for i, key in enumerate(tasks)), Window(start=180, seconds=60)),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=tuple(tasks)),)),),
    )


def cases() -> list[dict[str, Any]]:
    """Every window (and none) with every movement (and none), for some keys."""
    format = several()
    plain = json.loads(format.model_dump_json())
    asked = product((None, 0, 1, 2, 3, 9), ("lockout", "depth", "sagged", "nothing", None), (None, *USED, "elsewhere"))
    return [
        {
            "name": f"fault {key} in window {win} of {of}",
            "call": "fault_name",
            "args": [plain, win, key, of],
            "expect": fault_name(format, win, key, of),
        }
        for win, key, of in asked
    ]


CALLS: dict[str, Callable[..., Any]] = {
    "fault_name": lambda format, win, key, of: fault_name(Format.model_validate(format), win, key, of),
}
