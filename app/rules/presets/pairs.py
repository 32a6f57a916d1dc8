"""Common formats from few knobs. A preset only fills in a Format, which stays editable afterwards.

The movements are general ones, described in our own words; figures such as two-minute windows are common practice, no source.
"""

from collections.abc import Sequence

from app.rules.formats import CountTask, Fault, Format, LiftTask, Movement, Part, ScoreRule, Task, Window
from app.rules.units import Load, LoadUnit

WORK_SECONDS = 120
REST_SECONDS = 120


def rope_double_skip() -> Movement:
    """Two passes of the rope under one jump."""
    return Movement(
        name="Double skips",
        standards=(
            "The rope passes under both feet twice in one jump.",
            "Both feet leave the floor together.",
            "The rope turns forwards.",
            "A skip counts when the rope has come round the second time.",
        ),
        faults=(
            Fault(id="single", name="Only one pass", say="No rep, single."),
            Fault(id="caught", name="Rope caught", say="No rep, rope."),
            Fault(id="backwards", name="Rope turned backwards", say="No rep, forwards."),
        ),
        cautions=("Keep clear of the next lane's rope.", "Dry the floor before the window opens."),
        # 183 in a minute is the fastest on record: 328 ms each; half of that is no human skip.
        fastest_ms=160,
    )


def inverted_press() -> Movement:
    """A press in the handstand against the wall."""
    return Movement(
        name="Inverted presses",
        standards=(
            "Starts with arms locked, heels on the wall above the line, hands inside the floor box.",
            "The head touches the pad.",
            "Ends with arms, hips and knees straight and heels above the line.",
            "Each repetition returns to the start before the next.",
        ),
        faults=(
            Fault(id="lockout", name="Arms not locked", say="No rep, lock out."),
            Fault(id="line", name="Heels below the line", say="No rep, line."),
            Fault(id="pad", name="Head did not touch", say="No rep, touch."),
            Fault(id="box", name="Hand outside the box", say="No rep, box."),
        ),
        cautions=(
            "Pad level with the hands; nobody drops on the head.",
            "Stop at once on neck pain, tingling or loss of control. Do not move a suspected neck injury.",
        ),
        fastest_ms=500,
    )


def back_squat(unit: LoadUnit) -> Movement:
    """A squat with the bar on the back."""
    return Movement(
        name="Back squat",
        standards=(
            "The bar rests on the back; the lift starts standing, knees and hips straight.",
            "At the bottom the top of the thigh at the hip joint is below the top of the knee.",
            "It ends standing still, knees and hips straight.",
            "The bar goes back into the rack under control.",
        ),
        faults=(
            Fault(id="depth", name="Not deep enough", say="No lift, depth."),
            Fault(id="lockout", name="Not stood up", say="No lift, stand up."),
            Fault(id="racked", name="Racked too early", say="No lift, racked early."),
            Fault(id="dropped", name="Bar dropped", say="No lift, dropped."),
            Fault(id="touched", name="Touched by a spotter", say="No lift, touched."),
            Fault(id="bell", name="After the bell", say="No lift, time."),
        ),
        cautions=(
            "Collars on before every attempt.",
            "Safety arms set or spotters ready; a clear space behind the lifter, no plates in it.",
        ),
        heaviest=Load("450", "kg") if unit == "kg" else Load("990", "lb"),
    )


def mirrored_pair(
    unit: LoadUnit = "lb",
    work_seconds: int = WORK_SECONDS,
    rest_seconds: int = REST_SECONDS,
    change_seconds: int = 0,
    bar: Load | None = None,
    step: Load | None = None,
    least_plate: Load | None = None,
) -> Format:
    """A pair, one event: A presses, skips and squats with rests between; then B does the same in the reverse order.

    The score is the sum of all repetitions and each member's heaviest good squat in `unit`. `change_seconds` lie between the
    members. Common practice, no source: two-minute windows and rests, ten minutes a member, twenty a pair; least step one
    pound, least plate half a pound.
    """
    order = ("presses", "skips", "squat")
    tasks: dict[str, Task] = {
        "presses": CountTask(movement="press"),
        "skips": CountTask(movement="skip"),
        "squat": LiftTask(
            movement="squat",
            bar=bar or (Load("45", "lb") if unit == "lb" else Load("20", "kg")),
            step=step or Load("1", unit),
            least_plate=least_plate or Load("0.5", unit),
        ),
    }
    turns = [(1, task) for task in order] + [(2, task) for task in reversed(order)]
    return Format(
        members=2,
        unit=unit,
        movements={"press": inverted_press(), "skip": rope_double_skip(), "squat": back_squat(unit)},
        tasks=tasks,
        windows=_turns(turns, work_seconds, rest_seconds, change_seconds),
        scores=(
            ScoreRule(
                unit=unit,
                parts=(
                    Part(take="sum", tasks=("presses",)),
                    Part(take="sum", tasks=("skips",)),
                    Part(take="member_best", tasks=("squat",)),
                ),
            ),
        ),
    )


def _turns(turns: Sequence[tuple[int, str]], work: int, rest: int, change: int) -> tuple[Window, ...]:
    """Windows one after another: `rest` seconds between two of one member, `change` between two members."""
    windows: list[Window] = []
    start = 0
    before: int | None = None
    for member, task in turns:
        pause = 0 if before is None else rest if before == member else change
        if pause:
            windows.append(Window(start=start, seconds=pause))
            start += pause
        windows.append(Window(start=start, seconds=work, task=task, who=(member,)))
        start += work
        before = member
    return tuple(windows)
