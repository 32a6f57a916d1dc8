"""An event out of which a miss puts: a count, a list with an end and a list without one, by turns."""

import random
from collections.abc import Iterator
from typing import Any

from app.rules.workout.formats import CountTask, Format, ListTask, Part, ScoreRule, Window
from tests.builders.cast import MOVES, WORK, Sheet

ASKED = (3, 13, None, 3, 13)  # taps, window by window; None: again until the bell


def an_event(*, out: bool = True) -> Format:
    """Five windows of a minute: three swings, a list of thirteen taps worth seventeen, rounds until the bell, and the first two
    again."""
    tasks = {
        "count": CountTask(movement="swing", target=3),
        "list": ListTask(items=WORK),
        "rounds": ListTask(items=WORK, rounds=None),
    }
    order = ("count", "list", "rounds", "count", "list")
    return Format(
        movements=MOVES,
        tasks=tasks,
        windows=tuple(Window(start=60 * at, seconds=60, task=task, who=(1,)) for at, task in enumerate(order)),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=tuple(tasks)),)),),
        miss_puts_out=out,
    )


def taps(sheet: Sheet, done: tuple[int, ...]) -> list[dict[str, Any]]:
    """So many repetitions in each window, half a second apart."""
    return [sheet.rep(60_000 * at + 500 * n) for at, number in enumerate(done) for n in range(1, number + 1)]


def sheets() -> Iterator[tuple[str, Format, list[dict[str, Any]]]]:
    """Named sheets, then such with any number of taps."""
    event = an_event()
    for name, done in {
        "nothing is missed": (3, 13, 20, 3, 13),
        "a count is missed, and all later windows with it": (2, 13, 20, 3, 13),
        "a list is missed by one": (3, 12, 20, 3, 13),
        "who is beyond a target misses nothing": (5, 14, 0, 4, 13),
        "rounds until the bell ask for nothing": (3, 13, 1, 3, 5),
    }.items():
        yield f"out of an event: {name}", event, taps(Sheet(), done)
    last = {"list": ListTask(items=(*WORK, WORK[0].model_copy(update={"worth": 0})))}
    idle = event.model_copy(update={"tasks": event.tasks | last})
    yield "out of an event: what does not count of a list is missed", idle, taps(Sheet(), (3, 15, 20, 3, 16))
    yield "out of an event: what does not count of a list is done", idle, taps(Sheet(), (3, 16, 20, 3, 16))
    sheet = Sheet()
    yield "out of an event: finished, and out before", event, [*taps(sheet, (2, 13)), sheet.mark("finish", 70_000)]
    yield "an event that puts nobody out", an_event(out=False), taps(Sheet(), (2, 12, 20, 3, 13))
    chance = random.Random(26)
    for number in range(12):
        done = tuple(_near(chance, asked) for asked in ASKED)
        yield f"out of an event, {number}", event, taps(Sheet(), done)


def _near(chance: random.Random, asked: int | None) -> int:
    return max(0, (9 if asked is None else asked) + chance.choice((-2, -1, 0, 0, 0, 0, 1)))
