"""Whose turn it is: who may work in each window, whose each line of a list is, where a declaration made now belongs."""

import json
from typing import Any

from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, Part, ScoreRule, Window, WorkItem
from app.rules.workout.tasks import Who
from app.rules.workout.turns import members_in, named_in, sharers
from tests.builders.cast import FORMATS, MOVES, a_lift_task
from tests.vectors.preset_scenes import formats

LINES: tuple[Who | None, ...] = (None, "all", "any", (1,), (2,), (1, 2), (3,))
WHO: tuple[Who, ...] = ("all", "any", (2,), (3, 1))
EDGES_MS = (-1, 0, 1)


def turns() -> Format:
    """Three of whom some lift, do a list or count in each kind of window; the last comes before the first by the clock."""
    list_ = ListTask(items=tuple(WorkItem(movement="swing", reps=3, who=who) for who in LINES))
    tasks = {"lift": a_lift_task(), "list": list_, "count": CountTask(movement="swing")}
    windows = [(task, who) for task in tasks for who in WHO] + [(None, "any"), ("lift", (1,))]
    starts = [200 + 20 * n for n in range(len(windows) - 1)] + [100]
    return FORMATS["pair"].model_copy(
        update={
            "members": 3,
            "movements": MOVES,
            "tasks": tasks,
            "scores": (ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("count",)),)),),
            "windows": tuple(
                Window.model_validate({"start": start, "seconds": 30, "task": task, "who": who})
                for start, (task, who) in zip(starts, windows, strict=True)
            ),
        }
    )


def who_works(format: Format) -> list[Any]:
    """For each window who may work there and among whom each mark must say whose it is; the same for each line of its list."""
    told: list[Any] = []
    for window in format.windows:
        task = format.tasks.get(window.task or "")
        items = task.items if isinstance(task, ListTask) else ()
        lines = [[list(sharers(format, window, item)), named_in(format, window, item)] for item in items]
        told.append([list(members_in(format, window)), list(sharers(format, window)), lines])
    return told


def declares_in(format: Format, member: int, ms: int | None) -> int | None:
    """What a tablet works out: a member's lift window that is open at a moment, or opens next; any, before a GO is known."""
    theirs = [
        (window.start_ms, index)
        for index, window in enumerate(format.windows)
        if isinstance(format.tasks.get(window.task or ""), LiftTask) and member in members_in(format, window)
    ]
    open_still = [index for _, index in sorted(theirs) if ms is None or ms < format.windows[index].end_ms]
    return open_still[0] if open_still else None


def _moments(format: Format) -> list[int | None]:
    bells = {edge + by for window in format.windows for edge in (window.start_ms, window.end_ms) for by in EDGES_MS}
    return [None, -5_000, *sorted(bells)]


def cases() -> list[dict[str, Any]]:
    """Every format that there is in small, and one of every way to share."""
    made: list[dict[str, Any]] = []
    for name, format in {**FORMATS, **formats(), "turns": turns()}.items():
        plain = json.loads(format.model_dump_json())
        made.append({"name": f"who works: {name}", "call": "who_works", "args": [plain], "expect": who_works(format)})
    format, times = turns(), _moments(turns())
    plain = json.loads(format.model_dump_json())
    for member in (1, 2, 3):
        expect = [declares_in(format, member, ms) for ms in times]
        made.append({"name": f"where {member} declares", "call": "declares_in", "args": [plain, member, times], "expect": expect})
    return made


CALLS = {
    "who_works": lambda format: who_works(Format.model_validate(format)),
    "declares_in": lambda format, member, times: [declares_in(Format.model_validate(format), member, ms) for ms in times],
}
