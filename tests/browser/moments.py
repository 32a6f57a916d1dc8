"""A lane at any moment of a heat without waiting for it, in an event that has every kind of window."""

from contextlib import suppress
from typing import Any

from playwright.sync_api import TimeoutError as TooLate

from app.rules.records.document import CompetitionFile
from app.rules.records.holding import Hold
from app.rules.records.marks import parse_mark
from app.rules.records.roster import Event
from app.rules.values.units import Load
from app.rules.workout.formats import (
    CountTask,
    Format,
    LiftTask,
    ListTask,
    MeasureTask,
    Movement,
    Part,
    ScoreRule,
    Window,
    WorkItem,
)
from app.rules.workout.movements import movement
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import LanePlates
from tests.browser.hall_server import HallServer
from tests.browser.people import Person
from tests.builders.pairs import a_file, a_mark

LONG_TEAM = "Saturday Morning Irregulars of the Barns"  # 40 letters
LONG_MEMBERS = ("Kit Northcote-Villanueva of the Old Rope Works", "Wilhelmina Österlund-Fairweather")
COUNT = 187

# Seconds after GO at which each view is to be seen.
MOMENTS = {"set": -6, "count": 117, "rest": 140, "list": 160, "lift": 450, "measure": 610, "after": 720}


def every_window() -> Format:
    """A counting window, a rest, a work list, a rest, a lift and a measure."""
    rows = {
        "pushup": movement("push_up"),
        "squat": movement("front_squat", "lb", lifted=True),
        "row": Movement(name="Row", standards=("The monitor shows the distance.",)),
        "step": Movement(name="Box step-overs, both feet on the box at the same time"),
    }
    work = (WorkItem(movement="step", reps=12, load=Load("20", "kg")), WorkItem(movement="row", reps=1, worth=20))
    return Format(
        members=2,
        unit="lb",
        movements=rows,
        tasks={
            "pushups": CountTask(movement="pushup"),
            "work": ListTask(items=work, rounds=3),
            "squat": LiftTask(movement="squat", bar=Load("35", "lb"), step=Load("1", "lb"), least_plate=Load("0.25", "lb")),
            "rowed": MeasureTask(movement="row", unit="m", high=2000),
        },
        windows=(
            Window(start=0, seconds=135, task="pushups", who=(1,)),
            Window(start=135, seconds=15),
            Window(start=150, seconds=270, task="work", who=(2,)),
            Window(start=420, seconds=180, task="squat", who="any"),
            Window(start=600, seconds=100, task="rowed", who="all"),
        ),
        scores=(ScoreRule(unit="lb", parts=(Part(take="sum", tasks=("pushups",)), Part(take="member_best", tasks=("squat",)))),),
    )


def a_heat_of_everything() -> CompetitionFile:
    """Twelve lanes, the first with long names and many marks of another tablet."""
    names = [LONG_TEAM, *(f"Pair number {n} of the afternoon" for n in range(2, 13))]
    file = a_file([names], heat_of=12, runs=0)
    athletes = [
        athlete.model_copy(update={"name": LONG_MEMBERS[n]}) if n < len(LONG_MEMBERS) else athlete
        for n, athlete in enumerate(file.athletes)
    ]
    events = (Event(id="evt", name="Everything in one long afternoon", format=every_window()),)
    plates = set_to_begin("gym-lb", "set_1", "Plates of the first lane")
    return file.model_copy(
        update={
            "athletes": tuple(athletes),
            "events": events,
            "plate_sets": (plates,),
            "lane_plates": (LanePlates(lane=1, plates="set_1"),),
            "marks": tuple(map(parse_mark, marks())),
        }
    )


def marks() -> list[dict[str, Any]]:
    """A count of 187 with two no-reps, part of the list done, four lifts and the next load declared."""
    reps = [a_mark("asg_0", n + 1, "rep", 1000 + n * 600, 0) for n in range(COUNT)]
    reps += [a_mark("asg_0", 300 + n, "norep", 5300 + n * 9000, 0, fault="lockout") for n in range(2)]
    steps = [a_mark("asg_0", 400 + n, "rep", 151_000 + n * 500, 2) for n in range(17)]
    lifts = [
        a_mark("asg_0", 500 + n, "lift", 425_000 + n * 5000, 3, load={"amount": load, "unit": "lb"}, good=good, member=1)
        for n, (load, good) in enumerate((("225", True), ("245", False), ("245", True), ("262.5", False)))
    ]
    return reps + steps + lifts


def set_clock(server: HallServer, view: str, held: bool = False) -> None:
    """Moves the heat's clock to a moment of a view, by a message such as the desk's GO is; `held`: it stands there."""
    holds = [Hold(at_ms=(MOMENTS[view] - 5) * 1000)] if held else []
    server.go_was(MOMENTS[view] * 1000, holds)


def go_was(server: HallServer, judge: Person, view: str) -> None:
    """Moves the clock and waits until the lane screen shows the view; one that was just loaded may miss the first word of it."""
    for patience_ms in (2_000, 4_000):
        set_clock(server, view)
        with suppress(TooLate):
            judge.shows(view, patience_ms)
            return
    set_clock(server, view)
    judge.shows(view)
