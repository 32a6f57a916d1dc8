"""The overall standing of each division as the public board shows it, where two or more scores are added up, and its teams."""

from collections.abc import Generator

from app.hall.club_colours import Worn, club_colours
from app.hall.hall import Hall
from app.hall.result_words import (
    other_names,
    overall_cell_text,
    overall_note,
    overall_path,
    overall_unit,
    shared_place,
    spoken_place,
)
from app.live.kept_views import KeptViews
from app.results.results_state import all_signed, stated_overall
from app.rules.records.roster import Roster
from app.rules.records.team_rule import TeamRule
from app.rules.result.overall_results import OverallLine, OverallTable
from app.rules.result.results import EventResults
from app.rules.result.scoring import unit_word
from app.rules.result.teams import TeamLine, TeamTable, cell_text, team_tables
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say
from app.watch.board_floor import list_size
from app.watch.board_views import PanelView, PartView, RowView, part_columns


def overall_panels(hall: Hall, kept: KeptViews, roster: Roster) -> Generator[None, None, list[PanelView]]:
    """A panel for each division whose first score has begun, in small steps, and those of the teams. With a single score that
    counts there is nothing to add up, unless it is told in points or across divisions: then the teams' stand alone."""
    rule = roster.overall
    if rule is None:
        return []
    scores = sum(len(rule.takes(event.id, [score.id for score in event.format.scores])) for event in roster.events)
    if scores <= 1 and not rule.tells_of_one and rule.teams is None:
        return []
    found: list[EventResults] = []
    for event in roster.events:
        found.append(hall.projection.event_results(event.id))
        yield
    tables = kept.view("overall", (roster, *found), None, lambda: hall.projection.overall())
    state, worn = stated_overall(hall).text if all_signed(hall) else "", club_colours(roster)
    panels: list[PanelView] = []
    for table in (table for table in tables if table.columns and (scores > 1 or rule.tells_of_one)):
        panels.append(_panel(table, scores, state, worn))
        yield
    if rule.teams:
        said = state or say("Provisional, as the overall standing is")
        panels += [_team_panel(rule.teams, table, said) for table in team_tables(roster, tables)]
    return panels


def _team_panel(rule: TeamRule, table: TeamTable, state: str) -> PanelView:
    return PanelView(
        id=f"teams-{table.division}",
        tab=say("{division} · Teams", division=table.division_name),
        title=say("Teams"),
        division=table.division_name,
        state=state,
        first=False,
        turns=True,
        score_name=say("Points"),
        part_names=(),
        part_columns=part_columns(0),
        size=list_size(len(table.rows)),
        rows=tuple(_team_row(rule, table, row, n) for n, row in enumerate(table.rows)),
    )


def _team_row(rule: TeamRule, table: TeamTable, row: TeamLine, number: int) -> RowView:
    return RowView(
        id=f"row-teams-{table.division}-{number}",
        place=shared_place(row.place, row.shared),
        spoken_place=spoken_place(row.place, row.shared),
        entry=row.team,
        members=tuple(cell_text(rule, table, one) for one in row.cells if one.counts),
        score=decimal(decimal_text(row.total, 3)),
        unit=unit_word("points", row.total),
        parts=(),
        note=say("by places") if row.by_tie else "",
        live=False,
    )


def _panel(table: OverallTable, scores: int, state: str, worn: Worn) -> PanelView:
    names = tuple(column.title for column in table.columns)
    layout = part_columns(len(names) + 1)  # titles of events are longer than names of movements
    return PanelView(
        id=f"overall-{table.division}",
        tab=say("{division} · Overall", division=table.division_name),
        title=say("Overall"),
        division=table.division_name,
        state=state or say("Provisional · {begun} of {scores} scores begun", begun=len(names), scores=scores),
        first=False,
        turns=True,
        score_name=say("Total"),
        part_names=names,
        part_columns=layout,
        size=list_size(len(table.rows)) if layout == "columns" else "many",
        rows=tuple(_row(table, names, row, worn) for row in table.rows),
    )


def _row(table: OverallTable, names: tuple[str, ...], row: OverallLine, worn: Worn) -> RowView:
    ranked = row.place is not None
    return RowView(
        id=f"row-overall-{table.division}-{row.entry.id}",
        place=shared_place(row.place, row.shared),
        spoken_place=spoken_place(row.place, row.shared),
        entry=row.entry.name,
        members=other_names(row.entry, row.members),
        score=decimal(decimal_text(row.total, 3)) if ranked else "",
        unit=overall_unit(table, row.total) if ranked else "",
        parts=tuple(PartView(name, overall_cell_text(table.rule, cell)) for name, cell in zip(names, row.cells, strict=True)),
        note=overall_note(table, row) or ("" if ranked else say("no place overall")),
        live=False,
        link=overall_path(table.division, row.entry.id),
        colours=worn.get(row.entry.id, ()),
    )
