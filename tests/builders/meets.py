"""An invented meet over three events and four scores, for the tests of standings: variants, several counters, ties, penalties."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import parse_mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat
from app.rules.records.rulings import Ruling
from app.rules.values.units import Load
from app.rules.workout.formats import (
    CountTask,
    Fault,
    Format,
    LiftTask,
    ListTask,
    Movement,
    Part,
    ScoreRule,
    TieStep,
    Variant,
    Window,
    WorkItem,
)
from app.rules.workout.joining import JoinRule

LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
OPEN = ("Ada Quill", "Bo Farrow", "Cy Marlow", LONG, "Dot Penhale")
MASTERS = ("Edda Thorne", "Finn Oakley-Marsh", "Gil Haverstock")
NAMES = (*OPEN, *MASTERS)

SWING = Movement(name="Swings", faults=(Fault(id="height", name="Not to eye height"), Fault(id="feet", name="Feet moved")))
PULL = Movement(name="Deadlift")
WALK = Movement(name="Walks of the hall")


def swings() -> Format:
    """A minute of swings, a minute of rest, a minute of swings; three counters; lighter and scaled variants."""
    lighter = Movement(name="Light swings", faults=SWING.faults)
    return Format(
        counters=JoinRule(how="closest_two", recount_beyond=2),
        movements={"swing": SWING},
        tasks={"swings": CountTask(movement="swing")},
        windows=(
            Window(start=0, seconds=60, task="swings"),
            Window(start=60, seconds=60),
            Window(start=120, seconds=60, task="swings"),
        ),
        scores=(
            ScoreRule(
                unit="reps",
                parts=(Part(take="sum", tasks=("swings",)),),
                ties=(TieStep(kind="count_at", at=60), TieStep(kind="bodyweight")),
            ),
        ),
        variants=(
            Variant(id="light", name="Light bell", movements={"swing": lighter}),
            Variant(id="scaled", name="Scaled", ranked="apart", movements={"swing": lighter}),
        ),
    )


def errands() -> Format:
    """Twelve repetitions of work for time, a minute's cap."""
    work = (WorkItem(movement="walk", reps=4), WorkItem(movement="swing", reps=8))
    return Format(
        movements={"swing": SWING, "walk": WALK},
        tasks={"errands": ListTask(items=work)},
        windows=(Window(start=0, seconds=60, task="errands"),),
        scores=(ScoreRule(unit="s", better="less", parts=(Part(take="time", tasks=("errands",)),)),),
    )


def heavy() -> Format:
    """Swings, then a deadlift; each a score of its own."""
    lift = LiftTask(movement="pull", bar=Load("20", "kg"), step=Load("1", "kg"), least_plate=Load("0.5", "kg"))
    return Format(
        movements={"swing": SWING, "pull": PULL},
        tasks={"swings": CountTask(movement="swing"), "pulls": lift},
        windows=(Window(start=0, seconds=60, task="swings"), Window(start=60, seconds=120, task="pulls")),
        scores=(
            ScoreRule(id="reps", name="Swings", unit="reps", parts=(Part(take="sum", tasks=("swings",)),)),
            ScoreRule(id="lift", name="Deadlift", unit="kg", parts=(Part(take="best", tasks=("pulls",)),)),
        ),
    )


# Swings in both windows, seconds for the errands (None: capped), repetitions before the deadlift, deadlift in lb.
DONE: Mapping[str, tuple[int, int, int | None, int, int]] = {
    "Ada Quill": (20, 22, 46, 30, 300),
    "Bo Farrow": (22, 20, 39, 31, 300),
    "Cy Marlow": (18, 15, None, 31, 225),
    LONG: (20, 22, 44, 12, 405),
    "Edda Thorne": (11, 10, 55, 20, 185),
    "Finn Oakley-Marsh": (11, 9, 50, 22, 185),
    "Gil Haverstock": (9, 9, 52, 19, 205),
}
EVENTS = (("swings", "Swings"), ("errands", "Errands for the hall"), ("heavy", "Heavy and quick"))


def a_meet(
    overall: OverallRule | None = None,
    done: Mapping[str, tuple[int, int, int | None, int, int]] = DONE,
    rulings: Sequence[Ruling] = (),
    extra: Iterable[Mapping[str, Any]] = (),
    chosen: Mapping[str, str] | None = None,
    events: int = 3,
) -> CompetitionFile:
    """The meet; `extra` are more marks, `chosen` the variants that entries chose in the swings, `events` how many have been run.

    Entry n (`ent_n`, from 1, in the order of NAMES) stands on lane n; its assignment in event e (from 1) is `asg_en`.
    """
    divisions = (Division(id="open", name="Open"), Division(id="masters", name="Masters"))
    formats = {"swings": swings(), "errands": errands(), "heavy": heavy()}
    marks = [mark for n, name in enumerate(NAMES, 1) if name in done for mark in _marks(n, done[name], events)]
    return CompetitionFile(
        competition=Competition(id="cmp", name="Harbour Hall Meet", place="Harbour Hall", day="2031-05-17", unit="kg"),
        divisions=divisions,
        clubs=(Club(id="quay", name="Quay Barbell"),),
        athletes=tuple(
            Athlete(id=f"ath_{n}", name=name, club="quay" if n % 2 else None, bodyweight=Load(str(60 + n), "kg"))
            for n, name in enumerate(NAMES, 1)
        ),
        entries=tuple(
            Entry(id=f"ent_{n}", division="open" if name in OPEN else "masters", name=name, members=(f"ath_{n}",))
            for n, name in enumerate(NAMES, 1)
        ),
        events=tuple(
            Event(id=key, name=name, format=formats[key], variants={"masters": "light"} if key == "swings" else {})
            for key, name in EVENTS
        ),
        heats=tuple(_heat(e, key, chosen or {}) for e, (key, _) in enumerate(EVENTS, 1)),
        overall=overall,
        runs=tuple(Run(heat=f"heat_{e}", number=1, go_wall_ms=1_900_000_000_000 + e, boot="boot") for e in range(1, events + 1)),
        rulings=tuple(rulings),
        marks=tuple(parse_mark(mark) for mark in [*marks, *extra]),
    )


def _heat(number: int, event: str, chosen: Mapping[str, str]) -> Heat:
    lanes = tuple(
        Assignment(
            id=f"asg_{number}{n}", lane=n, entry=f"ent_{n}", judge="Imre", variant=chosen.get(name, "") if number == 1 else ""
        )
        for n, name in enumerate(NAMES, 1)
    )
    return Heat(id=f"heat_{number}", event=event, number=1, planned=f"1{number}:00", lanes=lanes)


def a_mark(sheet: str, seq: int, kind: str, at: int, win: int | None = 0, **body: Any) -> dict[str, Any]:
    """One mark of a sheet such as `asg_11/1/lane`; its id and device follow from the sheet."""
    assignment, run, counter = sheet.split("/")
    lane = int(assignment.removeprefix("asg_"))
    place = 1 + ["lane", "second", "third", "video"].index(counter)
    return {
        "id": f"{lane:08x}{place:04x}{int(run):04x}{seq:016x}",
        "sheet": sheet,
        "device": f"tab_{lane}_{counter}",
        "epoch": 1,
        "seq": seq,
        "kind": kind,
        "at": at,
        "err": 3,
        "win": win,
        "body": body,
    }


def counted(sheet: str, *windows: tuple[int, int, int]) -> list[dict[str, Any]]:
    """Repetitions on a sheet: for each (window, its first ms, count) one each half second."""
    times = [(win, start + 500 * i) for win, start, count in windows for i in range(count)]
    return [a_mark(sheet, seq, "rep", at, win) for seq, (win, at) in enumerate(times, 1)]


def _marks(n: int, done: tuple[int, int, int | None, int, int], events: int) -> list[dict[str, Any]]:
    first, second, seconds, reps, load = done
    marks = counted(f"asg_1{n}/1/lane", (0, 200, first), (2, 120_200, second))
    if events > 1:
        work = 12 if seconds is not None else 9
        marks += counted(f"asg_2{n}/1/lane", (0, 1_000, work))
        if seconds is not None:
            marks.append(a_mark(f"asg_2{n}/1/lane", 90, "finish", seconds * 1000))
    if events > 2:
        marks += counted(f"asg_3{n}/1/lane", (0, 200, reps))
        said = {"load": {"amount": str(load), "unit": "lb"}}
        marks.append(a_mark(f"asg_3{n}/1/lane", 90, "declare", 61_000, 1, **said, by="judge"))
        marks.append(a_mark(f"asg_3{n}/1/lane", 91, "lift", 70_000, 1, **said, good=True))
    return marks


def penalty(entry: str, event: str, amount: str, number: int = 1) -> Ruling:
    """A penalty on an entry in an event."""
    about = {"id": f"rul_{number}", "kind": "penalty", "entry": entry, "event": event, "body": {"amount": amount}}
    return Ruling.model_validate({**about, "by": "Sam", "why": "Chalk thrown", "made_wall_ms": number})


def status(entry: str, event: str | None, what: str, number: int = 1) -> Ruling:
    """A status of an entry in an event, or in all."""
    about = {"id": f"rul_{number}", "kind": "status", "entry": entry, "event": event, "body": {"status": what}}
    return Ruling.model_validate({**about, "by": "Sam", "why": "Seen", "made_wall_ms": number})
