"""Presets that count one movement at a time: in windows, every minute, up a ladder."""

from app.rules.workout.formats import CountTask, Format, ListTask, Part, ScoreRule, Task, WorkItem
from app.rules.workout.presets.building import (
    TIE_KNOB,
    UNIT,
    Turn,
    count_knob,
    field_knob,
    movement_knob,
    one_after_another,
    rest_knob,
    window_knob,
    work_done,
)
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset
from app.rules.workout.task_fields import COUNT
from app.rules.workout.tasks import FASTEST_TAPS, MOST_TAPS
from app.rules.workout.written_work import MOST_LINES

WINDOW_SCORES = {
    "total": "All windows added up",
    "best": "The best window",
    "lowest": "The lowest window",
    "drop": "All but the lowest window, added up",
}


def _window_score(how: str, task: str, windows: int) -> ScoreRule:
    tasks = (task,)
    match how:
        case "best":
            part = Part(take="best", tasks=tasks)
        case "lowest":
            part = Part(take="worst", tasks=tasks)
        case "drop":
            part = Part(take="sum", tasks=tasks, drop=min(1, windows - 1))
        case _:
            part = Part(take="sum", tasks=tasks)
    return ScoreRule(name="Repetitions", unit="reps", parts=(part,))


def _most_reps(turned: Turned) -> Format:
    windows, turn = turned.count("windows"), Turn("work", turned.seconds("window"), turned.seconds("rest"))
    return Format(
        unit=turned.unit,
        tasks={"work": CountTask(movement=turned.movement("movement"))},
        movements=turned.movements,
        windows=one_after_another([turn] * windows, "windows"),
        scores=(_window_score(turned.choice("score"), "work", windows),),
    )


def _stations(turned: Turned) -> Format:
    keys = [turned.counted(named) for named in turned.named("movements")]
    tasks: dict[str, Task] = {f"station_{n}": CountTask(movement=key) for n, key in enumerate(keys, start=1)}
    window, rest = turned.seconds("window"), turned.seconds("rest")
    turns = [Turn(task, window, rest) for task in tasks] * turned.count("rounds")
    return Format(
        unit=turned.unit,
        tasks=tasks,
        movements=turned.movements,
        windows=one_after_another(turns, "rounds"),
        scores=(ScoreRule(name="Repetitions", unit="reps", parts=tuple(Part(take="sum", tasks=(task,)) for task in tasks)),),
    )


def _every_minute(turned: Turned) -> Format:
    task = CountTask(
        movement=turned.movement("movement"),
        target=turned.count("reps"),
        grows=turned.count("more"),
        miss_puts_out=turned.yes("miss_puts_out"),
    )
    return Format(
        unit=turned.unit,
        tasks={"work": task},
        movements=turned.movements,
        windows=one_after_another([Turn("work", turned.seconds("window"))] * turned.count("windows"), "windows"),
        scores=(work_done(turned, "work"),),
    )


def _rep_ladder(turned: Turned) -> Format:
    movements = turned.named("movements")
    first, more, seconds = turned.count("first"), turned.count("more"), turned.seconds("window")
    items: list[WorkItem] = []
    taps, reps = 0, first
    # It is written out as far as the window could let anybody climb.
    most, each = min(seconds * FASTEST_TAPS, MOST_TAPS), len(movements)
    while taps + reps * each <= most and len(items) + each <= MOST_LINES:
        items += [turned.item(named, reps) for named in movements]
        taps, reps = taps + reps * each, reps + more
    if not items:
        turned.refuse("first", "is more than anybody can do before the bell")
    return Format(
        unit=turned.unit,
        tasks={"work": ListTask(items=tuple(items))},
        movements=turned.movements,
        windows=one_after_another([Turn("work", seconds)], "window"),
        scores=(work_done(turned, "work"),),
    )


def _minutes_knobs(movement: str, reps: str, more: str, windows: str) -> tuple[Knob, ...]:
    return (
        movement_knob(movement),
        count_knob("reps", "Repetitions in the first window", reps, 1, 10_000),
        count_knob("more", "More in each later window", more, 0, 1000),
        window_knob("1:00", "A new window every"),
        count_knob("windows", "Windows", windows, 1, 200),
        field_knob(
            COUNT.field("miss_puts_out"), "yes", "A missed window puts the entry out", help="Work after a miss does not count."
        ),
        TIE_KNOB,
        UNIT,
    )


COUNTING: tuple[Preset, ...] = (
    preset(
        "most_reps",
        "As many repetitions as possible",
        "One movement in one window, or in several with rests between.",
        (
            movement_knob("Step-ups"),
            window_knob("3:30"),
            count_knob("windows", "Windows", "1", 1, 100),
            rest_knob("1:30"),
            Knob("score", "What counts", "choice", "total", choices=WINDOW_SCORES),
            UNIT,
        ),
        _most_reps,
    ),
    preset(
        "stations",
        "Stations",
        "One movement after another, each in its own window, round after round; all repetitions are added up.",
        (
            Knob("movements", "The movements in order", "movements", "Step-ups\nSit-ups\nKettlebell swings"),
            window_knob("0:50"),
            rest_knob("0:20"),
            count_knob("rounds", "Rounds", "4", 1, 50),
            UNIT,
        ),
        _stations,
    ),
    preset(
        "every_minute",
        "Every minute, a number of repetitions",
        "A set number in each window; whoever is done rests until the next. A miss puts you out.",
        _minutes_knobs("Lunges", "14", "0", "12"),
        _every_minute,
    ),
    preset(
        "one_more",
        "One more each minute, until failure",
        "A few in the first window, one more in each later one; a miss puts you out.",
        _minutes_knobs("Sit-ups", "8", "1", "25"),
        _every_minute,
    ),
    preset(
        "rep_ladder",
        "Ladder of repetitions",
        "A few of each, then more of each, rung by rung until the bell.",
        (
            Knob(
                "movements",
                "The movements in order",
                "movements",
                "Kettlebell swings\nLunges",
                help="With loads: swings 24 kg.",
            ),
            count_knob("first", "Repetitions on the first rung", "5", 1, 1000),
            count_knob("more", "More on each later rung", "3", 0, 1000),
            window_knob("6:00"),
            UNIT,
            TIE_KNOB,
        ),
        _rep_ladder,
    ),
)
