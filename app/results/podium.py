"""The podium: who came first, second and third, division by division."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.hall.club_colours import club_colours
from app.hall.hall import Hall
from app.live.entry_pictures import pictures_of
from app.results.explaining import ResultLine, ResultsPage, ResultTable

STEPS = 3  # as many as a podium has, common practice; more entries where places are shared
PLACE = re.compile(r"=?(\d+)")


@dataclass(frozen=True, slots=True)
class PodiumLine:
    """One who stands on the podium: the place as text and as a number, who, the score; its clubs' colours, and where its picture
    is, or nothing."""

    step: int
    place: str
    entry: str
    members: str
    score: str
    colours: tuple[str, ...] = ()
    picture: str = ""


@dataclass(frozen=True, slots=True)
class Looks:
    """What stands beside the names on a podium, by entry: the colours of its clubs, where its picture is."""

    colours: Mapping[str, tuple[str, ...]]
    pictures: Mapping[str, str]


NAMES_ALONE = Looks({}, {})


@dataclass(frozen=True, slots=True)
class Podium:
    """The podium of one standing, the winner first; `state` says how final it is, `notes` what its sign-off left out and what was
    changed since."""

    division: str
    title: str
    state: str
    lines: tuple[PodiumLine, ...]
    notes: tuple[str, ...] = ()


def looks_of(hall: Hall) -> Looks:
    """What stands beside names on the hall's own screens."""
    roster = hall.projection.roster
    colours = club_colours(roster) if roster else {}
    return Looks(colours, pictures_of(hall.database, hall.projection))


def podiums(page: ResultsPage | None, looks: Looks = NAMES_ALONE) -> tuple[Podium, ...]:
    """The podium of each division: of its overall standing where there is one, else of each of its standings."""
    if page is None:
        return ()
    overall = {table.division for table in page.tables if table.anchor.startswith("overall-") and _lines(table, looks)}
    wanted = [table for table in page.tables if table.anchor.startswith(("overall-", "teams-")) or table.division not in overall]
    found = (Podium(table.division, table.title, table.state, _lines(table, looks), table.notes) for table in wanted)
    return tuple(podium for podium in found if podium.lines)


def _lines(table: ResultTable, looks: Looks) -> tuple[PodiumLine, ...]:
    steps: Sequence[tuple[int, int]] = [
        (int(place[1]), n) for n, line in enumerate(table.lines) if (place := PLACE.fullmatch(line.place))
    ]
    lines = [(step, table.lines[n]) for step, n in steps if step <= STEPS]
    return tuple(_line(step, line, looks) for step, line in lines)


def _line(step: int, line: ResultLine, looks: Looks) -> PodiumLine:
    beside = looks.colours.get(line.entry_id, ()), looks.pictures.get(line.entry_id, "")
    return PodiumLine(step, line.place, line.entry, line.members, line.score, *beside)
