"""The fields of a lift about what is declared for it: each with its label, its words and its sentence. See workout/fields.py."""

from functools import partial

from app.rules.values.units import both_units
from app.rules.values.words import decimal, say
from app.rules.workout.fields import Field, Group
from app.rules.workout.tasks import LiftTask

LOWER = {
    "any": "any change may lower the load",
    "opener": "only the opener's may lower the load",
    "never": "none may lower the load",
}
FOLDED = "Openers, declarations and changes"
TURN = 16  # behind the rules of the attempt itself


def _due(task: LiftTask, _: int) -> str:
    if task.declare_seconds is None:
        return ""
    step = decimal(both_units(task.auto_step or task.step_after_good or task.step))
    if task.declare_seconds == 0:
        return say("declaring.at_once", step=step)
    return say("declaring.due", seconds=task.declare_seconds, step=step)


def _often(key: str, most: int | None) -> str:
    return "" if most is None else say(f"changes.{key}", n=most) if most else say(f"changes.no_{key}")


def _opener_until(task: LiftTask, _: int) -> str:
    return "" if task.opener_seconds is None else say("changes.opener_until", seconds=task.opener_seconds)


def _left(task: LiftTask, _: int) -> str:
    if task.change_left_seconds is None:
        return ""
    if task.attempt_seconds is not None and task.change_left_seconds >= task.attempt_seconds:
        return say("changes.not_running")
    return say("changes.left", seconds=task.change_left_seconds)


def _again(task: LiftTask, _: int) -> str:
    if task.again_seconds is None:
        return ""
    key = "again_time.less" if task.again_less_seconds else "again_time.all"
    return say(key, seconds=task.again_seconds, less=task.again_less_seconds or 0)


lift = partial(Field, LiftTask, "lift-", turn=TURN)
KNOBS = (
    lift(
        "declare_seconds",
        "Seconds to declare",
        "{}'s seconds to declare the next load",
        "after the attempt, then the rule's load stands; 0: it stands at once; empty: no rule puts one in",
        say=_due,
    ),
    lift("auto_step", "The rule adds", "What the rule adds to {}'s load", "after a good lift; empty: the least increase"),
    lift(
        "opener_changes",
        "Changes of the opener",
        "{}'s changes of the opener",
        "empty: as of any attempt",
        say=lambda task, _: _often("opener", task.opener_changes),
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
        say=lambda task, _: _often("any", task.changes),
    ),
    lift(
        "last_changes",
        "Changes of the last attempt",
        "{}'s changes of the last attempt",
        "empty: as of any attempt",
        say=lambda task, _: _often("last", task.last_changes),
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
        say=lambda task, _: say("changes.follow", seconds=task.follow_left_seconds) if task.follow_left_seconds else "",
    ),
    lift(
        "lower_change",
        "Changes that lower the load",
        "Which changes of {} may lower the load",
        words=LOWER,
        say=lambda task, _: "" if task.lower_change == "any" else say(f"changes.lower_{task.lower_change}"),
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
    say=lambda task, _: say("declaring.bar_rises") if task.bar_rises else "",
)
DECLARING = (Group(KNOBS, folded=FOLDED), Group((RISES,), "ticks", folded=FOLDED))
