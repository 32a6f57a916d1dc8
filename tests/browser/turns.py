"""A lane of four with long names, in an event whose work they share: repetitions, a list, a bar; then a lift of each."""

from fractions import Fraction
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Athlete, Event
from app.rules.values.units import Load
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Part, ScoreRule, Window, WorkItem
from app.rules.workout.movements import movement
from tests.browser.moments import LONG_MEMBERS, LONG_TEAM
from tests.builders.pairs import a_file

NAMES = (*LONG_MEMBERS, "Bo Ek", "Maximiliane Featherstonehaugh-Abernathy")
# Seconds after GO at which each is under way.
SET, COUNT, LIST, SHARED_BAR, FIRST_LIFT, SECOND_LIFT, MEASURE, AFTER = -6, 60, 160, 260, 360, 460, 560, 700


def shared_work() -> Format:
    """Windows of a hundred seconds: two of shared work, a bar that any may take, a lift of A, one of B, a number of any."""
    bar: dict[str, Any] = {
        "movement": "squat",
        "bar": Load("20", "kg"),
        "step": Load("1", "kg"),
        "least_plate": Load("0.5", "kg"),
    }
    tasks = {
        "pushups": CountTask(movement="pushup", target=60),
        "work": ListTask(items=(WorkItem(movement="pushup", reps=20), WorkItem(movement="row", reps=9, worth=5)), rounds=2),
        "bar": LiftTask(**bar, attempts=3),
        "single": LiftTask(**bar),
        "rowed": MeasureTask(movement="row", unit="m", high=Fraction(2000)),
    }
    who: tuple[Any, ...] = ("any", "any", "any", (1,), (2,), "any")
    keys = ("pushups", "work", "bar", "single", "single", "rowed")
    windows = tuple(Window(start=100 * n, seconds=100, task=key, who=who[n]) for n, key in enumerate(keys))
    each = (Part(take="member_best", tasks=("bar",)), Part(take="sum", tasks=("single",)))
    return Format(
        members=4,
        movements={"pushup": movement("push_up"), "row": movement("row"), "squat": movement("front_squat", lifted=True)},
        tasks=tasks,
        windows=windows,
        scores=(
            ScoreRule(id="reps", name="Repetitions", unit="reps", parts=(Part(take="sum", tasks=("pushups", "work")),)),
            ScoreRule(id="load", name="Load", unit="kg", parts=each),
            ScoreRule(id="rowed", name="Rowed", unit="m", parts=(Part(take="member_best", tasks=("rowed",)),)),
        ),
    )


def a_day_of_sharing(heats: int = 3) -> CompetitionFile:
    """Fours with long names on one lane, a heat each; nobody has begun."""
    names = [LONG_TEAM, *(f"Four number {n} of the afternoon" for n in range(2, heats + 1))]
    file = a_file([names], heat_of=1, runs=0)
    athletes = tuple(Athlete(id=f"four_{n}", name=name) for n, name in enumerate(NAMES))
    fours = tuple(athlete.id for athlete in athletes)
    entries = tuple(entry.model_copy(update={"members": fours} if n == 0 else {}) for n, entry in enumerate(file.entries))
    event = Event(id="evt", name="Shared work all afternoon", format=shared_work())
    return file.model_copy(
        update={"athletes": (*file.athletes, *athletes), "entries": entries, "events": (event,), "markings": {}, "marks": ()}
    )
