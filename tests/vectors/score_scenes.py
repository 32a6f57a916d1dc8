"""Scores as a lane's sheet shows them: of the tally's own scenes, and of work that members share, in both languages."""

import json
import random
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from app.rules.count.tally import fold
from app.rules.records.marks import parse_mark
from app.rules.result.scoring import score, score_words
from app.rules.result.ties import reached
from app.rules.values.units import Load, Rounding
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Part, ScoreRule, Task, Window, WorkItem
from app.rules.workout.score_units import score_unit
from tests.builders.cast import MOVES, Plain, Sheet, plain_load

TAKES = ("sum", "best", "worst", "last", "member_best")


def _shared(task: Task, *scores: ScoreRule, who: Any = "any", windows: int = 1) -> Format:
    """Work of three that any of them may do."""
    return Format(
        members=3,
        movements=MOVES,
        tasks={"work": task},
        windows=tuple(Window(start=60 * n, seconds=60, task="work", who=who) for n in range(windows)),
        scores=scores,
    )


def _each(unit: str, **more: Any) -> tuple[ScoreRule, ...]:
    """A score for each way of taking, more and less."""
    rules = [
        ScoreRule(id=f"{take}-{better}", name=take, better=better, unit=unit, parts=(_part(take, "1/3"),), **more)  # type: ignore[arg-type]
        for take in TAKES
        for better in ("more", "less")
    ]
    return tuple(rules)


def _part(take: str, weight: str = "1") -> Part:
    return Part(take=take, tasks=("work",), weight=Fraction(weight))  # type: ignore[arg-type]


BAR = LiftTask(movement="squat", bar=Load("20", "kg"), step=Load("1", "kg"), least_plate=Load("0.5", "kg"), attempts=2)
LADDER = tuple(WorkItem(movement="squat", reps=2, worth=3, load=Load(str(load), unit)) for load, unit in ((40, "kg"), (95, "lb")))  # type: ignore[arg-type]
# Of each round two lines do not count: the heaviest, and the last of all.
IDLE = (
    WorkItem(movement="squat", reps=1, worth=0, load=Load("60", "kg")),
    WorkItem(movement="swing", reps=2),
    *LADDER[:1],
    WorkItem(movement="swing", reps=3, worth=0),
)
TIME = (Part(take="time", tasks=("work",)),)
OF_A_LIST = (
    ScoreRule(id="time", better="less", unit="s", parts=TIME),
    ScoreRule(id="adds", better="less", unit="s", parts=TIME, cap_adds=Fraction(1, 2), rounding=Rounding.NEAREST),
    ScoreRule(id="most", unit="lb", parts=(_part("heaviest"),)),
    ScoreRule(id="each", unit="reps", parts=(_part("member_best"),)),
)
FORMATS: dict[str, Format] = {
    "count": _shared(CountTask(movement="swing", target=6), *_each("reps"), windows=3),
    "dropped": _shared(
        CountTask(movement="swing"), ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("work",), drop=1),)), windows=3
    ),
    "lift": _shared(BAR, *_each("lb", rounding=Rounding.DOWN, rounding_step=Fraction("2.5")), windows=2),
    "a total": _shared(
        BAR.model_copy(update={"attempts": 1, "tries_until_racked": False}),
        ScoreRule(unit="kg", parts=tuple(Part(take="best", windows=(n,)) for n in range(2)), every_part=True),
        who=(2,),
        windows=2,
    ),
    "times reps": _shared(BAR.model_copy(update={"times_reps": True}), *_each("points"), windows=2),
    "measure": _shared(MeasureTask(movement="swing", unit="m", high=Fraction(500), keep="best"), *_each("ft"), windows=2),
    "list": _shared(ListTask(items=LADDER, rounds=2), *OF_A_LIST),
    "idle": _shared(ListTask(items=IDLE, rounds=2), *OF_A_LIST),
}


def _marks(chance: random.Random, format: Format) -> list[Plain]:
    """A sheet of work by whoever it is, some of it by nobody in particular."""
    sheet, kind = Sheet(), format.tasks["work"].kind
    made: list[Plain] = []
    for at in range(500, format.length_ms - 200, chance.randrange(3_000, 9_000)):
        whose = {"member": member} if (member := chance.choice([1, 2, 3, None])) else {}
        if kind == "lift":
            load = plain_load(chance.choice(["60 kg", "62.5 kg", "135 lb", "140 lb", "145.5 lb"]))
            made.append(sheet.mark("lift", at, load=load, good=chance.random() < 0.7, reps=chance.randrange(1, 6), **whose))
        elif kind == "measure":
            made.append(sheet.mark("measure", at, value=chance.choice(["7", "12", "11.5", "300"]), **whose))
        else:
            made.append(sheet.mark("norep" if chance.random() < 0.1 else "rep", at, **whose))
    if kind == "list" and chance.random() < 0.5:
        made += [sheet.mark("rep", 58_000 + n) for n in range(9)] + [sheet.mark("finish", 59_123)]
    return made


def words(format: Format, marks: list[Plain]) -> list[str]:
    """Each score of a sheet, as the results say it."""
    tally = fold(format, [parse_mark(mark) for mark in marks])
    return [score_words(score(format, rule, tally)) for rule in format.scores]


def sheets() -> list[tuple[str, Format, list[Plain]]]:
    """A sheet of each format, to be added up."""
    chance = random.Random(5)
    return [(f"shared: {name}", format, _marks(chance, format)) for name, format in FORMATS.items()]


def cases() -> list[dict[str, Any]]:
    """Five sheets of each format, and an empty one."""
    chance, found = random.Random(18), []
    for name, format in FORMATS.items():
        plain = json.loads(format.model_dump_json())
        units = [score_unit(format, rule) for rule in format.scores]
        for number in range(6):
            marks = _marks(chance, format) if number else []
            found.append(
                {
                    "name": f"{name}, sheet {number}",
                    "call": "scores",
                    "args": [plain, marks, units],
                    "expect": words(format, marks),
                }
            )
    return found


TIMES = (
    *({"reps": reps} for reps in (1, 5, 12)),
    {"round": 2},
    {"round": 1, "line": 1},
    {"round": 2, "scheme": 6},
    {"round": 2, "line": 2, "window": 0},
)
IDLE_TIMES = ({"reps": 3}, {"reps": 16}, {"round": 1, "line": 1}, {"round": 2, "scheme": 3}, {"round": 1})


def _timed(format: Format, points: Sequence[Plain]) -> Format:
    """The format with the time at each of these points as a tie step."""
    steps = [{"kind": "time_at", "point": point} for point in points]
    plain = json.loads(format.model_dump_json())
    plain["scores"][0]["ties"] = steps
    return Format.model_validate(plain)


def point_words(format: Format, marks: list[Plain]) -> list[list[Any]]:
    """Where each point lies, what it is called, and when it was reached, since the start of its window."""
    tally, found = fold(format, [parse_mark(mark) for mark in marks]), list[list[Any]]()
    for (win, taps), point in format.timed_points().items():
        at = reached(tally.windows[win], taps)
        found.append([win, taps, point.words(), None if at is None else at - format.windows[win].start_ms])
    return found


def point_cases() -> list[dict[str, Any]]:
    """Sheets of work with stated points: of two rounds of a list, of one with lines that do not count, and of counted repetitions
    in the second of three minutes."""
    listed, idle = _timed(FORMATS["list"], TIMES), _timed(FORMATS["idle"], IDLE_TIMES)
    counted = _timed(_shared(CountTask(movement="swing"), *_each("reps"), windows=3), [{"reps": 2}, {"reps": 4, "window": 1}])
    chance, found = random.Random(31), []
    for number in range(10):
        for name, format in (("list", listed), ("count", counted), ("idle list", idle)):
            marks = _marks(chance, format) if number else []
            args = [json.loads(format.model_dump_json()), marks]
            found.append(
                {
                    "name": f"points of a {name}, sheet {number}",
                    "call": "points",
                    "args": args,
                    "expect": point_words(format, marks),
                }
            )
    return found


CALLS = {
    "points": lambda format, marks: point_words(Format.model_validate(format), marks),
    "scores": lambda format, marks, _: words(Format.model_validate(format), marks),
}
