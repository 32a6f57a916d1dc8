"""The rules of a lift as sentences, for whoever composes it, judges it or lifts under it."""

from collections.abc import Iterator

from app.rules.count.lifting.judged import LiftTally
from app.rules.values.words import decimal, known, say
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
        return say(
            "; the bar was loaded wrong ({load}), so the declared {other} may be lifted again",
            load=decimal(actual.text()),
            other=decimal(asked.text()),
        )
    if lift.asked is None and lift.on_bar is None:
        return ""
    told = (
        say("; {load} was declared and {other} was on the bar", load=decimal(lift.asked.text()), other=decimal(actual.text()))
        if lift.asked
        else say("; the ends differed")
    )
    return say("{told}, recorded as {load}", told=told, load=decimal(lift.load.text())) if lift.on_bar else told


def lights_text(lift: LiftTally) -> str:
    """How several judges decided a try, as the end of a sentence; empty where one judge decides."""
    if not lift.lights:
        return ""
    said = {True: say("good"), False: say("no"), None: say("not decided")}
    told = ", ".join(said[light] for light in lift.lights)
    open_words = {
        "waiting": say(", not decided yet"),
        "alone": say(", provisional"),
        "split": say(", provisional"),
        "silent": say(", not decided"),
    }
    return say(" (judges: {told})", told=told + open_words.get(lift.doubt or "", ""))


def misload_words(rule: MisloadRule) -> Iterator[str]:
    """What becomes of a bar that was loaded wrong, shortest first: one sentence where all cases are alike."""
    cases = {case: getattr(rule, case) for case in MisloadRule.model_fields if case != "round_down"}
    outcomes = sorted(set(cases.values()), key=list(OUTCOMES).index)
    if len(outcomes) == 1:
        yield say("If the bar was loaded wrong, {what}.", what=known(OUTCOMES[outcomes[0]]))
    else:
        for outcome in outcomes:
            told = [_case(case) for case, what in cases.items() if what == outcome]
            yield say("If the bar was {listed}, {what}.", listed=_listed(told), what=known(OUTCOMES[outcome]))
    if rule.round_down:
        yield say("A load between two steps is recorded down to the lower one.")


def _case(case: str) -> str:
    wrong, _, done = case.partition("_")
    return say("{wrong} and {done}", wrong=known(WRONG[wrong]), done=known(DONE[done]))


def _listed(told: list[str]) -> str:
    return told[0] if len(told) == 1 else say("{these}, or {last}", these=", ".join(told[:-1]), last=told[-1])
