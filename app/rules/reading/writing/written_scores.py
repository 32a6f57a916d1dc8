"""Scores as the reader reads them back."""

import re
from collections.abc import Iterator

from app.rules.values.clock_times import minutes_text
from app.rules.workout.formats import Format, LiftTask, ListTask, MeasureTask, ScoreRule
from app.rules.workout.tie_steps import TIE_STEPS

TIES = {
    "time_of_count": "who reached the count sooner",
    "bodyweight": "the lighter entry",
    "earlier_best": "who made the best lift sooner",
}


EACH_LIFT = "Each lift is ranked as well"
OF_EACH = re.compile(EACH_LIFT + r"(?:, equal loads: (?P<ties>.+?))?\.?", re.IGNORECASE)


def read_each_lift(text: str) -> tuple[str, ...] | None:
    """The ties of each lift that is ranked beside the total, as such a sentence says them; None where it says it otherwise."""
    found = OF_EACH.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    known = {TIES.get(kind, step.plain): kind for kind, step in TIE_STEPS.items() if not step.asks}
    told = found["ties"].split(", then ") if found["ties"] else []
    return tuple(known[words] for words in told) if all(words in known for words in told) else None


def score_lines(format: Format) -> Iterator[str]:
    """Every score; several are ranked each on its own, or each lift beside its total."""
    if each := _each_lift(format):
        format = format.model_copy(update={"scores": format.scores[:1]})
        yield from score_lines(format)
        yield each
        return
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


def _each_lift(format: Format) -> str:
    """What follows a total of lifts where each of them has a score of its own, and nothing else; empty else."""
    total, *others = format.scores
    places = [format.window_indexes(part) for part in total.parts]
    own = [format.window_indexes(one.parts[0]) for one in others]
    tasks = [format.tasks[format.windows[place[0]].task or ""] for place in places if place]
    alike = len({(one.ties, one.every_part, one.unit, len(one.parts)) for one in others}) == 1
    if len(places) < 2 or own != places or not alike or not all(isinstance(task, LiftTask) for task in tasks):
        return ""
    ties = others[0].ties
    if others[0].every_part != total.every_part or any(TIE_STEPS[step.kind].asks for step in ties):
        return ""
    told = ", then ".join(TIES.get(step.kind, step.plain()) for step in ties)
    return f"{EACH_LIFT}, equal loads: {told}." if told else f"{EACH_LIFT}."


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
