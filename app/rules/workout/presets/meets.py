"""Presets of a lifting meet: several lifts on one bar that all lanes share, in one of the sport's two ways."""

from dataclasses import replace
from functools import partial

from app.rules.workout.formats import Format, Part, ScoreRule, Task, TieStep
from app.rules.workout.meet.published import published
from app.rules.workout.misload import NAMED
from app.rules.workout.movements import before_referees
from app.rules.workout.presets.building import (
    BAR_KNOBS,
    LIGHTER_KNOB,
    UNIT,
    Turn,
    count_knob,
    field_knob,
    one_after_another,
    rest_knob,
    window_knob,
)
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset
from app.rules.workout.presets.lifting import ATTEMPT_TIME, EACH, EVERY_PART, JUDGES, MISLOAD, each_lift, lift_task, lighter
from app.rules.workout.task_fields import LIFT
from app.rules.workout.tasks import LiftOrder

AGAIN_WHEN = field_knob(LIFT.field("again_when"), "at_once")
FOLLOW = field_knob(LIFT.field("follow_seconds"), "", empty="No longer than others")
WARN = field_knob(LIFT.field("warn_seconds"), "", empty="No warning")
# What both ways of a meet have: three attempts, a minute to begin after the call, three judges (published: see
# tests/outside/test_lifting_rules.py); an hour for a lift and ten minutes between two are common practice.
MEET_KNOBS = (
    count_knob("attempts", "Attempts at each lift", "3", 1, 20),
    window_knob("60:00", "The time for one lift"),
    rest_knob("10:00", "The rest between two lifts"),
    replace(ATTEMPT_TIME, default="60", empty=""),
    replace(JUDGES, default="3"),
    MISLOAD,
    EVERY_PART,
    replace(EACH, default="yes"),
)


def _meet(turned: Turned, order: LiftOrder) -> Format:
    """Several lifts on one bar that all lanes share; a heat is a session, or a flight."""
    rising = order == "lightest"
    follow = turned.count_or_none("follow_seconds") if rising else None
    tasks: dict[str, Task] = {}
    for number, named in enumerate(turned.named("movements"), start=1):
        tasks[f"lift_{number}"] = lift_task(
            turned,
            turned.loadless("movements", named),
            attempts=turned.count("attempts"),
            tries_until_racked=False,
            may_go_down=False,
            step_after_good=turned.load("step") if rising else None,
            order=order,
            counts_when="begun",
            judges=int(turned.choice("judges")),
            attempt_seconds=turned.count("attempt_seconds"),
            follow_seconds=follow,
            warn_seconds=turned.count_or_none("warn_seconds"),
            misload=NAMED[turned.choice("misload")],
            again_when=turned.choice("again_when"),
            **published(order, number == len(turned.named("movements")), turned.count("attempt_seconds"), follow),
        )
    last = len(tasks) - 1
    asked = ("lower_part", "attempt_of_part", "previous_of_part")
    ties = tuple(TieStep(kind=kind, part=last) for kind in asked) if rising else lighter(turned)
    by_attempts = (TieStep(kind="fewer_attempts"), TieStep(kind="previous_attempts"))
    total = ScoreRule(
        name="Total",
        unit=turned.unit,
        parts=tuple(Part(take="best", tasks=(task,)) for task in tasks),
        ties=ties if len(tasks) > 1 or not rising else by_attempts,
        every_part=turned.yes("every_part"),
    )
    of_each = by_attempts if rising else lighter(turned)
    return Format(
        unit=turned.unit,
        movements={key: before_referees(movement) for key, movement in turned.movements.items()},
        tasks=tasks,
        windows=one_after_another([Turn(task, turned.seconds("window"), turned.seconds("rest")) for task in tasks], "movements"),
        scores=(total, *(each_lift(turned, tasks, of_each) if turned.yes("each") else ())),
    )


MEETS: tuple[Preset, ...] = (
    preset(
        "rising_bar",
        "Several lifts on a rising bar",
        "One bar for all lanes, the lightest load first; the best of each lift added up. A heat is a session.",
        (
            Knob("movements", "The lifts in order", "movements", "Snatch\nClean and jerk", lifted=True),
            *MEET_KNOBS,
            replace(AGAIN_WHEN, default="at_once"),
            replace(FOLLOW, default="120"),
            replace(WARN, default="30"),
            UNIT,
            *BAR_KNOBS,
        ),
        partial(_meet, order="lightest"),
    ),
    preset(
        "lifts_in_rounds",
        "Several lifts in rounds",
        "One bar for all lanes: all first attempts from light to heavy, then the second; the best added up. A heat is a flight.",
        (
            Knob("movements", "The lifts in order", "movements", "Back squat\nBench press\nDeadlift", lifted=True),
            *MEET_KNOBS,
            replace(AGAIN_WHEN, default="round_end"),
            replace(WARN, default=""),
            UNIT,
            *BAR_KNOBS,
            LIGHTER_KNOB,
        ),
        partial(_meet, order="rounds"),
    ),
)
