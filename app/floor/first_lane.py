"""A judge's first lane of the day, told from the rest: before it the tablet offers a practice heat."""

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime

from app.rules.records.document import Run
from app.rules.records.roster import Heat

Judged = Mapping[str, frozenset[str]]
"""Judge by name -> the heats in which they stood at a lane today."""


def judged_today(heats: Iterable[Heat], runs: Iterable[Run], now_wall_ms: int) -> Judged:
    """Who has had a GO today that was not stopped, in this computer's own time of day."""
    today = _day(now_wall_ms)
    gone = {run.heat for run in runs if run.state != "stopped" and _day(run.go_wall_ms) == today}
    found: dict[str, frozenset[str]] = {}
    for heat in heats:
        for lane in heat.lanes if heat.id in gone else ():
            found[lane.judge] = found.get(lane.judge, frozenset()) | {heat.id}
    return found


def judged_before(judged: Judged, judge: str, heat: str) -> bool:
    """Whether a judge has stood at a lane in another heat today. Nobody knows that of a lane whose judge has no name."""
    return bool(judge and judged.get(judge, frozenset()) - {heat})


def _day(wall_ms: int) -> date:
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone().date()
