"""Why a score is what it is, and where everybody stands: the public pages of results, as frozen views and as JSON."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from weakref import WeakKeyDictionary

from app.hall.going_past import behind_first, behind_total
from app.hall.hall import Hall
from app.hall.result_words import (
    brought_text,
    note_text,
    other_names,
    overall_path,
    overall_score,
    pictures_path,
    place_text,
    results_path,
    shared_place,
    table_key,
    table_title,
)
from app.live.projection import Projection
from app.results.recount import Recount, recount_plain, said_plain
from app.results.results_state import event_state, stated, stated_overall
from app.rules.count.sheet_clock import PLAIN
from app.rules.records.roster import Event, Roster
from app.rules.records.team_rule import TeamRule
from app.rules.result.explain import RULES, Explanation, explain, explanation_plain
from app.rules.result.explain_windows import Step
from app.rules.result.overall_explain import event_names, explain_overall, rule_lines
from app.rules.result.overall_results import OverallTable
from app.rules.result.results import NOT_JUDGED, EventResults, Row, Table
from app.rules.result.ruling_words import Saying, clock_lines, ruling_lines
from app.rules.result.scoring import score_words, unit_word
from app.rules.result.signed_words import Stated
from app.rules.result.teams import TeamTable, cell_text, team_lines, team_tables
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, in_force, known, say
from app.store.refusals import NotThere


class NothingHere(NotThere):
    """Raised for a score or an entry that there is not; its text is the sentence to show."""


# By event, for which results and state its standings were drawn up.
_TABLES: WeakKeyDictionary[Projection, dict[tuple[str, str], tuple[EventResults, Stated, tuple["ResultTable", ...]]]] = (
    WeakKeyDictionary()
)


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One line of a standing: its place as text, who, the score with its unit, what is to be known, where it is explained; the
    entry's id; how far it is behind the first (see going_past)."""

    place: str
    entry: str
    members: str
    score: str
    note: str
    link: str
    entry_id: str = ""
    behind: str = ""


@dataclass(frozen=True, slots=True)
class ResultTable:
    """A standing. `about` says how those overall are made, on the first of them. `anchor` is its place on the page; `state` says
    how final it is, `notes` what was left out of its sign-off and why, and what was changed since."""

    anchor: str
    title: str
    division: str
    about: tuple[str, ...]
    lines: tuple[ResultLine, ...]
    state: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ResultsPage:
    """All standings, those overall first, and the events, each of which has a sheet to be signed."""

    competition: str
    where: str
    tables: tuple[ResultTable, ...]
    events: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True)
class FactView:
    """One line of an explanation; `left_out` says in words that it does not go into the score, or is empty."""

    text: str
    left_out: str


@dataclass(frozen=True, slots=True)
class StepView:
    """A step of an explanation. kind: window, score, place, rule or points, for its look."""

    title: str
    kind: str
    facts: tuple[FactView, ...]


@dataclass(frozen=True, slots=True)
class ExplanationPage:
    """How an entry came to its score and place. `json` is the address of the same as data; `pictures` is where its heat is to be
    seen, or empty."""

    competition: str
    title: str
    entry: str
    members: str
    division: str
    score: str
    place: str
    steps: tuple[StepView, ...]
    json: str
    state: str
    pictures: str = ""


KINDS = {
    "Clock": ("clock", ""),
    "Rulings": ("ruling", "no longer holds"),
    "Score": ("score", "left out"),
    "Place": ("place", ""),
    RULES: ("rule", ""),
    "How it is added up": ("rule", ""),
    "What each score counts": ("points", "left out"),
}


def results_page(hall: Hall) -> ResultsPage | None:
    """Every standing with its lines; None before there is a competition."""
    roster = hall.projection.roster
    if roster is None:
        return None
    overall = [table for table in hall.projection.overall() if table.columns]
    about = rule_lines(overall[0].rule, named_event(roster), event_names(roster)) if overall else ()
    tables = [overall_table(table, () if n else about, stated_overall(hall)) for n, table in enumerate(overall)]
    tables += team_result_tables(roster, overall, stated_overall(hall))
    for found in _all_results(hall, roster):
        tables += _tables(hall, found)
    where = " · ".join(text for text in (roster.competition.place, roster.competition.day) if text)
    return ResultsPage(roster.competition.name, where, tuple(tables), roster.events)


def _tables(hall: Hall, found: EventResults) -> tuple[ResultTable, ...]:
    """The standings of one event, the very same while nothing of it changes: the projection makes results anew when it does."""
    state, kept = stated(hall, found.event), _TABLES.setdefault(hall.projection, {})
    key = (in_force().language, found.event.id)
    results, said, tables = kept.get(key, (None, None, ()))
    if results is not found or said != state:
        tables = tuple(_table(found, table, state) for table in found.tables if table.rows)
        kept[key] = (found, state, tables)
    return tables


def results_plain(hall: Hall) -> dict[str, Any]:
    """The same as data, in the shape that a recount prints, with how final each is. Raises NothingHere."""
    roster = hall.projection.roster
    if roster is None:
        raise NothingHere("There is no competition yet.")
    overall = hall.projection.overall()
    found = recount_plain(Recount(tuple(_all_results(hall, roster)), overall, team_tables(roster, overall)))
    return found | said_plain({event.id: stated(hall, event) for event in roster.events}, stated_overall(hall))


def explained(hall: Hall, event: str, score: str, entry: str) -> tuple[ExplanationPage, dict[str, Any]]:
    """How an entry came to its score in one score of an event, as a page and as data. Raises NothingHere."""
    roster, found = _event(hall, event)
    table, row = _row(found, score, entry)
    made = _explanation(hall, found.event, table, row)
    path, members = results_path(event, score, entry), other_names(row.entry, row.members)
    page = _page(roster, table_title(found.event, table), made, members, path, event_state(hall, found.event))
    place = hall.projection.place_of(row.assignment) if row.assignment else None
    page = replace(page, pictures=pictures_path(event, place.heat.id) if place else "")
    about = {"event": found.event.name, "score_name": table.rule.name, "members": list(row.members)}
    return page, about | explanation_plain(made)


def explained_overall(hall: Hall, division: str, entry: str) -> tuple[ExplanationPage, dict[str, Any]]:
    """How an entry came to its place overall, as a page and as data. Raises NothingHere."""
    table = next((table for table in hall.projection.overall() if table.division == division), None)
    row = next((row for row in table.rows if row.entry.id == entry), None) if table else None
    roster = hall.projection.roster
    if table is None or row is None or roster is None:
        raise NothingHere(say("There is no such place overall. Start from all results."))
    made = explain_overall(table, row, named_event(roster), event_names(roster))
    page = _page(
        roster,
        say("Overall"),
        made,
        other_names(row.entry, row.members),
        overall_path(division, entry),
        stated_overall(hall).text,
    )
    return page, {"members": list(row.members)} | explanation_plain(made)


def named_event(roster: Roster) -> str:
    """The name of the event that breaks ties overall, or nothing."""
    named = roster.overall.named if roster.overall else None
    return next((event.name for event in roster.events if event.id == named), "")


def _explanation(hall: Hall, event: Event, table: Table, row: Row) -> Explanation:
    place = hall.projection.place_of(row.assignment) if row.assignment else None
    keys = hall.projection.marked_sheets(row.assignment) if row.assignment else {}
    tallies = hall.projection.counted_sheets(row.assignment) if row.assignment else {}
    marks = {kind: hall.projection.sheet_marks(key) for kind, key in keys.items()}
    format = place.format if place else event.format
    by_id = {mark.id: mark for made in marks.values() for mark in made}
    decided = ruling_lines(row, event.id, hall.projection.rulings, Saying(format, by_id, lanes_in_words(hall)))
    clock = hall.projection.sheet_clock(keys["lane"]) if "lane" in keys else PLAIN
    counted = hall.projection.counting_tally(row.assignment) if row.assignment else None
    return explain(format, table, row, tallies, marks, clock_lines(clock, marks.get("lane", ())), decided, counted)


def lanes_in_words(hall: Hall) -> dict[str, str]:
    """Where each lane assignment stands: `heat 2, lane 3 (Lanterns)`."""
    roster = hall.projection.roster
    if roster is None:
        return {}
    names = {entry.id: entry.name for entry in roster.entries}
    stands = ((heat, lane) for heat in roster.heats for lane in heat.lanes)
    return {
        lane.id: say("heat {number}, lane {lane} ({entry})", number=heat.number, lane=lane.lane, entry=names[lane.entry])
        for heat, lane in stands
    }


def _all_results(hall: Hall, roster: Roster) -> list[EventResults]:
    return [hall.projection.event_results(event.id) for event in roster.events]


def _event(hall: Hall, event: str) -> tuple[Roster, EventResults]:
    roster = hall.projection.roster
    if roster is None or all(one.id != event for one in roster.events):
        raise NothingHere(say("There is no such event here. Start from all results."))
    return roster, hall.projection.event_results(event)


def _row(found: EventResults, score: str, entry: str) -> tuple[Table, Row]:
    for table in found.tables:
        for row in table.rows:
            if table.rule.id == score and row.entry.id == entry:
                return table, row
    raise NothingHere(say("{event} has no such score of such an entry. Start from all results.", event=found.event.name))


def _page(roster: Roster, title: str, made: Explanation, members: Sequence[str], path: str, state: str) -> ExplanationPage:
    return ExplanationPage(
        competition=roster.competition.name,
        title=title,
        entry=made.entry,
        members=" · ".join(members),
        division=made.division,
        score=made.score,
        place=made.place,
        steps=tuple(_step(step) for step in made.steps),
        json=f"{path}.json",
        state=state,
    )


def _step(step: Step) -> StepView:
    kind, left_out = KINDS.get(step.title, ("window", "does not count"))
    return StepView(
        known(step.title), kind, tuple(FactView(line.text, "" if line.counts else known(left_out)) for line in step.lines)
    )


UNSAID = Stated("")  # where a page says by itself how final its standings are


def _table(found: EventResults, table: Table, state: Stated) -> ResultTable:
    lines = tuple(_line(found.event, table, row) for row in table.rows)
    key, title = table_key(found.event, table), table_title(found.event, table)
    return ResultTable(key, title, table.division_name, (), lines, state.text, state.notes)


def plain_table(found: EventResults, table: Table, notes: Mapping[str, str], state: Stated = UNSAID) -> ResultTable:
    """A standing whose scores lead nowhere; `notes` says something more of an entry, by its id."""
    lines = []
    for row in table.rows:
        line = _line(found.event, table, row)
        said = ", ".join(text for text in (notes.get(row.entry.id, ""), line.note) if text)
        lines.append(replace(line, link="", note=said))
    return replace(_table(found, table, state), lines=tuple(lines))


def _line(event: Event, table: Table, row: Row) -> ResultLine:
    return ResultLine(
        place=place_text(row),
        entry=row.entry.name,
        members=" · ".join(other_names(row.entry, row.members)),
        score="" if row.score is None else score_words(row.score),
        note=note_text(event, table, row),
        link="" if row.status == NOT_JUDGED else results_path(event.id, table.rule.id, row.entry.id),
        entry_id=row.entry.id,
        behind=behind_first(table, row),
    )


def overall_table(table: OverallTable, about: tuple[str, ...], state: Stated, *, links: bool = True) -> ResultTable:
    """An overall standing with its lines; without `links` its totals lead nowhere."""
    lines = tuple(
        ResultLine(
            place=shared_place(row.place, row.shared),
            entry=row.entry.name,
            members=" · ".join(other_names(row.entry, row.members)),
            score=overall_score(table, row.total) if row.place is not None else "",
            note=brought_text(table, row),
            link=overall_path(table.division, row.entry.id) if links else "",
            entry_id=row.entry.id,
            behind=behind_total(table, row),
        )
        for row in table.rows
    )
    return ResultTable(f"overall-{table.division}", say("Overall"), table.division_name, about, lines, state.text, state.notes)


def team_result_tables(roster: Roster, overall: Sequence[OverallTable], state: Stated) -> list[ResultTable]:
    """The standings of teams with what each of their entries brings; as final as the overall standing."""
    rule = roster.overall.teams if roster.overall else None
    if rule is None:
        return []
    return [_team_table(rule, table, state, not n) for n, table in enumerate(team_tables(roster, overall))]


def _team_table(rule: TeamRule, table: TeamTable, state: Stated, first: bool) -> ResultTable:
    lines = tuple(
        ResultLine(
            place=shared_place(row.place, row.shared),
            entry=row.team,
            members="",
            score=decimal(f"{decimal_text(row.total, 3)} {unit_word('points', row.total)}"),
            note=", ".join(cell_text(rule, table, cell) for cell in row.cells),
            link="",
        )
        for row in table.rows
    )
    about = team_lines(rule) if first else ()
    return ResultTable(f"teams-{table.division}", say("Teams"), table.division_name, about, lines, state.text, state.notes)
