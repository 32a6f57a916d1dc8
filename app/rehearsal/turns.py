"""The event of a rehearsal, invented for it: two who take turns at three stations, with counting, rests and a shared bar."""

from app.rules.records.markings import Markings
from app.rules.values.lengths import Length
from app.rules.values.units import Load, LoadUnit
from app.rules.workout.formats import CountTask, Format, LiftTask, Part, ScoreRule, Task, Window
from app.rules.workout.movements import movement

STATIONS = ("handtaps", "squat", "pushups")
MARKINGS = Markings(
    wall=True,
    drop=Length("8", "cm"),
    tolerance=Length("2", "cm"),
    box_width=Length("80", "cm"),
    box_depth=Length("55", "cm"),
    bar=True,
    bar_width=Length("260", "cm"),
    bar_depth=Length("190", "cm"),
    gap=Length("40", "cm"),
)


def turn_about(unit: LoadUnit = "kg", work_seconds: int = 180, rest_seconds: int = 60) -> Format:
    """A pair: at each station A works, then B. They rest before every turn but B's at the bar, who takes it over as it stands.

    The score is all repetitions and each member's heaviest good squat, added up in `unit`. Every turn lasts `work_seconds`.
    """
    tasks: dict[str, Task] = {
        "handtaps": CountTask(movement="handtap"),
        "pushups": CountTask(movement="pushup"),
        "squat": LiftTask(movement="squat", bar=Load("20", "kg"), step=Load("1", "kg"), least_plate=Load("0.5", "kg")),
    }
    movements = {
        "handtap": movement("handstand_shoulder_tap", unit),
        "pushup": movement("push_up", unit),
        "squat": movement("front_squat", unit, lifted=True),
    }
    parts = [Part(take="member_best" if key == "squat" else "sum", tasks=(key,)) for key in tasks]
    return Format(
        members=2,
        unit=unit,
        movements=movements,
        tasks=tasks,
        windows=_windows(work_seconds, rest_seconds),
        scores=(ScoreRule(unit=unit, parts=tuple(parts)),),
    )


def _windows(work_seconds: int, rest_seconds: int) -> tuple[Window, ...]:
    windows: list[Window] = []
    start = 0
    for station in STATIONS:
        for member in (1, 2):
            if rest_seconds and start and (station, member) != ("squat", 2):
                windows.append(Window(start=start, seconds=rest_seconds))
                start += rest_seconds
            windows.append(Window(start=start, seconds=work_seconds, task=station, who=(member,)))
            start += work_seconds
    return tuple(windows)
