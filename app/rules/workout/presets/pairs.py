"""The mirrored pair: A does three things in one order, B after in the reverse. Common practice, no source."""

from collections.abc import Mapping, Sequence

from app.rules.values.units import LoadUnit
from app.rules.workout.formats import CountTask, Format, LiftTask, Part, ScoreRule, Task, Window
from app.rules.workout.misload import POWERLIFTING
from app.rules.workout.presets.building import BAR_KNOBS, HOUR, UNIT, lift_knob, movement_knob, rest_knob
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset
from app.rules.workout.tasks import Movement


def _mirrored(
    unit: LoadUnit, movements: Mapping[str, Movement], tasks: Mapping[str, Task], seconds: tuple[int, int, int]
) -> Format:
    """A does the tasks in order, B in the reverse. `seconds`: of a window, of a rest, between the members."""
    turns = [(1, task) for task in tasks] + [(2, task) for task in reversed(list(tasks))]
    parts = [Part(take="member_best" if isinstance(task, LiftTask) else "sum", tasks=(key,)) for key, task in tasks.items()]
    return Format(
        members=2,
        unit=unit,
        early_ms=0,
        movements=dict(movements),
        tasks=dict(tasks),
        windows=_windows(turns, *seconds),
        scores=(ScoreRule(unit=unit, parts=tuple(parts)),),
    )


def _windows(turns: Sequence[tuple[int, str]], work: int, rest: int, change: int) -> tuple[Window, ...]:
    """Windows one after another: `rest` seconds between two of one member, `change` between two members."""
    windows: list[Window] = []
    start = 0
    before: int | None = None
    for member, task in turns:
        pause = 0 if before is None else rest if before == member else change
        if pause:
            windows.append(Window(start=start, seconds=pause))
            start += pause
        windows.append(Window(start=start, seconds=work, task=task, who=(member,)))
        start += work
        before = member
    return tuple(windows)


def _mirrored_pair(turned: Turned) -> Format:
    first, second, lift = turned.movement("first"), turned.movement("second"), turned.lift("lift")
    tasks: dict[str, Task] = {
        "first": CountTask(movement=first),
        "second": CountTask(movement=second),
        "lift": LiftTask(
            movement=lift,
            bar=turned.load("bar"),
            step=turned.load("step"),
            least_plate=turned.load("least_plate"),
            misload=POWERLIFTING,
        ),
    }
    seconds = turned.seconds("window"), turned.seconds("rest"), turned.seconds("change")
    return _mirrored(turned.unit, turned.movements, tasks, seconds)


PAIRS: tuple[Preset, ...] = (
    preset(
        "mirrored_pair",
        "Mirrored pair",
        "A does two movements and a lift with rests between, then B does them in reverse order; everything is added up.",
        (
            movement_knob("Step-ups", "First", "first"),
            movement_knob("Sit-ups", "Second", "second"),
            lift_knob("Overhead press", "Third, a lift", "lift"),
            Knob("window", "The length of a window", "minutes", "2:45", low=1, high=HOUR),
            rest_knob("1:15"),
            rest_knob("0:45", "Between the members", "change"),
            UNIT,
            *BAR_KNOBS,
        ),
        _mirrored_pair,
    ),
)
