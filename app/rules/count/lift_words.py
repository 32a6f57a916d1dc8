"""The rules of a lift as sentences, for whoever composes it, judges it or lifts under it."""

from collections.abc import Iterator

from app.rules.count.fold_lifts import LiftTally
from app.rules.values.units import both_units
from app.rules.workout.misload import MisloadRule
from app.rules.workout.tasks import LiftTask

OUTCOMES = {"keep": "what was really on it counts", "again": "the declared load is lifted again", "choose": "the lifter chooses"}
WRONG = {"light": "too light", "heavy": "too heavy", "uneven": "loaded unevenly"}
DONE = {"good": "lifted", "missed": "missed"}


def lift_rules(task: LiftTask, members: int = 1) -> tuple[str, ...]:
    """What a lift asks for beside its load: attempts, steps, bars, time, who decides, a bar loaded wrong."""
    return (*_attempts(task, members), *_loads(task), *_bar(task, members), *_moment(task), *misload_words(task.misload))


def misload_text(lift: LiftTally) -> str:
    """What was wrong about the bar of a try, and what followed, as the end of a sentence; empty where it was right."""
    actual = lift.on_bar or lift.load
    if lift.again:
        asked = lift.asked or lift.load
        return f"; the bar was loaded wrong ({actual.text()}), so the declared {asked.text()} may be lifted again"
    if lift.asked is None and lift.on_bar is None:
        return ""
    told = f"; {lift.asked.text()} was declared and {actual.text()} was on the bar" if lift.asked else "; the ends differed"
    return f"{told}, recorded as {lift.load.text()}" if lift.on_bar else told


def lights_text(lift: LiftTally) -> str:
    """How several judges decided a try, as the end of a sentence; empty where one judge decides."""
    if not lift.lights:
        return ""
    said = {True: "good", False: "no", None: "not decided"}
    told = ", ".join(said[light] for light in lift.lights)
    open_words = {"waiting": ", not decided yet", "alone": ", provisional", "split": ", provisional", "silent": ", not decided"}
    return f" (judges: {told}{open_words.get(lift.doubt or '', '')})"


def misload_words(rule: MisloadRule) -> Iterator[str]:
    """What becomes of a bar that was loaded wrong, shortest first: one sentence where all cases are alike."""
    cases = {case: getattr(rule, case) for case in MisloadRule.model_fields if case != "round_down"}
    outcomes = sorted(set(cases.values()), key=list(OUTCOMES).index)
    if len(outcomes) == 1:
        yield f"If the bar was loaded wrong, {OUTCOMES[outcomes[0]]}."
    else:
        for outcome in outcomes:
            told = [_case(case) for case, what in cases.items() if what == outcome]
            yield f"If the bar was {_listed(told)}, {OUTCOMES[outcome]}."
    if rule.round_down:
        yield "A load between two steps is recorded down to the lower one."


def _case(case: str) -> str:
    wrong, _, done = case.partition("_")
    return f"{WRONG[wrong]} and {DONE[done]}"


def _listed(told: list[str]) -> str:
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])}, or {told[-1]}"


def _attempts(task: LiftTask, members: int) -> Iterator[str]:
    whose = "Each member has" if members > 1 else "There are"
    if task.attempts is None:
        yield "There are as many attempts as time allows."
    else:
        yield f"{whose} {task.attempts} attempt{'' if task.attempts == 1 else 's'}."
    if task.tries_until_racked:
        yield f"A missed lift may be tried again until the bar is {'racked' if task.rack else 'down'}."
    else:
        yield "There is one try under each declared load."


def _loads(task: LiftTask) -> Iterator[str]:
    yield f"Loads go in steps of {both_units(task.step)}."
    if task.step_after_good is not None:
        yield f"After a good lift the next load is heavier by {both_units(task.step_after_good)} at least."
    if task.record_step is not None:
        yield f"A declared record attempt may go in steps of {both_units(task.record_step)}."
    if not task.may_go_down:
        yield "Loads may not go down."
    if task.collars is not None:
        counted = "includes" if task.collars_counted else "does not include"
        yield f"A declared load {counted} the collars, {both_units(task.collars)} together."
    if task.times_reps:
        yield "A lift is worth its load times its repetitions."


def _bar(task: LiftTask, members: int) -> Iterator[str]:
    yield "The bar starts in a rack." if task.rack else "The bar starts on the floor."
    if members > 1:
        yield "Each member has a bar." if task.bars == "each" else "There is one bar, for one lifter at a time."
    if task.order == "lightest":
        yield "All lanes share one bar: the lightest load lifts first; of equal ones, fewer attempts, then the lower lane."


def _moment(task: LiftTask) -> Iterator[str]:
    if task.attempt_seconds is not None:
        warning = f", with a warning {task.warn_seconds} s before" if task.warn_seconds else ""
        leave = "rack" if task.rack else "floor"
        yield f"The bar must leave the {leave} within {task.attempt_seconds} s of being free{warning}."
    yield f"A lift counts if it is {task.counts_when} before the bell."
    if task.judges == 3:
        yield "Three judges decide, two of three."
