"""What went wrong in the demo's first heat: odd marks for the head judge's queue, and a ruling that was made already."""

from app.demo.judge import ERROR_MS
from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.roster import Heat, Protest
from app.rules.records.rulings import Ruling
from app.rules.values.ids import mark_id
from app.rules.workout.formats import CountTask, Format

HEAD_JUDGE = "Ruth Abel"
LATE_LANE, RULED_LANE = 1, 3  # places in the heat's lanes, from 0


def late_marks(format: Format, heat: Heat, run: Run) -> list[Mark]:
    """Two repetitions that a judge marked well after the bell of the first window of counting."""
    index, window = next((i, w) for i, w in enumerate(format.windows) if w.task and isinstance(format.tasks[w.task], CountTask))
    sheet = f"{heat.lanes[LATE_LANE].id}/{run.number}/lane"
    times = (window.end_ms + format.late_ms + 500, window.end_ms + format.late_ms + 1_700)
    return [
        Mark(mark_id(run.go_wall_ms + at, 4000 + n), sheet, "demo-late", 1, n, "rep", at, ERROR_MS, index, {})
        for n, at in enumerate(times, start=1)
    ]


def first_ruling(format: Format, heat: Heat, run: Run, wall_ms: int) -> Ruling:
    """A repetition given by the head judge in the first heat."""
    index = next(i for i, w in enumerate(format.windows) if w.task and isinstance(format.tasks[w.task], CountTask))
    lane = heat.lanes[RULED_LANE]
    return Ruling(
        id="rul_demo",
        kind="reps",
        assignment=lane.id,
        entry=lane.entry,
        event=heat.event,
        body={"add": 1, "window": index, "run": run.number},
        by=HEAD_JUDGE,
        why="The judge's view was blocked for one repetition; the second row saw it.",
        made_wall_ms=wall_ms,
    )


def first_protest(heat: Heat, wall_ms: int) -> Protest:
    """What a pair of the first heat brought to the desk."""
    return Protest(
        id="prt_demo",
        entry=heat.lanes[LATE_LANE].entry,
        event=heat.event,
        text="Our last two presses were done before the bell. The judge tapped them late.",
        by="Dot Penhale",
        via="desk",
        filed_wall_ms=wall_ms,
    )
