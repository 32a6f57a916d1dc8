"""From the results of single events to the overall standing of each division."""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from operator import is_
from typing import Literal

from app.rules.records.body_formulas import Body
from app.rules.records.overall_rule import Column, OverallRow, OverallRule, Result
from app.rules.records.roster import Athlete, Entry, Roster
from app.rules.result.overall import Overall
from app.rules.result.overall_points import lacks
from app.rules.result.results import NOT_JUDGED, TO_BE_RUN_AGAIN, EventResults, Row, Table
from app.rules.result.standings import Candidate, Standing, rank
from app.rules.values.words import UNTOLD, Told

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
    lacking: Told = UNTOLD
    reckoned: Told = UNTOLD

    @property
    def waits(self) -> bool:
        """Whether it counts what an absent entry gets only until the entry is judged."""
        return self.place is None and self.status in (NOT_JUDGED, TO_BE_RUN_AGAIN)


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
    return Overalls(roster).tables(found)


class Overalls:
    """The overall standings of a roster, to be looked at again and again: a look costs what the events have changed since."""

    def __init__(self, roster: Roster) -> None:
        rule, athletes = roster.overall, {athlete.id: athlete for athlete in roster.athletes}
        self._divisions: list[_Division] = []
        if rule is not None and rule.across and roster.entries:
            every = frozenset(division.id for division in roster.divisions)
            self._divisions = [_Division(rule, ALL, "All divisions", every, roster.entries, athletes)]
        for one in roster.divisions if rule is not None and not rule.across else ():
            entries = [entry for entry in roster.entries if entry.division == one.id]
            if rule is not None and entries:
                self._divisions.append(_Division(rule, one.id, one.name, frozenset({one.id}), entries, athletes))

    def tables(self, found: Sequence[EventResults]) -> tuple[OverallTable, ...]:
        """The overall standing of each division with entries, from the results of every event."""
        return tuple(division.table(found) for division in self._divisions)


def begun(table: Table) -> bool:
    """Whether a score counts overall: somebody has a score in it, or is out of it by a ruling."""
    return any(row.score is not None or row.status not in ("", NOT_JUDGED, TO_BE_RUN_AGAIN) for row in table.rows)


@dataclass(frozen=True, slots=True)
class _Scored:
    """One score of one event that counts overall: its table, and what it brings."""

    table: Table
    heading: OverallColumn
    column: Column
    rows: Mapping[str, Row]


@dataclass(frozen=True, slots=True)
class _Line:
    """A line, and what it was made of: its place, its rows of the events, and in which it is ranked apart."""

    row: OverallRow
    own: Sequence[Row | None]
    apart: Sequence[str]
    line: OverallLine


class _Division:
    """One division, or all `divisions` as one. What the table of an event brings is kept while its rows are the very same, a line
    while nothing in it is another."""

    def __init__(
        self,
        rule: OverallRule,
        key: str,
        name: str,
        divisions: Collection[str],
        entries: Sequence[Entry],
        athletes: Mapping[str, Athlete],
    ) -> None:
        self._rule, self._key, self._name, self._divisions, self._athletes = rule, key, name, divisions, athletes
        self._entries = {entry.id: (entry, tuple(athletes[member].name for member in entry.members)) for entry in entries}
        self._overall = Overall(rule, list(self._entries))
        self._joined: dict[tuple[str, str], tuple[Sequence[Table], Table]] = {}
        self._scored: dict[tuple[str, str], _Scored] = {}
        self._lines: dict[str, _Line] = {}

    def table(self, found: Sequence[EventResults]) -> OverallTable:
        """The standing that follows from these results."""
        scored = [self._brought(event, table) for event in found for table in self._tables_of(event)]
        self._scored = {(one.column.event, one.column.rule): one for one in scored}
        columns = [one.column for one in scored]
        apart = _apart(found, self._divisions)
        lines = [self._line(row, scored, apart, columns) for row in self._overall.rows(columns)]
        self._lines = {line.line.entry.id: line for line in lines}
        headings = tuple(one.heading for one in scored)
        return OverallTable(self._rule, self._key, self._name, headings, tuple(one.line for one in lines))

    def _tables_of(self, event: EventResults) -> list[Table]:
        """The tables of an event that count overall here; of several divisions those of one score are one."""
        counted = self._rule.takes(event.event.id, [rule.id for rule in event.event.format.scores])
        there = (table for table in event.tables if table.division in self._divisions and table.variant is None)
        its = [table for table in there if table.rule.id in counted and begun(table)]
        by_score: dict[str, list[Table]] = {}
        for table in its:
            by_score.setdefault(table.rule.id, []).append(table)
        return [self._as_one((event.event.id, score), tables) for score, tables in by_score.items()]

    def _as_one(self, key: tuple[str, str], tables: Sequence[Table]) -> Table:
        """Tables joined, as they were joined before while they are the very same."""
        held = self._joined.get(key)
        if held is None or len(held[0]) != len(tables) or not all(map(is_, held[0], tables)):
            held = self._joined[key] = tables, _as_one(tables)
        return held[1]

    def _brought(self, event: EventResults, table: Table) -> _Scored:
        held = self._scored.get((event.event.id, table.rule.id))
        if held is not None and len(held.rows) == len(table.rows) and all(map(is_, held.table.rows, table.rows)):
            return held
        return _Scored(
            table,
            _heading(event, table),
            _column(event, table, self._rule, self._athletes),
            {row.entry.id: row for row in table.rows},
        )

    def _line(
        self, row: OverallRow, scored: Sequence[_Scored], apart: Mapping[tuple[str, str], str], columns: Sequence[Column]
    ) -> _Line:
        """An entry's line; the same as before where nothing in it has changed."""
        who = str(row.who)
        own = [one.rows.get(who) for one in scored]
        names = [apart.get((one.column.event, who), "") for one in scored] if apart else [""] * len(scored)
        held = self._lines.get(who)
        if held is not None and held.row == row and held.apart == names and all(map(is_, held.own, own)):
            return held
        before = held if held is not None and len(held.own) == len(own) else None
        cells = tuple(_kept_cell(before, at, own[at], row, names[at]) for at in range(len(own)))
        entry, members = self._entries[who]
        made = OverallLine(row.place, row.shared, entry, members, cells, row.total, row.by_tie)
        return _Line(row, own, names, _with_bodies(made, self._rule, columns))


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
        reckoned = formula.reckoned(result.body or Body(), rule.ages) if counted and formula and result else UNTOLD
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


def _kept_cell(before: _Line | None, at: int, own: Row | None, row: OverallRow, apart: str) -> OverallCell:
    """What an entry brings from one column; the cell that its line had there before where it says the same."""
    points, left_out = row.points[at], at in row.dropped
    if before is not None and own is not None and before.own[at] is own:
        cell = before.line.cells[at]
        if cell.points == points and cell.left_out == left_out:
            return cell
    return _cell(own, points, apart, left_out)


def _cell(row: Row | None, points: Fraction, apart: str, left_out: bool) -> OverallCell:
    if row is None:
        return OverallCell(None, False, "", f"ranked apart, {apart}" if apart else "in no heat", points, left_out)
    score = "" if row.score is None else row.score.text
    return OverallCell(row.place, row.shared, score, row.status, points, left_out)
