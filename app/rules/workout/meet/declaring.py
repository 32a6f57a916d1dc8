"""The fields of a lift about what is declared for it: each with its label, its words and its sentence. See workout/fields.py."""

from typing import Any

from app.rules.values.words import say
from app.rules.workout.fields import Field
from app.rules.workout.growth import both_text
from app.rules.workout.meet.published import from_memory
from app.rules.workout.tasks import LiftTask

LOWER = {
    "any": "any change may lower the load",
    "opener": "only the opener's may lower the load",
    "never": "none may lower the load",
}
TURN = 16  # behind the rules of the attempt itself


def _due(task: LiftTask, _: int) -> str:
    if task.declare_seconds is None:
        return ""
    step = both_text(task.auto_step or task.step_after_good or task.step)
    load = say("the same after a miss, {step} more after a good lift", step=step)
    if task.declare_seconds == 0:
        return say("After each attempt the rule's load stands until another is declared: {load}.", load=load)
    return say(
        "The next load is declared within {seconds} s of the attempt; otherwise the rule's load stands: {load}.",
        seconds=task.declare_seconds,
        load=load,
    )


def _opener(task: LiftTask, _: int) -> str:
    if task.opener_changes is None:
        return ""
    return say("changes.opener", n=task.opener_changes) if task.opener_changes else say("An opener may not be changed.")


def _any(task: LiftTask, _: int) -> str:
    if task.changes is None:
        return ""
    return say("changes.any", n=task.changes) if task.changes else say("A declared load may not be changed.")


def _last(task: LiftTask, _: int) -> str:
    if task.last_changes is None:
        return ""
    none = say("The load of the last attempt may not be changed.")
    return say("changes.last", n=task.last_changes) if task.last_changes else none


def _opener_until(task: LiftTask, _: int) -> str:
    if task.opener_seconds is None:
        return ""
    return say(
        "Openers may be changed until {seconds} s before their lift begins, those of the first lift until GO.",
        seconds=task.opener_seconds,
    )


def _left(task: LiftTask, _: int) -> str:
    if task.change_left_seconds is None:
        return ""
    if task.attempt_seconds is not None and task.change_left_seconds >= task.attempt_seconds:
        return say("Once the attempt's clock runs, its load may not be changed.")
    return say("A change needs {seconds} s left on the attempt's clock.", seconds=task.change_left_seconds)


def _follow(task: LiftTask, _: int) -> str:
    seconds = task.follow_left_seconds
    return say("A lifter who follows their own attempt declares while {seconds} s are left.", seconds=seconds) if seconds else ""


def _lower(task: LiftTask, _: int) -> str:
    if task.lower_change == "opener":
        return say("Only a change of the opener may lower the load.")
    return say("A change may not lower the load.") if task.lower_change == "never" else ""


def _again(task: LiftTask, _: int) -> str:
    seconds, less = task.again_seconds, task.again_less_seconds
    if seconds is None:
        return ""
    if not less:
        return say("A lift repeated because the bar was loaded wrong has {seconds} s more.", seconds=seconds)
    return say(
        "A lift repeated because the bar was loaded wrong has {seconds} s more, {less} s less for each lift in between.",
        seconds=seconds,
        less=less,
    )


def _rises(task: LiftTask, _: int) -> str:
    return say("No load is declared below what the bar was called with before.") if task.bar_rises else ""


def lift(name: str, label: str, called: str, hint: str = "", **more: Any) -> Field:
    """A field of a lift; its hint says where the presets' own value is from memory."""
    return Field(LiftTask, "lift-", name, label, called, f"{hint}{from_memory(name)}".removeprefix("; "), turn=TURN, **more)


KNOBS = (
    lift(
        "declare_seconds",
        "Seconds to declare",
        "{}'s seconds to declare the next load",
        "after the attempt, then the rule's load stands; 0: it stands at once; empty: no rule puts one in",
        say=_due,
    ),
    lift("auto_step", "The rule adds", "What the rule adds to {}'s load", "after a good lift; empty: the smallest increase"),
    lift(
        "opener_changes",
        "Changes of the opener",
        "{}'s changes of the opener",
        "empty: as of any attempt",
        say=_opener,
    ),
    lift(
        "opener_seconds",
        "Openers until",
        "{}'s seconds before the lift until which openers change",
        "seconds before the lift begins; of the first lift GO at the latest; empty: no limit",
        say=_opener_until,
    ),
    lift(
        "changes",
        "Changes of an attempt",
        "{}'s changes of an attempt",
        "empty: as often as one likes",
        say=_any,
    ),
    lift(
        "last_changes",
        "Changes of the last attempt",
        "{}'s changes of the last attempt",
        "empty: as of any attempt",
        say=_last,
    ),
    lift(
        "change_left_seconds",
        "A change needs",
        "{}'s seconds that a change needs",
        "seconds left on the attempt's clock; empty: no limit",
        say=_left,
    ),
    lift(
        "follow_left_seconds",
        "Following oneself, the first word needs",
        "{}'s seconds that the first word of who follows themselves needs",
        "seconds left on that clock; empty: as a change",
        say=_follow,
    ),
    lift(
        "lower_change",
        "Changes that lower the load",
        "Which changes of {} may lower the load",
        words=LOWER,
        say=_lower,
    ),
    lift(
        "again_seconds",
        "More time after a wrong load",
        "{}'s seconds more for an attempt that is made again",
        "seconds, for who lifted last; empty: none",
        say=_again,
    ),
    lift(
        "again_less_seconds",
        "Less of it for each lift between",
        "What {}'s seconds more are less by for each lift between",
        "seconds; empty: none",
    ),
)
RISES = lift(
    "bar_rises",
    "No load is declared below what the bar was called with",
    "",
    say=_rises,
)
DECLARING = (*KNOBS, RISES)
