"""The demo's three events, invented for it: a list for time, lifts at a shared bar, a relay. Every number is the demo's own."""

from app.rules.values.units import Load, Rounding
from app.rules.workout.formats import (
    CountTask,
    Format,
    LiftTask,
    ListTask,
    MeasureTask,
    Part,
    ScoreRule,
    TieStep,
    Variant,
    Window,
    WorkItem,
)
from app.rules.workout.joining import JoinRule
from app.rules.workout.misload import EVERY_TIME_AGAIN
from app.rules.workout.movements import movement
from app.rules.workout.tasks import Movement

MEMBERS = 3
LIFTER = 2  # the member who lifts for a team
TIE_AT_S = 150  # of the list: who had more done by then stands before whoever ended in the same second


def ferry_stairs() -> Format:
    """A list for time, shared by three as they like. Equal whole seconds are parted by who had more done by 2:30."""
    return Format(
        members=MEMBERS,
        early_ms=0,
        movements={
            "row": movement("row"),
            "swing": _loaded("kettlebell_swing", "24 kg"),
            "crates": _own("carry", "Crate lengths, 2 × 17.5 kg", "Both crates go the whole length, and are set down past it."),
            "step_up": movement("step_up"),
            "throw": _loaded("wall_ball", "8 kg"),
        },
        tasks={
            "list": ListTask(
                items=(
                    WorkItem(movement="row", reps=3, worth=13, note="One athlete at a time, in any order"),
                    WorkItem(movement="step_up", reps=22),
                    WorkItem(movement="crates", reps=6, note="Each length is 14 m"),
                    WorkItem(movement="swing", reps=18),
                    WorkItem(movement="throw", reps=14),
                )
            )
        },
        windows=(Window(start=0, seconds=370, task="list", who="any"),),
        scores=(
            ScoreRule(
                name="Time",
                better="less",
                unit="s",
                parts=(Part(take="time", tasks=("list",)),),
                rounding=Rounding.DOWN,
                ties=(TieStep(kind="count_at", at=TIE_AT_S),),
            ),
        ),
        variants=(
            Variant(
                id="lighter",
                name="Lighter",
                movements={"swing": _loaded("kettlebell_swing", "18 kg"), "throw": _loaded("wall_ball", "5 kg")},
            ),
        ),
    )


def rising_bar() -> Format:
    """Front squats at one bar for all lanes, the lightest load first: one of each team lifts three times, before three judges."""
    lift = LiftTask(
        movement="squat",
        bar=Load("20", "kg"),
        step=Load("1", "kg"),
        least_plate=Load("0.5", "kg"),
        step_after_good=Load("2", "kg"),
        attempts=3,
        attempt_seconds=60,
        warn_seconds=15,
        tries_until_racked=False,
        counts_when="begun",
        may_go_down=False,
        judges=3,
        order="lightest",
        misload=EVERY_TIME_AGAIN,
    )
    return Format(
        members=MEMBERS,
        early_ms=0,
        movements={"squat": movement("front_squat", lifted=True)},
        tasks={"bar": lift},
        windows=(Window(start=0, seconds=420, task="bar", who=(LIFTER,)),),
        scores=(
            ScoreRule(
                name="Load",
                unit="kg",
                parts=(Part(take="best", tasks=("bar",)),),
                ties=(TieStep(kind="fewer_attempts"), TieStep(kind="earlier_best")),
            ),
        ),
        variants=(
            Variant(id="light_bar", name="Bar of 15 kg", tasks={"bar": lift.model_copy(update={"bar": Load("15", "kg")})}),
        ),
    )


def harbour_relay() -> Format:
    """A carries, B rows, C lifts a dumbbell, then all throw. A second counter's count is joined with the judge's."""
    points = (("lengths", 4), ("calories", 1), ("dumbbell", 1), ("throws", 1))
    return Format(
        members=MEMBERS,
        early_ms=0,
        counters=JoinRule(how="mean", recount_beyond=4),
        movements={
            "lengths": _own("sandbag_carry", "Sandbag lengths, 35 kg", "The bag is off the floor from line to line."),
            "row": movement("row"),
            "snatch": _loaded("dumbbell_snatch", "17.5 kg"),
            "throw": _loaded("wall_ball", "6 kg"),
        },
        tasks={
            "lengths": CountTask(movement="lengths"),
            "calories": MeasureTask(movement="row", unit="cal", high=90),
            "dumbbell": CountTask(movement="snatch"),
            "throws": CountTask(movement="throw"),
        },
        windows=(
            Window(start=0, seconds=85, task="lengths", who=(1,)),
            Window(start=85, seconds=20),
            Window(start=105, seconds=110, task="calories", who=(2,)),
            Window(start=215, seconds=20),
            Window(start=235, seconds=70, task="dumbbell", who=(3,)),
            Window(start=305, seconds=35),
            Window(start=340, seconds=80, task="throws", who="any"),
        ),
        scores=(
            ScoreRule(
                name="Points",
                unit="points",
                parts=tuple(Part(take="sum", tasks=(task,), weight=weight) for task, weight in points),
                ties=(TieStep(kind="part", part=0),),
            ),
        ),
    )


def _own(key: str, name: str, standard: str) -> Movement:
    """A movement of the demo's own, with what else it has from one of the library."""
    return movement(key).model_copy(update={"name": name, "standards": (standard,)})


def _loaded(key: str, load: str) -> Movement:
    """A movement that is counted, with what it is done with in its name."""
    found = movement(key)
    return found.model_copy(update={"name": f"{found.name}, {load}"})
