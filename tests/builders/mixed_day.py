"""An invented day on which single athletes, pairs and trios compete, each in events of their own."""

from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import Any

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import parse_mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat
from app.rules.workout.formats import CountTask, Format, Movement, Part, ScoreRule, Window

DIVISIONS = {"solo": "Single athletes", "pairs": "Pairs", "trios": "Trios"}
SIZES = {"solo": 1, "pairs": 2, "trios": 3}


def counted(members: int) -> Format:
    """A minute of swings for an entry of so many."""
    return Format(
        members=members,
        movements={"swing": Movement(name="Swings")},
        tasks={"swings": CountTask(movement="swing")},
        windows=(Window(start=0, seconds=60, task="swings"),),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("swings",)),)),),
    )


def an_entry(key: str, division: str, size: int) -> Entry:
    """An entry of so many athletes, whose names follow from its own."""
    return Entry(id=key, division=division, name=f"Entry {key}", members=tuple(f"{key}-{n}" for n in range(size)))


def a_mixed_day(
    entries: Sequence[Entry] = (),
    events: Sequence[Event] = (),
    lanes: Mapping[str, Sequence[str]] | None = None,
    reps: Mapping[tuple[str, str], int] | None = None,
    overall: OverallRule | None = None,
) -> CompetitionFile:
    """A day of these entries and events; by default two entries of each size, and an event for each size that names nobody.

    `lanes`: by event, the entries of its one heat, on lanes from 1. `reps`: by event and entry, how many were counted.
    """
    entries = entries or [an_entry(f"{division}{n}", division, size) for division, size in SIZES.items() for n in (1, 2)]
    events = events or [Event(id=f"for-{n}", name=f"Event of {n}", format=counted(n)) for n in (1, 2, 3)]
    people = dict.fromkeys(member for entry in entries for member in entry.members)
    heats = [_heat(event, standing) for event, standing in (lanes or {}).items()]
    return CompetitionFile(
        competition=Competition(id="cmp", name="Mixed Day"),
        divisions=tuple(Division(id=key, name=name) for key, name in DIVISIONS.items()),
        athletes=tuple(Athlete(id=one, name=f"Athlete {one}") for one in people),
        entries=tuple(entries),
        events=tuple(events),
        heats=tuple(heats),
        overall=overall,
        runs=tuple(Run(heat=f"heat-{event}", number=1, boot="boot") for event in dict.fromkeys(event for event, _ in reps or {})),
        marks=tuple(parse_mark(mark) for (event, entry), n in (reps or {}).items() for mark in _marks(event, entry, n)),
    )


def _heat(event: str, standing: Sequence[str]) -> Heat:
    lanes = tuple(Assignment(id=f"{event}-{entry}", lane=n, entry=entry) for n, entry in enumerate(standing, 1))
    return Heat(id=f"heat-{event}", event=event, number=1, lanes=lanes)


def _marks(event: str, entry: str, reps: int) -> list[dict[str, Any]]:
    sheet, device = f"{event}-{entry}/1/lane", f"tab_{event}_{entry}".replace("-", "_")
    plain = {"sheet": sheet, "device": device, "epoch": 1, "kind": "rep", "err": 3, "win": 0, "body": {}}
    key = sha256(sheet.encode()).hexdigest()[:24]
    return [plain | {"id": f"{key}{n:08x}", "seq": n, "at": 1000 * n} for n in range(1, reps + 1)]
