"""Presets with a declared load: as heavy as possible, several lifts, load times repetitions, and a second score beside one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from app.rules.workout.format_fields import SCORE
from app.rules.workout.formats import CountTask, Format, LiftTask, Part, ScoreRule, Task, TieStep
from app.rules.workout.misload import NAMED, POWERLIFTING
from app.rules.workout.presets.building import (
    BAR_KNOBS,
    LIGHTER_KNOB,
    UNIT,
    Turn,
    count_knob,
    field_knob,
    lift_knob,
    load_knob,
    members_knob,
    movement_knob,
    one_after_another,
    rest_knob,
    window_knob,
)
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset
from app.rules.workout.task_fields import LIFT

ATTEMPTS = field_knob(LIFT.field("attempts"), "", empty="As many as time allows")
AGAIN = field_knob(LIFT.field("tries_until_racked"), "yes", "A missed lift may be tried again before the bar is racked")
DOWN = field_knob(LIFT.field("may_go_down"), "yes", "The load may go down between attempts")
BELL = field_knob(LIFT.field("counts_when"), "finished", "At the bell, a lift counts if it is")
JUDGES = field_knob(LIFT.field("judges"), "1", "Who judges a lift")
WRONG = field_knob(LIFT.field("misload"), "published", help="The judge or a loader reports what was really on the bar.")
MISLOAD = replace(WRONG, choices={name: words for name, words in WRONG.choices.items() if name in NAMED})
ATTEMPT_TIME = field_knob(LIFT.field("attempt_seconds"), "", empty="Only the window's time")
EVERY_PART = field_knob(SCORE.field("every_part"), "yes")
EACH = Knob("each", "Rank each lift as well", "yes", "no")
# The library's lifts that begin on the floor; all others begin in a rack.
FROM_THE_FLOOR = frozenset({"deadlift", "clean", "clean_and_jerk", "snatch", "dumbbell_snatch", "kettlebell_swing"})
BAR_USE = {
    "turns": "Each member in their own window",
    "shared": "All in one window, at one bar",
    "each": "All in one window, each at a bar of their own",
}
LIFT_TIES = {
    "share": "Share the place",
    "sooner": "The earlier best lift ranks higher",
    "lighter": "The lighter ranks higher",
    "attempts": "Fewer attempts up to the best lift rank higher",
}
CLIMB_TIES = {**LIFT_TIES, "misses": "Fewer tries at the last load, then fewer misses, rank higher"}


def lift_task(turned: Turned, movement: str, **more: object) -> LiftTask:
    """A lift with the bar knobs, the rule of a published federation for a bar that was loaded wrong, and others by `more`."""
    return LiftTask.model_validate(
        {
            "movement": movement,
            "bar": turned.load("bar"),
            "step": turned.load("step"),
            "least_plate": turned.load("least_plate"),
            "rack": movement not in FROM_THE_FLOOR,
            "misload": POWERLIFTING,
            **more,
        }
    )


def _max_load(turned: Turned) -> Format:
    members, window, rest = turned.count("members"), turned.seconds("window"), turned.seconds("rest")
    task = lift_task(
        turned,
        turned.lift("movement"),
        attempts=turned.count_or_none("attempts"),
        tries_until_racked=turned.yes("tries_until_racked"),
        may_go_down=turned.yes("may_go_down"),
        counts_when=turned.choice("counts_when"),
        bars="each" if turned.choice("use") == "each" else "one",
        attempt_seconds=turned.count_or_none("attempt_seconds"),
        judges=int(turned.choice("judges")),
        misload=NAMED[turned.choice("misload")],
    )
    turns = [Turn("lift", window, rest, (member,)) for member in range(1, members + 1)]
    if members > 1 and turned.choice("use") in ("shared", "each"):
        turns = [Turn("lift", window, who="any")]
    return Format(
        members=members,
        unit=turned.unit,
        movements=turned.movements,
        tasks={"lift": task},
        windows=one_after_another(turns, "members"),
        scores=(
            ScoreRule(
                name="Load",
                unit=turned.unit,
                parts=(Part(take="member_best" if members > 1 else "best", tasks=("lift",)),),
                ties=_lift_ties(turned.choice("ties")),
            ),
        ),
    )


def _growing_load(turned: Turned) -> Format:
    by_window = turned.choice("rises") == "window"
    task = lift_task(
        turned,
        turned.lift("movement"),
        loads=(turned.load("first"),),
        rise=turned.load("rise"),
        rises=turned.choice("rises"),
        misses_out=turned.count_or_none("misses_out"),
    )
    turns = [Turn("lift", turned.seconds("window"), turned.seconds("rest"))] * (turned.count("windows") if by_window else 1)
    score = ScoreRule(
        name="Load", unit=turned.unit, parts=(Part(take="best", tasks=("lift",)),), ties=_lift_ties(turned.choice("ties"))
    )
    return Format(
        unit=turned.unit,
        movements=turned.movements,
        tasks={"lift": task},
        windows=one_after_another(turns, "windows"),
        scores=(score,),
    )


def _lift_ties(how: str) -> tuple[TieStep, ...]:
    match how:
        case "sooner":
            return (TieStep(kind="earlier_best"),)
        case "lighter":
            return (TieStep(kind="bodyweight"), TieStep(kind="earlier_best"))
        case "attempts":
            return (TieStep(kind="fewer_attempts"),)
        case "misses":
            return (TieStep(kind="tries_at_best"), TieStep(kind="fewer_misses"))
        case _:
            return ()


def _lifts_summed(turned: Turned) -> Format:
    tasks: dict[str, Task] = {}
    for number, named in enumerate(turned.named("movements"), start=1):
        tasks[f"lift_{number}"] = lift_task(
            turned,
            turned.loadless("movements", named),
            attempts=turned.count("attempts"),
            tries_until_racked=turned.yes("tries_until_racked"),
            may_go_down=turned.yes("may_go_down"),
        )
    window, rest = turned.seconds("window"), turned.seconds("rest")
    return Format(
        unit=turned.unit,
        movements=turned.movements,
        tasks=tasks,
        windows=one_after_another([Turn(task, window, rest) for task in tasks], "movements"),
        scores=(
            ScoreRule(
                name="Total",
                unit=turned.unit,
                parts=tuple(Part(take="best", tasks=(task,)) for task in tasks),
                ties=lighter(turned),
                every_part=turned.yes("every_part"),
            ),
            *(each_lift(turned, tasks, lighter(turned)) if turned.yes("each") else ()),
        ),
    )


def each_lift(turned: Turned, tasks: Mapping[str, Task], ties: tuple[TieStep, ...]) -> Iterator[ScoreRule]:
    """A score of its own for each of several lifts, beside their total."""
    asked = turned.yes("every_part")
    for number, (key, named) in enumerate(zip(tasks, turned.named("movements"), strict=True), start=1):
        name = turned.movements[turned.loadless("movements", named)].name
        part = Part(take="best", tasks=(key,))
        yield ScoreRule(id=f"lift_{number}", name=name, unit=turned.unit, parts=(part,), ties=ties, every_part=asked)


def lighter(turned: Turned) -> tuple[TieStep, ...]:
    """The lighter ranks higher; of two as light who made the score sooner (published for powerlifting: see tie_steps.py)."""
    return (TieStep(kind="bodyweight"), TieStep(kind="total_first")) if turned.yes("lighter") else ()


def _load_times_reps(turned: Turned) -> Format:
    windows = turned.count("windows")
    task = lift_task(turned, turned.lift("movement"), times_reps=True)
    part = Part(take="sum" if turned.choice("score") == "total" else "best", tasks=("lift",))
    return Format(
        unit=turned.unit,
        movements=turned.movements,
        tasks={"lift": task},
        windows=one_after_another([Turn("lift", turned.seconds("window"), turned.seconds("rest"))] * windows, "windows"),
        scores=(ScoreRule(name="Load times repetitions", unit=turned.unit, parts=(part,)),),
    )


def _two_scores(turned: Turned) -> Format:
    reps, lift = turned.movement("movement"), turned.lift("lift")
    tasks: dict[str, Task] = {
        "reps": CountTask(movement=reps),
        "lift": lift_task(turned, lift),
    }
    turns = [Turn("reps", turned.seconds("window"), turned.seconds("rest")), Turn("lift", turned.seconds("lift_window"))]
    return Format(
        unit=turned.unit,
        movements=turned.movements,
        tasks=tasks,
        windows=one_after_another(turns),
        scores=_apart_or_summed(turned),
    )


def _apart_or_summed(turned: Turned) -> Sequence[ScoreRule]:
    reps, lift = Part(take="sum", tasks=("reps",)), Part(take="best", tasks=("lift",))
    if turned.choice("scores") == "one":
        return (ScoreRule(unit=turned.unit, parts=(reps, lift)),)
    return (
        ScoreRule(id="reps", name="Repetitions", unit="reps", parts=(reps,)),
        ScoreRule(id="lift", name="Lift", unit=turned.unit, parts=(lift,)),
    )


LIFTING: tuple[Preset, ...] = (
    preset(
        "max_load",
        "As heavy as possible",
        "The heaviest good lift before the bell, alone or in a team, with one bar each or a shared bar.",
        (
            lift_knob(),
            window_knob("8:00"),
            ATTEMPTS,
            AGAIN,
            DOWN,
            BELL,
            ATTEMPT_TIME,
            JUDGES,
            MISLOAD,
            UNIT,
            *BAR_KNOBS,
            members_knob("1", 1),
            Knob(
                "use",
                "Bars for a pair or team",
                "choice",
                "turns",
                choices=BAR_USE,
                help="Attempts are per member.",
            ),
            rest_knob("0:30", "Between members"),
            Knob("ties", "Ties", "choice", "share", choices=LIFT_TIES),
        ),
        _max_load,
    ),
    preset(
        "growing_load",
        "A load that grows until a miss",
        "The load grows from lift to lift or window to window; a miss puts you out, and the last good load counts.",
        (
            lift_knob("Deadlift"),
            load_knob("first", "The first load", "70 kg", "150 lb"),
            load_knob("rise", "It grows by", "7.5 kg", "15 lb"),
            field_knob(LIFT.field("rises"), "window"),
            field_knob(LIFT.field("misses_out"), "2", empty="No limit: only the bell puts a lifter out"),
            window_knob("1:15"),
            count_knob("windows", "Windows, if it grows from window to window", "9", 1, 100),
            rest_knob("0:15"),
            Knob("ties", "Ties", "choice", "misses", choices=CLIMB_TIES),
            UNIT,
            *BAR_KNOBS,
        ),
        _growing_load,
    ),
    preset(
        "lifts_summed",
        "Several lifts, summed",
        "The best good lift of each, added up, with a set number of attempts at each.",
        (
            Knob("movements", "The lifts in order", "movements", "Front squat\nBench press\nClean", lifted=True),
            count_knob("attempts", "Attempts at each lift", "4", 1, 20),
            window_knob("10:00", "The time for one lift"),
            rest_knob("6:00", "The rest between two lifts"),
            replace(AGAIN, default="no"),
            replace(DOWN, default="no"),
            EVERY_PART,
            EACH,
            UNIT,
            *BAR_KNOBS,
            LIGHTER_KNOB,
        ),
        _lifts_summed,
    ),
    preset(
        "load_times_reps",
        "Load times repetitions",
        "A declared load, lifted as often as possible: the score is load times repetitions.",
        (
            lift_knob("Deadlift"),
            window_knob("1:30"),
            count_knob("windows", "Windows", "3", 1, 50),
            rest_knob("2:30"),
            Knob(
                "score",
                "What counts",
                "choice",
                "total",
                choices={"total": "The best set of each window, added up", "best": "The best set of all"},
            ),
            UNIT,
            *BAR_KNOBS,
        ),
        _load_times_reps,
    ),
    preset(
        "two_scores",
        "Two scores: repetitions, then a lift",
        "A window of repetitions, then a lift as heavy as possible; ranked separately or added up.",
        (
            movement_knob("Lunges"),
            window_knob("4:00", "The window of repetitions"),
            rest_knob("1:30", "The rest before the lift"),
            lift_knob("Overhead press", key="lift"),
            window_knob("6:00", "The window of the lift", "lift_window"),
            Knob(
                "scores",
                "The two parts",
                "choice",
                "two",
                choices={"two": "Are ranked separately", "one": "Are added up into one score"},
            ),
            UNIT,
            *BAR_KNOBS,
        ),
        _two_scores,
    ),
)
