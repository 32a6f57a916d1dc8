"""The formats and the sheet that the rule book's tests share."""

from typing import Any

from app.rules.formats import (
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
from app.rules.presets import mirrored_pair
from app.rules.units import Load, LoadUnit

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
    "pair": mirrored_pair(),
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

    def mark(self, kind: str, at: int, win: int | None = None, **body: Any) -> dict[str, Any]:
        """One mark as JSON."""
        self.seq += 1
        prefix = "".join(f"{ord(c):02x}" for c in (self.sheet + self.device))[-20:]
        return {
            "id": f"{prefix:0<20}{self.seq:012x}",
            "sheet": self.sheet,
            "device": self.device,
            "epoch": 1,
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
