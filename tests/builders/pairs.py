"""An invented competition of pairs as a competition file, with as many entries, lanes and marks as a test asks for."""

from collections.abc import Sequence
from typing import Any

from app.rehearsal.turns import MARKINGS, turn_about
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.marks import parse_mark
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat

FORMAT = turn_about()
GIVEN = ("Ana", "Bo", "José", "Mira", "Tove", "Ilse", "Noor", "Pim", "Rafa", "Sanne", "Uma", "Wout")
FAMILY = ("Ek", "Lind", "Moor", "Hart", "Vale", "Brook", "Stone", "Reed")
TAPS, PUSHUPS, SQUAT = (
    [i for i, window in enumerate(FORMAT.windows) if window.task == task] for task in ("handtaps", "pushups", "squat")
)


def a_file(
    names: Sequence[Sequence[str]] = (("Chalk Lines", "Iron Larks"), ("Two Left", "Slow Burn")),
    done: Sequence[tuple[int, int, int]] = (),
    heat_of: int = 4,
    go_server_ms: int = 0,
    boot: str = "boot",
    runs: int = 1,
) -> CompetitionFile:
    """Entries by division, in heats of `heat_of` lanes; the first `runs` heats have had their GO.

    done: for each entry in order, taps, push-ups and the best squat in kg; those without a place in it have no marks.
    """
    entries = [(d, n, name) for d, division in enumerate(names) for n, name in enumerate(division)]
    ids = [f"ent_{d}_{n}" for d, n, _ in entries]
    athletes = [a for i in range(len(entries)) for a in (_athlete(2 * i), _athlete(2 * i + 1))]
    heats = [
        Heat(
            id=f"heat_{h + 1}",
            event="evt",
            number=h + 1,
            planned=f"{10 + h // 3}:{h % 3 * 20:02d}",
            lanes=tuple(
                Assignment(id=f"asg_{start + i}", lane=i + 1, entry=key) for i, key in enumerate(ids[start : start + heat_of])
            ),
        )
        for h, start in enumerate(range(0, len(ids), heat_of))
    ]
    marks = [mark for i, what in enumerate(done) for mark in marks_for(f"asg_{i}", *what)]
    return CompetitionFile(
        competition=Competition(id="cmp", name="Harbour Hall Open", place="Harbour Hall", day="2031-05-17", unit="kg"),
        divisions=tuple(Division(id=f"div_{d}", name=name) for d, name in zip(range(len(names)), DIVISIONS, strict=False)),
        clubs=(Club(id="club_1", name="Quay Barbell"), Club(id="club_2", name="North Pier")),
        athletes=tuple(athletes),
        entries=tuple(
            Entry(id=key, division=f"div_{d}", name=name, members=(f"ath_{2 * i}", f"ath_{2 * i + 1}"))
            for i, (key, (d, _, name)) in enumerate(zip(ids, entries, strict=True))
        ),
        events=(Event(id="evt", name="Turns", format=FORMAT),),
        markings={"evt": MARKINGS},
        heats=tuple(heats),
        runs=tuple(
            Run(heat=f"heat_{h}", number=1, go_server_ms=go_server_ms, go_wall_ms=1_900_000_000_000 + h, boot=boot)
            for h in range(1, runs + 1)
        ),
        marks=tuple(parse_mark(mark) for mark in marks),
    )


DIVISIONS = ("Open pairs", "Masters pairs", "Novice pairs")


def marks_for(assignment: str, taps: int, pushups: int, squat: int) -> list[dict[str, Any]]:
    """The marks of one lane: repetitions shared by both members' windows, the heavier squat by the first."""
    made: list[dict[str, Any]] = []

    def mark(kind: str, at: int, win: int, **body: Any) -> None:
        made.append(a_mark(assignment, len(made) + 1, kind, at, win, **body))

    for windows, total in ((TAPS, taps), (PUSHUPS, pushups)):
        for turn, win in enumerate(windows):
            start = FORMAT.windows[win].start_ms
            share = total // 2 + (total % 2 if turn == 0 else 0)
            for i in range(share):
                mark("rep", start + 200 + i * 600, win)
    for win, load in zip(SQUAT, (squat, squat - 40), strict=True):
        if load > 0:
            start = FORMAT.windows[win].start_ms
            mark("declare", start, win, load={"amount": str(load), "unit": "kg"}, by="judge")
            mark("lift", start + 20_000, win, load={"amount": str(load), "unit": "kg"}, good=True)
    return made


def a_mark(assignment: str, seq: int, kind: str, at: int, win: int | None, run: int = 1, **body: Any) -> dict[str, Any]:
    """One mark as JSON, with an id that follows from its sheet and number."""
    lane = int(assignment.removeprefix("asg_"))
    return {
        "id": f"{lane:08x}{run:08x}{seq:016x}",
        "sheet": f"{assignment}/{run}/lane",
        "device": f"tab_{lane}",
        "epoch": run,
        "seq": seq,
        "kind": kind,
        "at": at,
        "err": 3,
        "win": win,
        "body": body,
    }


def _athlete(i: int) -> Athlete:
    return Athlete(id=f"ath_{i}", name=f"{GIVEN[i % len(GIVEN)]} {FAMILY[i // 3 % len(FAMILY)]}", club=f"club_{i % 2 + 1}")
