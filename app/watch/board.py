"""What the public board shows, as frozen views: the standings of every division, and who is on the floor."""

from collections.abc import Generator, Sequence
from dataclasses import replace
from functools import partial

from app.hall.club_colours import Worn, club_colours
from app.hall.hall import Hall
from app.hall.heats import newest_runs
from app.hall.result_words import (
    other_names,
    place_text,
    results_path,
    spoken_place,
    table_key,
    table_title,
    usual_variant,
    variant_text,
)
from app.live.kept_views import KeptViews
from app.live.slices import at_once
from app.results.results_state import event_state
from app.rules.count.tally import Tally
from app.rules.records.roster import Event, Roster
from app.rules.result.results import NOT_JUDGED, STATUS_TEXT, EventResults, Row, Table
from app.rules.result.scoring import shown_text, shown_unit
from app.rules.values.words import known, say
from app.watch.board_columns import Column, columns
from app.watch.board_floor import floor_steps, list_size
from app.watch.board_overall import overall_panels
from app.watch.board_views import BoardView, PanelView, PartView, RowView, part_columns
from app.watch.shown import at_work, beside, next_heat, shown_heat

MOST_TABS = 6


def board(hall: Hall, lane: int | None = None) -> BoardView | None:
    """The board as it stands, or None before there is a competition; with a lane that of its floor."""
    return at_once(board_steps(hall, KeptViews(), lane))


def board_steps(hall: Hall, kept: KeptViews, lane: int | None = None) -> Generator[None, None, BoardView | None]:
    """The same in small steps; views that are kept are not made again."""
    roster = hall.projection.roster
    if roster is None:
        return None
    runs = newest_runs(hall.projection.runs)
    heat = shown_heat(hall, roster, runs, lane)
    floor = (yield from floor_steps(hall, kept, roster, heat, runs[heat.id])) if heat is not None else None
    # Two platforms may lift at once: whoever is on the floor is more than the heat that is shown.
    there = [one for one in roster.heats if at_work(hall, roster, one, runs)]
    live = frozenset(lane.id for one in there for lane in one.lanes)
    panels = yield from _panels(hall, kept, roster, heat.event if heat else "", live)
    return BoardView(
        competition=roster.competition.name,
        where=" · ".join(text for text in (roster.competition.place, roster.competition.day) if text),
        panels=panels,
        floor=floor,
        next_heat=next_heat(roster, runs, lane),
        lane=lane,
        beside=beside(hall, roster, runs, heat, lane),
    )


def _panels(
    hall: Hall, kept: KeptViews, roster: Roster, at_hand: str, live: frozenset[str]
) -> Generator[None, None, tuple[PanelView, ...]]:
    """A panel for each table with entries. Those of the event at hand turn by themselves; before any GO, the first event's.

    Where all of them would be too many tabs to find one's way, only the event at hand and the overall standings have one: the
    others are among all results.
    """
    events = [event.id for event in roster.events]
    turning = at_hand if at_hand in events else next(iter(events), "")
    overall = yield from overall_panels(hall, kept, roster)
    found: list[EventResults] = []
    for event_id in events:
        found.append(hall.projection.event_results(event_id))
        yield
    tables = [(one, table) for one in found for table in one.tables if table.rows]
    if len(tables) + len(overall) > MOST_TABS:
        tables = [(one, table) for one, table in tables if one.event.id == turning]
    named = len({one.event.id for one, _ in tables}) > 1
    panels = []
    for one, table in tables:
        panels.append((yield from _panel(hall, kept, roster, one, table, live, one.event.id == turning, named)))
    panels += overall
    first = next((i for i, panel in enumerate(panels) if panel.turns), 0)
    return tuple(replace(panel, first=i == first) for i, panel in enumerate(panels))


def _panel(
    hall: Hall, kept: KeptViews, roster: Roster, found: EventResults, table: Table, live: frozenset[str], turns: bool, named: bool
) -> Generator[None, None, PanelView]:
    event, rule = found.event, table.rule
    variant = usual_variant(event, table)
    key = table_key(event, table)
    shown = tuple(columns(event.format.varied(variant.id) if variant else event.format, table))
    worn = kept.view("worn", (roster,), None, lambda: club_colours(roster))
    rows: list[RowView] = []
    for row in table.rows:
        row_id = f"row-{key}-{row.entry.id}"
        tally = hall.projection.counting_tally(row.assignment) if row.assignment in live and row.assignment else None
        make = partial(_row, row_id, found, table, shown, row, tally, live, worn)
        rows.append(kept.view(row_id, (roster, row, tally), (row.assignment in live, row.place, row.shared), make))
        yield
    judged = sum(1 for row in table.rows if row.score is not None or row.place is not None)
    return PanelView(
        id=key,
        tab=_tab(event, table, named),
        title=table_title(event, table),
        division=table.division_name,
        state=say("{state} · {judged} of {all} judged", state=event_state(hall, event), judged=judged, all=len(table.rows)),
        first=False,
        turns=turns,
        score_name=rule.name,
        part_names=tuple(column.name for column in shown),
        part_columns=part_columns(len(shown)),
        size=list_size(len(table.rows)),
        rows=tuple(rows),
    )


def _tab(event: Event, table: Table, named: bool) -> str:
    """What a tab says; the event only where there are tabs of several."""
    parts = [table.division_name]
    if named:
        parts.append(event.name)
    if len(event.format.scores) > 1:
        parts.append(known(table.rule.name))
    if table.variant is not None:
        parts.append(table.variant.name)
    return " · ".join(parts)


def _row(
    row_id: str,
    found: EventResults,
    table: Table,
    shown: Sequence[Column],
    row: Row,
    tally: Tally | None,
    live: frozenset[str],
    worn: Worn,
) -> RowView:
    """One line of a standing as the board shows it. `tally`: what its lane holds while that is on the floor."""
    made = row.score if row.place is not None else None
    return RowView(
        id=row_id,
        place=place_text(row),
        spoken_place=spoken_place(row.place, row.shared),
        entry=row.entry.name,
        members=other_names(row.entry, row.members),
        score=shown_text(made) if made else "",
        unit=shown_unit(made) if made else "",
        parts=tuple(PartView(column.name, column.value(row, tally)) for column in shown),
        note=_note(row, row.assignment in live),
        live=row.assignment in live and row.status != STATUS_TEXT["did_not_start"],
        variant=variant_text(found.event, table, row),
        link="" if row.status == NOT_JUDGED else results_path(found.event.id, table.rule.id, row.entry.id),
        colours=worn.get(row.entry.id, ()),
    )


def _note(row: Row, live: bool) -> str:
    """What there is to know of a line. While a lane counts, its counters may differ by a tap, which is nobody's business."""
    if row.status or (row.recounts and not live):
        return known(row.status) or say("to be counted again")
    if row.twice:
        return say("judged_twice.note")
    return say("decided by tie-break") if row.by_tie is not None else ""
