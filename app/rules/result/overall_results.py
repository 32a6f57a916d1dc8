"""From the results of single events to the overall standing of each division."""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from app.rules.records.body_formulas import Body
from app.rules.records.overall_rule import Column, OverallRow, OverallRule, Result
from app.rules.records.roster import Athlete, Entry, Roster
from app.rules.result.overall import lacks, overall
from app.rules.result.results import NOT_JUDGED, TO_BE_RUN_AGAIN, EventResults, Row, Table
from app.rules.result.standings import Candidate, Standing, rank

ALL = "all"  # the division of a standing of all divisions


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
    it is left out as one of the worst. `lacking`: why a formula gives no points, `reckoned`: by what it gives them."""

    place: int | None
    shared: bool
    score: str
    status: str
    points: Fraction
    left_out: bool = False
    lacking: str = ""
    reckoned: str = ""


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
    """The overall standing of one division, or of all as one, over all scores that have begun."""

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
    if roster.overall.across:
        return (_table(roster, roster.overall, ALL, "All divisions", roster.entries, found),) if roster.entries else ()
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
    divisions = {one.id for one in roster.divisions} if division == ALL else {division}
    scored = [(event, table) for event in found for table in _tables_of(event, divisions)]
    apart = _apart(found, divisions)
    rows = [{row.entry.id: row for row in table.rows} for _, table in scored]
    athletes = {athlete.id: athlete for athlete in roster.athletes}
    columns = [_column(event, table, rule, athletes) for event, table in scored]
    made = overall(rule, [entry.id for entry in entries], columns)
    people = {athlete.id: athlete.name for athlete in roster.athletes}
    named = {entry.id: entry for entry in entries}
    return OverallTable(
        rule,
        division,
        name,
        tuple(_heading(event, table) for event, table in scored),
        tuple(
            _with_bodies(
                _line(named[str(row.who)], people, row, rows, [apart.get((e.event.id, str(row.who)), "") for e, _ in scored]),
                rule,
                columns,
            )
            for row in made
        ),
    )


def _tables_of(event: EventResults, divisions: Collection[str]) -> list[Table]:
    """The tables of an event that count overall in a division; of several divisions those of one score are one."""
    its = [table for table in event.tables if table.division in divisions and table.variant is None and begun(table)]
    by_score: dict[str, list[Table]] = {}
    for table in its:
        by_score.setdefault(table.rule.id, []).append(table)
    return [_as_one(tables) for tables in by_score.values()]


def _as_one(tables: Sequence[Table]) -> Table:
    """Tables of one score in several divisions as one, everybody placed by the score alone."""
    if len(tables) == 1:
        return tables[0]
    rows = [row for table in tables for row in table.rows]
    sign = -1 if tables[0].rule.better == "more" else 1
    valued = [(n, value) for n, row in enumerate(rows) if (value := _value(row)) is not None]
    placed = rank([Candidate(n, Standing.RANKED, (sign * value,)) for n, value in valued])
    order = [replace(rows[int(str(one.who))], place=one.place, shared=one.shared, by_tie=None) for one in placed]
    without = {n for n, _ in valued}
    rest = [replace(row, place=None, shared=False) for n, row in enumerate(rows) if n not in without]
    return replace(tables[0], rows=(*order, *rest))


def _with_bodies(line: OverallLine, rule: OverallRule, columns: Sequence[Column]) -> OverallLine:
    """A line whose cells say what a formula of bodyweight went by, or lacked."""
    if not any(rule.body_formula(column.event) for column in columns):
        return line
    cells = []
    for cell, column in zip(line.cells, columns, strict=True):
        formula, result = rule.body_formula(column.event), column.results.get(line.entry.id)
        lacking = lacks(rule, column, line.entry.id)
        counted = formula is not None and result is not None and result.value is not None and not lacking
        reckoned = formula.reckoned(result.body or Body(), rule.ages) if counted and formula and result else ""
        cells.append(replace(cell, lacking=lacking, reckoned=reckoned))
    return replace(line, cells=tuple(cells))


def _body(entry: Entry, athletes: Mapping[str, Athlete]) -> Body:
    """Who lifted, as a formula asks: the only member of an entry."""
    if len(entry.members) != 1:
        return Body(members=len(entry.members))
    one = athletes[entry.members[0]]
    return Body(one.sex, one.bodyweight.kg if one.bodyweight else None, one.age)


def _apart(found: Sequence[EventResults], divisions: Collection[str]) -> dict[tuple[str, str], str]:
    """Who is ranked apart, by event and entry, with the name of the variant."""
    return {
        (event.event.id, row.entry.id): table.variant.name
        for event in found
        for table in event.tables
        if table.variant is not None and table.division in divisions
        for row in table.rows
    }


def _heading(event: EventResults, table: Table) -> OverallColumn:
    several = len(event.event.format.scores) > 1
    title = f"{event.event.name}: {table.rule.name}" if several else event.event.name
    ranked = sum(1 for row in table.rows if row.place is not None)
    return OverallColumn(event.event.id, table.rule.id, title, table.unit, ranked)


def _column(event: EventResults, table: Table, rule: OverallRule, athletes: Mapping[str, Athlete]) -> Column:
    asks = rule.body_formula(event.event.id) is not None
    brought: dict[Hashable, Result] = {
        row.entry.id: Result(row.place, _value(row), _body(row.entry, athletes) if asks else None) for row in table.rows
    }
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
