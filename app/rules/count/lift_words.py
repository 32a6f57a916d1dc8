"""The rules of a lift as sentences, for whoever composes it, judges it or lifts under it."""

from collections.abc import Iterator

from app.rules.count.fold_lifts import LiftTally
from app.rules.workout.misload import MisloadRule
from app.rules.workout.task_fields import LIFT
from app.rules.workout.tasks import LiftTask

OUTCOMES = {"keep": "what was really on it counts", "again": "the declared load is lifted again", "choose": "the lifter chooses"}
WRONG = {"light": "too light", "heavy": "too heavy", "uneven": "loaded unevenly"}
DONE = {"good": "lifted", "missed": "missed"}


def lift_rules(task: LiftTask, members: int = 1) -> tuple[str, ...]:
    """What a lift asks for beside its load: attempts, steps, bars, time, who decides, a bar loaded wrong."""
    return (*LIFT.sentences(task, members), *misload_words(task.misload))


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
