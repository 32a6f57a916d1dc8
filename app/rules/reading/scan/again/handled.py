"""What a piece of equipment is set to, in which steps it is loaded, what somebody wears: told beside the work, and none of it."""

from fractions import Fraction

from app.rules.reading.scan.again.saying import Rows, Saying
from app.rules.workout.formats import Format, LiftTask, MeasureTask

PLATES = {"plate", "plates", "discs"}
DENIED = {"not", "no", "don't"}


def steps_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Only loads in steps of 1 kg`, `smallest change plates 0.5 kg`, where that is the step of every lift, or its least
    plate."""
    if not said.any(rows, "steps", "of_a_bar"):
        return False
    lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
    plates = bool(PLATES & set(said.words))
    if not lifts or len(said.numbers) != 1 or said.keys or not (said.any(rows, "steps") or plates):
        return False
    number = Fraction(said.numbers[0].replace(",", ".")) if ":" not in said.numbers[0] else None
    told = {task.least_plate if plates else task.step for task in lifts}
    pounds = bool({"lb", "lbs"} & set(said.words))
    fits = all(Fraction(one.amount) == number and (one.unit == "lb") == pounds for one in told)
    return fits and said.only(rows, "steps", "of_steps_of_loads")


def setting_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Drag as you like`: how hard a machine is to move is nobody's business but the athlete's."""
    if not said.any(rows, "settings"):
        return False
    machines = any(isinstance(task, MeasureTask) for task in format.tasks.values()) or bool({"row", "ski", "bike"} & done(format))
    free = {"own", "like", "free", "choose", "choice", "wish", "want", "any"} & set(said.words)
    told = bool(free) and not said.numbers and not said.keys
    return machines and told and said.only(rows, "settings", "of_settings")


def dressed_again(said: Saying, _format: Format, rows: Rows) -> bool:
    """`Trainers must be tied`."""
    return said.any(rows, "dressed") and not said.numbers and not said.keys and said.only(rows, "dressed", "of_dress")


def failure_again(said: Saying, format: Format, rows: Rows) -> bool:
    """`Attempts do not count`, where repetitions are counted: what is none is none."""
    lifted = any(isinstance(task, LiftTask) for task in format.tasks.values())
    denied = sum(word in DENIED for word in said.words) == 1 and {"count", "counted", "reps"} & set(said.words)
    plain = not said.numbers and not said.keys and said.any(rows, "failed")
    return bool(denied) and plain and not lifted and said.only(rows, "failed", "of_failures")


def done(format: Format) -> set[str]:
    """The library's names of what is done."""
    return {movement.library or "" for movement in format.movements.values()}


HANDLED = steps_again, setting_again, dressed_again, failure_again
