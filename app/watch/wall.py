"""What a wall screen shows, as pieces of JSON by name: a screen is sent those that changed, and draws the scene they make.

Which scene that is a screen decides by itself, from the clock and from what the desk has said: see its scene.js.
All standings and lanes are those that the board has made already: while nobody looks at a wall, none of this is made.
"""

import json
from collections.abc import Generator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Self

from app.hall.club_colours import club_colours
from app.hall.hall import Hall
from app.hall.heats import clock_json, event_of, in_day_order, lane_tally, newest_runs
from app.hall.lane_scores import score_so_far
from app.hall.result_words import other_names
from app.live.entry_pictures import pictures_of
from app.live.kept_views import KeptViews
from app.results.explaining import results_page
from app.results.podium import looks_of, podiums
from app.results.results_state import said_of
from app.rules.records.document import Run
from app.rules.records.roster import Entry, Heat, Roster
from app.rules.records.seats import TABLET_SHEETS
from app.rules.values.words import known
from app.watch.board_floor import FloorView, LaneView
from app.watch.board_lifts import is_lift
from app.watch.board_views import BoardView, PanelView, RowView
from app.watch.shown import heats_there
from app.watch.wall_lanes import Compared, groups, standing_name, wall_lane
from app.watch.wall_views import WaitingHeat, WaitingLane, WallFloor, WallHead, WallLane, WallPanel, WallRace, WallRow

MOST_WAITING = 3  # heats to come that a wall shows one after another

Pieces = Mapping[str, str]
Made = Generator[None, None, Pieces]


def wall_steps(hall: Hall, kept: KeptViews, view: BoardView | None, said: str) -> Made:
    """All pieces of the wall by name, in small steps, made of a version of the board; `said`: the scene the desk has chosen."""
    roster = hall.projection.roster
    if roster is None or view is None:
        return {"head": _json(WallHead("", "", said, 0, "", (), (), ()))}
    found: dict[str, str] = {}
    pictures = pictures_of(hall.database, hall.projection)
    people = kept.view("people", (roster, pictures), None, lambda: _People.of(roster, pictures))
    runs = newest_runs(hall.projection.runs)
    heat = next((heat for heat in roster.heats if view.floor and heat.id == view.floor.heat), None)
    if view.floor is not None and heat is not None:
        found |= yield from _floor(hall, kept, roster, people, view.floor, heat, runs[heat.id])
    for panel in view.panels:
        for row in panel.rows:
            found[row.id] = kept.view(row.id, (row,), None, lambda row=row: _json(_row(row)))  # type: ignore[misc]
        found[f"panel-{panel.id}"] = _json(_panel(panel, heat))
        yield
    there = {one.id for one in heats_there(roster, view.lane) if one.id not in runs or runs[one.id].state == "stopped"}
    waiting = [one for one in in_day_order(roster) if one.lanes and one.id in there]
    for one in waiting[:MOST_WAITING]:
        made = kept.view(f"heat-{one.id}", (people,), None, lambda one=one: _json(people.heat(roster, one)))  # type: ignore[misc]
        found[f"heat-{one.id}"] = made
        yield
    podium = () if waiting or not runs else kept.view("podium", (people,), said_of(hall), lambda: _podiums(hall))
    found |= {f"podium-{number}": text for number, text in enumerate(podium)}
    found["head"] = _json(_head(view, said, waiting, len(podium)))
    return found


def _json(view: Any) -> str:
    return json.dumps(asdict(view), ensure_ascii=False, separators=(",", ":"))


def _head(view: BoardView, said: str, waiting: list[Heat], podium: int) -> WallHead:
    return WallHead(
        competition=view.competition,
        where=view.where,
        said=said,
        waiting=len(waiting),
        beside=view.beside.words,
        panels=tuple(f"panel-{panel.id}" for panel in view.panels if panel.turns),
        heats=tuple(f"heat-{heat.id}" for heat in waiting[:MOST_WAITING]),
        podiums=tuple(f"podium-{number}" for number in range(podium)),
    )


def _podiums(hall: Hall) -> tuple[str, ...]:
    return tuple(_json(podium) for podium in podiums(results_page(hall), looks_of(hall)))


def _row(row: RowView) -> WallRow:
    score = (row.score, row.unit, row.note)
    return WallRow(row.id, row.place, row.entry, row.members, *score, row.variant, row.colours)


def _panel(panel: PanelView, heat: Heat | None) -> WallPanel:
    fresh = {lane.entry for lane in heat.lanes} if heat is not None else set()
    event = heat.event if heat is not None and panel.id.startswith(f"{heat.event}-") else ""
    rows = tuple(row.id for row in panel.rows)
    just_now = tuple(row for row in rows if event and row.removeprefix(f"row-{panel.id}-") in fresh)
    return WallPanel(panel.id, panel.division, panel.title, panel.state, known(panel.score_name), event, rows, just_now)


def _floor(
    hall: Hall, kept: KeptViews, roster: Roster, people: "_People", shown: FloorView, heat: Heat, run: Run
) -> Generator[None, None, dict[str, str]]:
    """The pieces of the heat on the floor: one for each lane, and one for what they share."""
    found: dict[str, str] = {}
    compared: list[Compared] = []
    of = {f"lane-{lane.id}": lane for lane in heat.lanes}
    for view in shown.lanes:
        place = hall.projection.place_of(of[view.id].id) if view.id in of else None
        if place is None:
            continue
        tally = lane_tally(hall, run, place.assignment)
        made = score_so_far(hall, place, tally)
        compared.append((view.id, standing_name(roster, place, view.division), made))

        def piece(view: LaneView = view, place: Any = place, tally: Any = tally, made: Any = made) -> str:
            sheets = (hall.projection.sheet_marks(f"{place.assignment.id}/{run.number}/{kind}") for kind in TABLET_SHEETS)
            marks = [mark for sheet in sheets for mark in sheet]
            entry = place.assignment.entry
            beside = people.club_of(entry), people.pictures.get(entry, "")
            lane: WallLane = wall_lane(roster, place, view, tally, made, marks, *beside)
            return _json(lane)

        found[view.id] = kept.view(view.id, (view, people, tally), None, piece)
        yield
    event = event_of(roster, heat)
    floor = WallFloor(
        heat=heat.id,
        event=event.name,
        number=heat.number,
        state=shown.state,
        go_ms=shown.go_server_ms,
        boot=shown.boot,
        bound_ms=shown.bound_ms,
        holds=shown.holds,
        clock=clock_json(event.format),
        unit=shown.unit,
        lifting=tuple(i for i, window in enumerate(event.format.windows) if is_lift(event.format, window.task)),
        lanes=tuple(view.id for view in shown.lanes if view.id in found),
    )
    called = next((f"lane-{lane.id}" for lane in heat.lanes if lane.lane == shown.called), "")
    race = WallRace(groups(compared), shown.order, shown.after, called, shown.attempt)
    found |= {"floor": _json(floor), "race": _json(race)}
    return found


@dataclass(frozen=True, slots=True)
class _People:
    """Who competes, as a wall names them; looked up for every lane."""

    entries: Mapping[str, Entry]
    names: Mapping[str, str]
    divisions: Mapping[str, str]
    clubs: Mapping[str, str]  # of each athlete
    colours: Mapping[str, tuple[str, ...]]
    pictures: Mapping[str, str]

    @classmethod
    def of(cls, roster: Roster, pictures: Mapping[str, str]) -> Self:
        names = {club.id: club.name for club in roster.clubs}
        return cls(
            {entry.id: entry for entry in roster.entries},
            {athlete.id: athlete.name for athlete in roster.athletes},
            {division.id: division.name for division in roster.divisions},
            {athlete.id: names.get(athlete.club or "", "") for athlete in roster.athletes},
            club_colours(roster),
            pictures,
        )

    def club_of(self, entry: str) -> str:
        """The clubs of an entry's members, each once."""
        return ", ".join(dict.fromkeys(club for one in self.entries[entry].members if (club := self.clubs[one])))

    def heat(self, roster: Roster, heat: Heat) -> WaitingHeat:
        """A heat to come."""
        lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
        return WaitingHeat(
            heat=heat.id,
            event=event_of(roster, heat).name,
            number=heat.number,
            planned=heat.planned or "",
            lanes=tuple(self._waits(lane.lane, self.entries[lane.entry]) for lane in lanes),
        )

    def _waits(self, lane: int, entry: Entry) -> WaitingLane:
        members = other_names(entry, [self.names[member] for member in entry.members])
        division = self.divisions[entry.division]
        return WaitingLane(lane, entry.name, division, members, self.club_of(entry.id), *self._look(entry.id))

    def _look(self, entry: str) -> tuple[tuple[str, ...], str]:
        return self.colours.get(entry, ()), self.pictures.get(entry, "")
