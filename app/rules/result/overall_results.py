"""From the results of single events to the overall standing of each division."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from app.rules.records.overall_rule import Column, OverallRow, OverallRule, Result
from app.rules.records.roster import Entry, Roster
from app.rules.result.overall import overall
from app.rules.result.results import NOT_JUDGED, TO_BE_RUN_AGAIN, EventResults, Row, Table


@dataclass(frozen=True, slots=True)
class OverallColumn:
    """One score of one event that counts overall; `title` names it among the others. ranked: how many have a place in it."""

    event: str
    rule: str
    title: str
    unit: str
    ranked: int


@dataclass(frozen=True, slots=True)
class OverallCell:
    """What an entry brings from one column: its place and score there, why it has none, what it counts overall, and whether
    it is left out as one of the worst."""

    place: int | None
    shared: bool
    score: str
    status: str
    points: Fraction
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class OverallLine:
    """An entry overall, with a cell for each column. place: None for one who has none. by_tie: what parted it from an equal
    total."""

    place: int | None
    shared: bool
    entry: Entry
    members: tuple[str, ...]
    cells: tuple[OverallCell, ...]
    total: Fraction
    by_tie: Literal["count-back", "named event"] | None


@dataclass(frozen=True, slots=True)
class OverallTable:
    """The overall standing of one division, over all scores that have begun."""

    rule: OverallRule
    division: str
    division_name: str
    columns: tuple[OverallColumn, ...]
    rows: tuple[OverallLine, ...]


def overall_tables(roster: Roster, found: Sequence[EventResults]) -> tuple[OverallTable, ...]:
    """The overall standing of each division with entries; none without a rule for it.

    A score counts from when somebody is scored or out in it. Who is ranked apart in an event has no place in it.
    """
    if roster.overall is None:
        return ()
    tables = []
    for division in roster.divisions:
        entries = [entry for entry in roster.entries if entry.division == division.id]
        if entries:
            tables.append(_table(roster, roster.overall, division.id, division.name, entries, found))
    return tuple(tables)


def begun(table: Table) -> bool:
    """Whether a score counts overall: somebody has a score in it, or is out of it by a ruling."""
    return any(row.score is not None or row.status not in ("", NOT_JUDGED, TO_BE_RUN_AGAIN) for row in table.rows)


def _table(
    roster: Roster, rule: OverallRule, division: str, name: str, entries: Sequence[Entry], found: Sequence[EventResults]
) -> OverallTable:
    scored = [
        (event, table)
        for event in found
        for table in event.tables
        if table.division == division and table.variant is None and begun(table)
    ]
    apart = _apart(found, division)
    rows = [{row.entry.id: row for row in table.rows} for _, table in scored]
    made = overall(rule, [entry.id for entry in entries], [_column(event, table) for event, table in scored])
    people = {athlete.id: athlete.name for athlete in roster.athletes}
    named = {entry.id: entry for entry in entries}
    return OverallTable(
        rule,
        division,
        name,
        tuple(_heading(event, table) for event, table in scored),
        tuple(
            _line(named[str(row.who)], people, row, rows, [apart.get((e.event.id, str(row.who)), "") for e, _ in scored])
            for row in made
        ),
    )


def _apart(found: Sequence[EventResults], division: str) -> dict[tuple[str, str], str]:
    """Who is ranked apart, by event and entry, with the name of the variant."""
    return {
        (event.event.id, row.entry.id): table.variant.name
        for event in found
        for table in event.tables
        if table.variant is not None and table.division == division
        for row in table.rows
    }


def _heading(event: EventResults, table: Table) -> OverallColumn:
    several = len(event.event.format.scores) > 1
    title = f"{event.event.name}: {table.rule.name}" if several else event.event.name
    ranked = sum(1 for row in table.rows if row.place is not None)
    return OverallColumn(event.event.id, table.rule.id, title, table.unit, ranked)


def _column(event: EventResults, table: Table) -> Column:
    brought: dict[Hashable, Result] = {row.entry.id: Result(row.place, _value(row)) for row in table.rows}
    return Column(event.event.id, table.rule.id, brought, table.rule.better, table.unit)


def _value(row: Row) -> Fraction | None:
    """The score that is added up where scores are; none for one who has no place, or whose number was never measured."""
    return None if row.place is None or row.score is None or row.score.in_words else row.score.value


def _line(
    entry: Entry, people: Mapping[str, str], row: OverallRow, rows: Sequence[Mapping[str, Row]], apart: Sequence[str]
) -> OverallLine:
    cells = tuple(
        replace(_cell(column.get(entry.id), points, variant), left_out=at in row.dropped)
        for at, (column, points, variant) in enumerate(zip(rows, row.points, apart, strict=True))
    )
    members = tuple(people[member] for member in entry.members)
    return OverallLine(row.place, row.shared, entry, members, cells, row.total, row.by_tie)


def _cell(row: Row | None, points: Fraction, apart: str) -> OverallCell:
    if row is None:
        return OverallCell(None, False, "", f"ranked apart, {apart}" if apart else "in no heat", points)
    score = "" if row.score is None else row.score.text
    return OverallCell(row.place, row.shared, score, row.status, points)
