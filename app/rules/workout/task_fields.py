"""The fields of tasks, each declared once. Another field is a line in its model and a line here.

The form, what is read from it and an event in plain words follow; see fields.py.
"""

from collections.abc import Mapping
from functools import partial
from typing import Any

from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.fields import Declared, Field, Group, by_subject
from app.rules.workout.growth import (
    GROWTH,
    after_good_text,
    attempts_text,
    bars_text,
    both_text,
    collars_text,
    decided_text,
    follows_text,
    in_time_text,
    order_text,
    record_text,
    tries_text,
)
from app.rules.workout.meet.declaring import DECLARING
from app.rules.workout.misload import AGAIN, AT_ROUND_END, MISLOAD_CASES, MISLOADS
from app.rules.workout.tasks import CountTask, LiftTask, ListTask, MeasureTask

KINDS = {"count": "count repetitions", "lift": "lift a load", "list": "finish a list of work", "measure": "measure a number"}


def _target(task: CountTask, movement: str) -> str:
    return say("{movement}, as many as possible", movement=movement) if task.target is None else f"{task.target} {movement}"


def _grows(task: CountTask, _: str) -> str:
    return say(", {more} more in each window", more=task.grows) if task.target and task.grows else ""


def _puts_out(task: CountTask, _: str) -> str:
    return say("; whoever misses it is out") if task.target and task.miss_puts_out else ""


def _how_heavy(task: LiftTask, _: str) -> str:
    return say("a load as often as possible, load times repetitions" if task.times_reps else "as heavy as possible")


def _between_steps(task: MeasureTask, _: int) -> str:
    taken = say("down to the lower one" if task.rounding == "down" else "to the nearest, halves away from zero")
    step = decimal(decimal_text(task.step, 6))
    return say("A number between two steps of {step} {unit} is taken {taken}.", step=step, unit=task.unit, taken=taken)


def _short_following(values: Mapping[str, Any]) -> str:
    """Who follows themselves has at least as long as others, and there is nothing to lengthen where no time is limited."""
    seconds, follows = values["attempt_seconds"], values["follow_seconds"]
    if follows is None or (seconds is not None and follows >= seconds):
        return ""
    told = "the time of an attempt is not limited" if seconds is None else f"an attempt has {seconds} s"
    return f"{{}}'s time for a lifter who follows their own attempt is at least that of an attempt; {told}."


def _late_warning(values: Mapping[str, Any]) -> str:
    """The warning comes before the time of an attempt is over; where that is not limited, there is nothing to warn of."""
    seconds, warning = values["attempt_seconds"], values["warn_seconds"]
    if warning is None or (seconds is not None and warning < seconds):
        return ""
    told = "the time of an attempt is not limited" if seconds is None else f"an attempt has {seconds} s"
    return f"{{}}'s warning comes before the time of an attempt is over; {told}."


count = partial(Field, CountTask, "count-")
COUNT = Declared(
    CountTask,
    (
        Group(
            (
                count("target", "Target", "{}'s target", "repetitions; empty for none", piece=_target),
                count("grows", "Grows by", "What {}'s target grows by", "from window to window", piece=_grows),
                count("miss_puts_out", "Missing the target puts the entry out", "", piece=_puts_out),
            )
        ),
    ),
    "{target}{grows}{miss_puts_out}",
)

SAID = (
    "As it is said: 21 swings 24 kg, 400 m run, 20 cal row. “A:” before a line says who, “(each side)” behind it is a note, "
    "“= 0” that it is done and does not count. "
    "A movement that is new here is added below."
)
work = partial(Field, ListTask, "list-")
LIST = Declared(
    ListTask,
    (
        Group(
            (
                work("items", "The work, one thing per line", "{}", SAID, typed="own", rows=6),
                work("rounds", "Rounds", "{}'s number of rounds", "empty: again until the bell"),
            )
        ),
    ),
)

COUNTS = {"finished": "finished before the bell", "begun": "begun before the bell"}
BARS = {"one": "one bar for all", "each": "a bar for each member"}
ORDERS = {
    "lanes": "each lane by itself",
    "lightest": "all share a bar, the lightest first",
    "rounds": "all share a bar, in rounds from light to heavy",
}
TIME_FROM = {"free": "the bar being free; at a shared bar, the call", "called": "the call, once the bar is ready"}
JUDGES = {"1": "the lane's judge", "3": "three judges, two of three"}
lift = partial(Field, LiftTask, "lift-")
CREW = (
    lift(
        "spotters",
        "Spotters at the bar",
        "{}'s number of spotters",
        "counted before every attempt; empty: not said",
        say=lambda task, _: say("crew.spotters", n=task.spotters) if task.spotters else "",
        turn=16,
    ),
    lift(
        "loaders",
        "Loaders",
        "{}'s number of loaders",
        "who change the plates; empty: not said",
        say=lambda task, _: say("crew.loaders", n=task.loaders) if task.loaders else "",
        turn=16,
    ),
)
LIFT_KNOBS = (
    lift("bar", "Empty bar", "{}'s bar"),
    lift("collars", "Both collars", "{}'s collars (both together)", "empty for none", say=collars_text, turn=7),
    lift(
        "step",
        "Smallest step",
        "{}'s step from load to load",
        "from load to load",
        say=lambda task, _: say("Loads go in steps of {step}.", step=both_text(task.step)),
        turn=3,
    ),
    lift("least_plate", "Smallest plate", "{}'s smallest plate", "on each side"),
    lift(
        "step_after_good",
        "Smallest increase",
        "{}'s smallest increase after a good lift",
        "after a good lift; empty for none",
        say=after_good_text,
        turn=4,
    ),
    lift(
        "record_step",
        "Record step",
        "{}'s step of a record attempt",
        "of a record attempt; empty for none",
        say=record_text,
        turn=5,
    ),
    *GROWTH,
    lift(
        "attempts",
        "Attempts",
        "{}'s number of attempts",
        "of each member; empty: as many as time allows",
        say=attempts_text,
        turn=1,
        piece=lambda task, _: say("attempts", n=task.attempts) if task.attempts else say("as many attempts as time allows"),
    ),
    lift(
        "misses_out",
        "Out after misses in a row",
        "{}'s misses in a row that put a lifter out",
        "empty: no limit",
        say=lambda task, _: say("misses_out", n=task.misses_out) if task.misses_out else "",
        turn=2,
    ),
    lift(
        "attempt_seconds",
        "Seconds for an attempt",
        "{}'s seconds for an attempt",
        "to the bar leaving its rack; empty for no limit",
        say=in_time_text,
        turn=12,
    ),
    lift("attempt_from", "That time runs from", "From when {}'s time of an attempt runs", words=TIME_FROM),
    lift(
        "follow_seconds",
        "Seconds after their own attempt",
        "{}'s seconds for a lifter who follows their own attempt",
        "at one bar; empty: the same as others",
        odd=_short_following,
        say=follows_text,
        turn=12,
    ),
    lift(
        "warn_seconds",
        "Warning",
        "{}'s warning, in seconds before the time is over,",
        "seconds before that time is over",
        odd=_late_warning,
    ),
    lift(
        "counts_when",
        "A lift counts when",
        "When a lift of {} counts",
        words=COUNTS,
        say=lambda task, _: say("A lift counts if it is {when}.", when=known(COUNTS[task.counts_when])),
        turn=13,
    ),
    lift(
        "decide_seconds",
        "Latest decision",
        "{}'s seconds to decide a lift that was begun",
        "seconds after the bell, if it counts when begun; empty: no limit",
        say=decided_text,
        turn=13,
    ),
    lift("bars", "Bars", "The bars of {}", words=BARS, say=bars_text, turn=10),
    lift("order", "Lanes lift", "Who lifts first in {}", words=ORDERS, say=order_text, turn=11),
    lift(
        "again_when",
        "After a wrong load, again",
        "When a lift of {} is made again",
        words=AGAIN,
        say=lambda task, _: known(AT_ROUND_END) if task.again_when == "round_end" else "",
        turn=15,
    ),
    lift(
        "judges",
        "Who decides",
        "Who decides a lift of {}",
        words=JUDGES,
        say=lambda task, _: say("Three judges decide, two of three.") if task.judges == 3 else "",
        turn=14,
    ),
    *CREW,
    lift(
        "misload",
        "If the bar was loaded wrong",
        "{}'s rule for a bar that was loaded wrong",
        words=MISLOADS,
        typed="own",
        fresh="published",
    ),
)
LIFT_TICKS = (
    lift("tries_until_racked", "Another try under one declaration until the bar is racked", "", say=tries_text, turn=2),
    lift(
        "may_go_down",
        "The load may go down",
        "",
        say=lambda task, _: "" if task.may_go_down else say("A load may not be lighter than one the lifter has already tried."),
        turn=6,
    ),
    lift(
        "times_reps",
        "Load times repetitions",
        "",
        say=lambda task, _: say("A lift is worth its load times its repetitions.") if task.times_reps else "",
        turn=8,
        piece=_how_heavy,
    ),
    lift(
        "rack",
        "The bar starts in a rack",
        "",
        say=lambda task, _: say("The bar starts in a rack." if task.rack else "The bar starts on the floor."),
        turn=9,
    ),
    lift("collars_counted", "A declared load includes the collars", ""),
)
# What is not set for every lift, by what it is about; a field that stands in none of these is always in sight.
LIFT_SUBJECTS = {
    "Bar, plates and steps": (
        "collars", "collars_counted", "least_plate", "step_after_good", "record_step", "may_go_down", "rack", "bars"
    ),
    "A load that grows": ("loads", "rise", "rises"),
    "Tries, and the time for one": (
        "misses_out", "tries_until_racked", "attempt_seconds", "attempt_from", "follow_seconds", "warn_seconds"
    ),
    "Openers, declarations and changes": tuple(one.name for one in DECLARING),
    "What counts, and who decides": ("counts_when", "decide_seconds", "times_reps", "judges"),
    "Spotters and loaders": ("spotters", "loaders"),
    "A bar loaded wrong": ("again_when", "misload", *(one.name for one in MISLOAD_CASES)),
}  # fmt: skip
LIFT = Declared(
    LiftTask,
    by_subject((*LIFT_KNOBS, *LIFT_TICKS, *DECLARING, *MISLOAD_CASES), LIFT_SUBJECTS),
    "{movement}, {times_reps}, {attempts}",
)

BETWEEN = {"down": "down to the lower", "nearest": "to the nearest"}
KEEPS = {"last": "the last", "best": "the greatest", "least": "the least", "sum": "their sum"}
measure = partial(Field, MeasureTask, "measure-")
MEASURE = Declared(
    MeasureTask,
    (
        Group(
            (
                measure("unit", "Unit", "{}'s unit", piece=lambda task, _: say("measured in {unit}", unit=task.unit)),
                measure("step", "Smallest step", "{}'s smallest step"),
                measure(
                    "rounding", "Between two steps", "{}: a number between two steps", words=BETWEEN, say=_between_steps, turn=1
                ),
                measure("low", "Lowest", "{}'s lowest value"),
                measure("high", "Highest", "{}'s highest value"),
                measure("keep", "Of several values", "Which of several values of {} counts", words=KEEPS),
            )
        ),
    ),
    "{movement}, {unit}",
)

TASKS: Mapping[str, Declared] = {"count": COUNT, "list": LIST, "lift": LIFT, "measure": MEASURE}
