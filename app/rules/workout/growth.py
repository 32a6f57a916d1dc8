"""How a load grows, and the rules of attempts: sentences that are written for people, those of them that are read back, and the
fields of a load that grows on the form."""

import re
from dataclasses import dataclass
from functools import partial
from typing import Any

from app.rules.values.units import BadMeasure, Load, LoadUnit, both_units, parse_load, parse_loads
from app.rules.values.words import decimal, known, say
from app.rules.workout.fields import Field
from app.rules.workout.tasks import LiftTask

RISES = {"lift": "after each good lift", "window": "from window to window"}
READ = re.compile(
    r"the (?:load|bar) grows (?:(?P<lift>after (?:each|every) (?:good )?lift)|from window to window|(?:each|every) window)"
    r"(?: from|:) (?P<loads>.+?)(?:,? (?:then )?by (?P<rise>\d+(?:[.,]\d+)? ?[a-z]*)(?: more)?(?: each)?)?"
    r"\.?",
    re.IGNORECASE,
)


def growth_text(task: LiftTask) -> str:
    """`The load grows from window to window: 60 kg, 70 kg, then by 5 kg.` Empty where it does not grow."""
    if not task.loads:
        return ""
    beyond = say(", then by {load}", load=decimal(task.rise.text())) if task.rise else ""
    return say(
        "The load grows {what}: {these}{beyond}.",
        what=known(RISES[task.rises]),
        these=", ".join(decimal(load.text()) for load in task.loads),
        beyond=beyond,
    )


def out_text(task: LiftTask) -> str:
    """What puts a lifter out beside misses, and what that means; empty where nothing does."""
    if not task.loads or (task.rises == "lift" and task.misses_out is None):
        return ""
    whole = say("Whoever has not lifted the load of a window by its bell is out. ") if task.rises == "window" else ""
    return say("{whole}What is lifted after being out does not count.", whole=whole)


def attempts_text(task: LiftTask, members: int) -> str:
    """How many attempts there are."""
    if task.attempts is None:
        return say("Attempts are limited only by time.")
    return say("attempts_each" if members > 1 else "attempts_there", n=task.attempts)


def tries_text(task: LiftTask, _: int) -> str:
    """Whether a missed lift may be tried again."""
    if not task.tries_until_racked:
        return say("Each declared load allows one try.")
    return say(
        "A missed lift may be tried again until the bar is racked."
        if task.rack
        else "A missed lift may be tried again until the bar is down."
    )


def after_good_text(task: LiftTask, _: int) -> str:
    """The least increase after a good lift."""
    least = task.step_after_good
    return say("After a good lift the next load is heavier by {least} at least.", least=both_text(least)) if least else ""


def record_text(task: LiftTask, _: int) -> str:
    """The step of a record attempt."""
    step = task.record_step
    return say("A declared record attempt may go in steps of {step}.", step=both_text(step)) if step else ""


def collars_text(task: LiftTask, _: int) -> str:
    """Whether a declared load includes the collars."""
    if task.collars is None:
        return ""
    return say(
        "A declared load includes the collars, {collars} together."
        if task.collars_counted
        else "A declared load does not include the collars, {collars} together.",
        collars=both_text(task.collars),
    )


def bars_text(task: LiftTask, members: int) -> str:
    """Whose bar it is, where an entry has several members."""
    if members == 1:
        return ""
    return say("Each member has a bar." if task.bars == "each" else "There is one bar, for one lifter at a time.")


def order_text(task: LiftTask, _: int) -> str:
    """In which order lanes lift that share a bar."""
    return "" if task.order == "lanes" else say(f"lift_order.{task.order}")


def in_time_text(task: LiftTask, _: int) -> str:
    """By when an attempt begins."""
    if task.attempt_seconds is None:
        return ""
    return say(
        "The bar must leave the rack within {seconds} s of {since}{warning}."
        if task.rack
        else "The bar must leave the floor within {seconds} s of {since}{warning}.",
        seconds=task.attempt_seconds,
        since=say("the call, once the bar is ready" if task.by_call else "being free"),
        warning=say(", with a warning {seconds} s before", seconds=task.warn_seconds) if task.warn_seconds else "",
    )


def follows_text(task: LiftTask, _: int) -> str:
    """How long a lifter has who follows their own attempt."""
    if task.follow_seconds is None or task.follow_seconds == task.attempt_seconds:
        return ""
    return say("A lifter who follows their own attempt has {seconds} s.", seconds=task.follow_seconds)


def decided_text(task: LiftTask, _: int) -> str:
    """How long after the bell a lift that was begun in time may be decided."""
    if task.counts_when != "begun":
        return ""
    until = say("however long") if task.decide_seconds is None else say("up to {seconds} s", seconds=task.decide_seconds)
    return say("The judge says whether it began in time; it may be decided {until} after the bell, or after a hold.", until=until)


def both_text(load: Load) -> str:
    """A load in both units as people read it."""
    return decimal(both_units(load))


lift = partial(Field, LiftTask, "lift-")
GROWTH = (
    lift(
        "loads",
        "The load grows",
        "{}'s loads",
        "from here on, or these in order, with commas between; empty: as declared",
        typed="loads",
        say=lambda task, _: growth_text(task),
        turn=0,
    ),
    lift("rise", "and then by", "What {}'s load grows by", "beyond the last of them; empty: no further"),
    lift("rises", "It grows", "When {}'s load grows", words=RISES, say=lambda task, _: out_text(task), turn=3),
)


@dataclass(frozen=True, slots=True)
class Growth:
    """The fields of a lift that such a sentence says."""

    loads: tuple[Load, ...]
    rise: Load | None
    rises: str

    def fields(self) -> dict[str, Any]:
        """They by their names."""
        return {"loads": self.loads, "rise": self.rise, "rises": self.rises}


def read_growth(text: str, unit: LoadUnit) -> Growth | None:
    """What a sentence says of how a load grows; None where it says it otherwise."""
    found = READ.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    try:
        loads = parse_loads(found["loads"], unit)
        rise = parse_load(found["rise"], loads[-1].unit) if found["rise"] else None
    except BadMeasure:
        return None
    return Growth(loads, rise, "lift" if found["lift"] else "window")


RULES = "Lift rules: "
# Each rule by the field that it sets: the words for one value of it, or with a hole for a number or a load.
SAID_RULES: tuple[tuple[str, Any, str], ...] = (
    ("judges", 3, "three judges"),
    ("order", "lightest", "the lightest first"),
    ("order", "rounds", "in rounds from light to heavy"),
    ("attempt_seconds", int, "{} s to begin"),
    ("attempt_from", "called", "timed from the call"),
    ("follow_seconds", int, "{} s following oneself"),
    ("warn_seconds", int, "a warning {} s before"),
    ("counts_when", "begun", "a lift begun in time counts"),
    ("decide_seconds", int, "decided within {} s"),
    ("step_after_good", Load, "{} more after a good lift"),
    ("record_step", Load, "record attempts in steps of {}"),
    ("again_when", "round_end", "a lift is made again at the end of the round"),
    ("declare_seconds", int, "the next load within {} s"),
    ("auto_step", Load, "{} more by the rule"),
    ("opener_changes", int, "openers changed {} times"),
    ("opener_seconds", int, "openers until {} s before"),
    ("changes", int, "loads changed {} times"),
    ("last_changes", int, "last loads changed {} times"),
    ("change_left_seconds", int, "a change with {} s left"),
    ("follow_left_seconds", int, "following oneself declared with {} s left"),
    ("lower_change", "opener", "only an opener may be lowered"),
    ("lower_change", "never", "no load may be lowered"),
    ("bar_rises", True, "never below the bar"),
    ("again_seconds", int, "again with {} s more"),
    ("again_less_seconds", int, "{} s less for each lift between"),
    ("spotters", int, "spotters {}"),
    ("loaders", int, "loaders {}"),
)


def rules_text(task: LiftTask) -> str:
    """`Lift rules: three judges, the lightest first, 60 s to begin.` Empty where all is as by itself."""
    told = [words for field, value, form in SAID_RULES if (words := _rule_words(getattr(task, field), value, form))]
    return f"{RULES}{', '.join(told)}." if told else ""


def _rule_words(there: object, value: object, form: str) -> str:
    if not isinstance(value, type):
        return form if there == value else ""
    return form.format(there.text() if isinstance(there, Load) else there) if there is not None else ""


def read_rules(text: str, unit: LoadUnit) -> dict[str, Any] | None:
    """The fields that such a sentence says; None where it says it otherwise, or something twice."""
    said = " ".join(text.split()).rstrip(".")
    if not said.casefold().startswith(RULES.casefold().strip()):
        return None
    found = [_rule_of(one, unit) for one in said[len(RULES.strip()) :].strip().split(", ")]
    fields = dict(one for one in found if one is not None)
    return fields if len(fields) == len(found) else None


def _rule_of(words: str, unit: LoadUnit) -> tuple[str, Any] | None:
    for field, value, form in SAID_RULES:
        read = re.fullmatch(re.escape(form).replace(r"\{\}", "(.+)"), words, re.IGNORECASE)
        if read is None:
            continue
        if not isinstance(value, type):
            return field, value
        try:
            return field, parse_load(read[1], unit) if value is Load else int(read[1])
        except ValueError:
            return None
    return None
