"""The podium: who came first, second and third, division by division."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.results.explaining import ResultsPage, ResultTable

STEPS = 3  # as many as a podium has, common practice; more entries where places are shared
PLACE = re.compile(r"=?(\d+)")


@dataclass(frozen=True, slots=True)
class PodiumLine:
    """One who stands on the podium: the place as text and as a number, who, the score."""

    step: int
    place: str
    entry: str
    members: str
    score: str


@dataclass(frozen=True, slots=True)
class Podium:
    """The podium of one standing, the winner first; `state` says how final it is, `notes` what its sign-off left out and what was
    changed since."""

    division: str
    title: str
    state: str
    lines: tuple[PodiumLine, ...]
    notes: tuple[str, ...] = ()


def podiums(page: ResultsPage | None) -> tuple[Podium, ...]:
    """The podium of each division: of its overall standing where there is one, else of each of its standings."""
    if page is None:
        return ()
    overall = {table.division for table in page.tables if table.anchor.startswith("overall-") and _lines(table)}
    wanted = [table for table in page.tables if table.anchor.startswith(("overall-", "teams-")) or table.division not in overall]
    found = (Podium(table.division, table.title, table.state, _lines(table), table.notes) for table in wanted)
    return tuple(podium for podium in found if podium.lines)


def _lines(table: ResultTable) -> tuple[PodiumLine, ...]:
    steps: Sequence[tuple[int, int]] = [
        (int(place[1]), n) for n, line in enumerate(table.lines) if (place := PLACE.fullmatch(line.place))
    ]
    lines = [(step, table.lines[n]) for step, n in steps if step <= STEPS]
    return tuple(PodiumLine(step, line.place, line.entry, line.members, line.score) for step, line in lines)
