"""Scores as the reader reads them back."""

from collections.abc import Iterator

from app.rules.values.clock_times import minutes_text
from app.rules.workout.formats import Format, LiftTask, ListTask, MeasureTask, ScoreRule

TIES = {
    "time_of_count": "who reached the count sooner",
    "bodyweight": "the lighter entry",
    "earlier_best": "who made the best lift sooner",
}


def score_lines(format: Format) -> Iterator[str]:
    """Every score; several are ranked each on its own."""
    if len(format.scores) > 1:
        yield from (f"Score “{score.name}”." for score in format.scores)
        yield "Each part is ranked on its own."
    else:
        yield f"Score “{format.scores[0].name}”: {_taken(format, format.scores[0])}"
    first = format.scores[0]
    if first.cap_adds is not None and first.cap_adds.denominator == 1 and first.cap_adds > 0:
        yield f"Each repetition left at the cap adds {minutes_text(int(first.cap_adds))}."
    if first.every_part:
        yield "No total without a good lift in each."
    if first.ties:
        yield f"Tie-break: {', '.join(TIES.get(step.kind, step.plain()) for step in first.ties)}."


def _taken(format: Format, score: ScoreRule) -> str:
    takes = {part.take for part in score.parts}
    scored = [format.windows[place] for part in score.parts for place in format.window_indexes(part)]
    kinds = {type(format.tasks[window.task or ""]) for window in scored}
    if takes == {"time"}:
        return "finish time"
    if takes == {"heaviest"}:
        return "heaviest load done"
    if kinds == {LiftTask} and takes <= {"best", "member_best"}:
        return "total load" if len(score.parts) > 1 else "heaviest load"
    if any(part.drop for part in score.parts):
        return "total reps without the lowest"
    if takes == {"worst"}:
        return "lowest window"
    if takes == {"best"} and MeasureTask not in kinds:
        return "best window" if len(format.windows) > 1 else "total"
    if score.unit in ("kg", "lb") and kinds != {ListTask}:
        return f"total, in {score.unit}"
    return "best window" if takes == {"best"} and len([one for one in format.windows if one.task]) > 1 else "total"
