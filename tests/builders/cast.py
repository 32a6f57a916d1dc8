"""The formats, the sheet and the competition that the rule book's tests share."""

from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from typing import Any
from zlib import crc32

from app.rehearsal.turns import turn_about
from app.rules.count.tally import Tally, fold
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import Mark, parse_mark
from app.rules.result.scoring import Score, score
from app.rules.result.ties import TieKey, tie_keys
from app.rules.values.units import Load, LoadUnit
from app.rules.workout.formats import (
    CountTask,
    Format,
    LiftTask,
    ListTask,
    MeasureTask,
    Movement,
    Part,
    ScoreRule,
    Task,
    TieStep,
    Window,
    WorkItem,
)

MOVES = {"swing": Movement(name="Swings", fastest_ms=300), "squat": Movement(name="Squat", heaviest=Load("450", "kg"))}


def _one(task: Task, seconds: int, score: ScoreRule, windows: int = 1) -> Format:
    return Format(
        movements=MOVES,
        tasks={"work": task},
        windows=tuple(Window(start=i * seconds, seconds=seconds, task="work", who=(1,)) for i in range(windows)),
        scores=(score,),
    )


SUM = (Part(take="sum", tasks=("work",)),)
WORK = (WorkItem(movement="swing", reps=3), WorkItem(movement="squat", reps=1, worth=5), WorkItem(movement="swing", reps=9))

FORMATS: dict[str, Format] = {
    "pair": turn_about(),
    "list": _one(ListTask(items=WORK), 60, ScoreRule(better="less", unit="s", parts=(Part(take="time", tasks=("work",)),))),
    "rounds": _one(ListTask(items=WORK[:2], rounds=None), 60, ScoreRule(unit="reps", parts=SUM)),
    "ladder": _one(CountTask(movement="swing", target=3, grows=1, miss_puts_out=True), 60, ScoreRule(unit="reps", parts=SUM), 3),
    "lift": _one(
        LiftTask(
            movement="squat",
            bar=Load("20", "kg"),
            step=Load("1", "kg"),
            least_plate=Load("0.5", "kg"),
            attempts=3,
            tries_until_racked=False,
            may_go_down=False,
        ),
        90,
        ScoreRule(unit="kg", parts=(Part(take="best", tasks=("work",)),), ties=(TieStep(kind="earlier_best"),)),
    ),
    "measure": _one(
        MeasureTask(movement="swing", unit="m", low=0, high=5000, keep="best"),  # type: ignore[arg-type]
        60,
        ScoreRule(unit="m", parts=SUM),
    ),
}


class Sheet:
    """Makes marks for one sheet, numbered as a tablet numbers them."""

    def __init__(self, assignment: str = "asg_1", run: int = 1, device: str = "tab-a") -> None:
        self.sheet, self.device, self.seq = f"{assignment}/{run}/lane", device, 0
        # A life of the tablet on each sheet, for a number is used once in a life.
        self.epoch = 1 if (assignment, run) == ("asg_1", 1) else crc32(self.sheet.encode())

    def mark(self, kind: str, at: int, win: int | None = None, **body: Any) -> dict[str, Any]:
        """One mark as JSON."""
        self.seq += 1
        prefix = sha256(f"{self.sheet} {self.device}".encode()).hexdigest()[:20]
        return {
            "id": f"{prefix}{self.seq:012x}",
            "sheet": self.sheet,
            "device": self.device,
            "epoch": self.epoch,
            "seq": self.seq,
            "kind": kind,
            "at": at,
            "err": 3,
            "win": win,
            "body": body,
        }

    def rep(self, at: int, win: int | None = None) -> dict[str, Any]:
        """A repetition."""
        return self.mark("rep", at, win)

    def strike(self, at: int, mark: dict[str, Any]) -> dict[str, Any]:
        """A strike-out of a mark."""
        return self.mark("strike", at, None, mark=mark["id"])

    def declare(self, at: int, load: str, win: int | None = None) -> dict[str, Any]:
        """A declaration such as `225 lb`, by the judge."""
        return self.mark("declare", at, win, load=plain_load(load), by="judge")

    def lift(
        self, at: int, load: str, good: bool, fault: str | None = None, declared: str | None = None, win: int | None = None
    ) -> dict[str, Any]:
        """The outcome of a lift."""
        body: dict[str, Any] = {"load": plain_load(load), "good": good}
        if fault:
            body["fault"] = fault
        if declared:
            body["declared"] = declared
        return self.mark("lift", at, win, **body)


def plain_load(text: str) -> dict[str, str]:
    """`225 lb` as the JSON of a load."""
    amount, unit = text.split()
    return {"amount": amount, "unit": unit}


def load(text: str) -> Load:
    """`225 lb` as a load."""
    amount, unit = text.split()
    kind: LoadUnit = "kg" if unit == "kg" else "lb"
    return Load(amount, kind)


Plain = dict[str, Any]


def parsed(marks: Iterable[Plain]) -> list[Mark]:
    """Marks as the rule book takes them."""
    return [parse_mark(mark) for mark in marks]


def tallied(format: Format, marks: Iterable[Plain]) -> Tally:
    """The tally of one sheet."""
    return fold(format, parsed(marks))


def scored(format: Format, marks: Iterable[Plain] = (), rule: int = 0) -> Score:
    """The score of one sheet under one of the format's rules."""
    return score(format, format.scores[rule], tallied(format, marks))


def tied(format: Format, marks: Iterable[Plain]) -> tuple[TieKey, ...]:
    """The tie keys of one sheet under the format's first rule."""
    tally = tallied(format, marks)
    return tie_keys(format, format.scores[0], tally, score(format, format.scores[0], tally))


def flags_of(tally: Tally) -> list[tuple[str, str]]:
    """The flags as (last digit of the mark's number on its sheet, why)."""
    return [(flag.mark[-1], flag.why) for flag in tally.flags]


def a_format(task: Task, *parts: Part, windows: int = 1, members: int = 1, who: Any = (1,), **rule: Any) -> Format:
    """Minutes of one task, one after another, scored by `parts` (else by the sum)."""
    return Format(
        members=members,
        movements=MOVES,
        tasks={"work": task},
        windows=tuple(Window(start=60 * i, seconds=60, task="work", who=who) for i in range(windows)),
        scores=(ScoreRule(**{"unit": "reps", **rule}, parts=parts or SUM),),
    )


def take(how: Any, **more: Any) -> Part:
    """A score part from the one task of `a_format`."""
    return Part(take=how, tasks=("work",), **more)


def a_lift_task(**more: Any) -> LiftTask:
    """Squats with a 20 kg bar in steps of 1 kg, unless said otherwise."""
    return LiftTask(**{"movement": "squat", "bar": load("20 kg"), "step": load("1 kg"), "least_plate": load("0.5 kg"), **more})


def a_competition(
    format: Format,
    divisions: Mapping[str, Sequence[str]],
    marks: Iterable[Plain] = (),
    runs: Iterable[Plain] | None = None,
    rulings: Iterable[Plain] = (),
) -> CompetitionFile:
    """One event, one heat; entry n (`ent_n`) stands on lane n (`asg_n`), in the order of the divisions."""
    names = [name for entries in divisions.values() for name in entries]
    of = {name: f"div_{n}" for n, entries in enumerate(divisions.values(), start=1) for name in entries}
    lanes = [{"id": f"asg_{n}", "lane": n, "entry": f"ent_{n}"} for n in range(1, len(names) + 1)]
    return CompetitionFile.model_validate(
        {
            "competition": {"id": "cmp", "name": "Gravel Hill Open"},
            "divisions": [{"id": f"div_{n}", "name": name} for n, name in enumerate(divisions, start=1)],
            "athletes": [{"id": f"ath_{n}", "name": f"{name} Reed"} for n, name in enumerate(names, start=1)],
            "entries": [
                {"id": f"ent_{n}", "division": of[name], "name": name, "members": [f"ath_{n}"]}
                for n, name in enumerate(names, start=1)
            ],
            "events": [{"id": "evt", "name": "One", "format": format.model_dump(mode="json")}],
            "heats": [{"id": "heat", "event": "evt", "number": 1, "lanes": lanes}],
            "runs": [{"heat": "heat", "number": 1}] if runs is None else list(runs),
            "rulings": list(rulings),
            "marks": list(marks),
        }
    )


def a_run(number: int, state: Any = "set", go: int = 0) -> Run:
    """A run of the heat of `a_competition`."""
    return Run(heat="heat", number=number, state=state, go_server_ms=go)


def reps(count: int, lane: int = 1, run: int = 1, from_ms: int = 0) -> list[Plain]:
    """That many repetitions on a lane's sheet of `a_competition`, one each half second."""
    sheet = Sheet(f"asg_{lane}", run)
    return [sheet.rep(from_ms + 500 * i) for i in range(count)]
