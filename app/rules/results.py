"""From a whole competition to its results: which sheets count, what each entry scored, who stands where."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from app.rules.document import CompetitionFile, Entry, Event, Roster, Ruling, Run, counting_number
from app.rules.formats import ScoreRule
from app.rules.marks import Mark, SheetKey, sheet_key
from app.rules.paper import with_paper
from app.rules.scoring import Score, score, score_text
from app.rules.sheet_clock import SheetClocks
from app.rules.standings import Candidate, Placed, Standing, rank
from app.rules.tally import Tally, fold
from app.rules.ties import tie_keys

STATUS: Mapping[str, Standing] = {
    "did_not_finish": Standing.DID_NOT_FINISH,
    "did_not_start": Standing.DID_NOT_START,
    "withdrawn": Standing.WITHDRAWN,
    "disqualified": Standing.DISQUALIFIED,
}
STATUS_TEXT: Mapping[str, str] = {
    "did_not_finish": "did not finish",
    "did_not_start": "did not start",
    "withdrawn": "withdrawn",
    "disqualified": "disqualified",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a standing. score is None while there is nothing to rank; status says why in words, or is empty."""

    place: int | None
    shared: bool
    entry: Entry
    members: tuple[str, ...]
    assignment: str | None
    score: Score | None
    status: str
    by_tie: int | None


@dataclass(frozen=True, slots=True)
class Table:
    """The standing of one division in one score of an event. `waiting` holds entries that have not been judged yet."""

    rule: ScoreRule
    division: str
    division_name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class EventResults:
    """All standings of one event: a table for each score and division, scores outside, divisions inside."""

    event: Event
    tables: tuple[Table, ...]


def event_results(roster: Roster, event_id: str, tallies: Mapping[str, Tally], rulings: Sequence[Ruling] = ()) -> EventResults:
    """The standings of one event from the tallies of its lane assignments (by assignment id; only sheets that count)."""
    event = next(event for event in roster.events if event.id == event_id)
    assigned = _assignments(roster, event_id, tallies)
    members = {athlete.id: athlete.name for athlete in roster.athletes}
    tables = []
    for rule in event.format.scores:
        for division in roster.divisions:
            entries = [entry for entry in roster.entries if entry.division == division.id and entry.id in assigned]
            rows = _rows(event, rule, entries, assigned, tallies, rulings, members)
            tables.append(Table(rule, division.id, division.name, rows))
    return EventResults(event, tuple(tables))


def results(file: CompetitionFile) -> list[EventResults]:
    """The standings of every event of a competition file, from nothing but the file."""
    tallies = counting_tallies(file, file.runs, file.marks, file.rulings)
    return [event_results(file, event.id, tallies, file.rulings) for event in file.events]


def counting_sheets(roster: Roster, runs: Sequence[Run]) -> dict[str, str]:
    """The sheet that counts for each lane assignment: assignment id to sheet key."""
    sheets = {}
    for heat in roster.heats:
        number = counting_number(runs, heat.id)
        for lane in heat.lanes:
            sheets[lane.id] = SheetKey(lane.id, number, "lane").text()
    return sheets


def counting_tallies(
    roster: Roster, runs: Sequence[Run], marks: Iterable[Mark], rulings: Sequence[Ruling] = ()
) -> dict[str, Tally]:
    """The tally of each lane assignment's counting sheet; assignments without a mark are left out."""
    by_sheet: dict[str, list[Mark]] = {}
    for mark in marks:
        by_sheet.setdefault(mark.sheet, []).append(mark)
    formats = {event.id: event.format for event in roster.events}
    sheets, clocks = counting_sheets(roster, runs), SheetClocks(roster, runs, rulings)
    tallies = {}
    for heat in roster.heats:
        for lane in heat.lanes:
            own, paper = (
                fold(formats[heat.event], by_sheet[key], clocks.of(key)) if key in by_sheet else None
                for key in (sheets[lane.id], paper_sheet(sheets[lane.id]))
            )
            made = with_paper(formats[heat.event], own, paper)
            if made is not None:
                tallies[lane.id] = made
    return tallies


def paper_sheet(sheet: str) -> str:
    """The sheet for what was read out or written down, beside a lane's own."""
    key = sheet_key(sheet)
    return SheetKey(key.assignment, key.run, "paper").text()


def _assignments(roster: Roster, event_id: str, tallies: Mapping[str, Tally]) -> dict[str, str]:
    """Entry id to the assignment that counts: the last one with marks, in the order of the heats; else the last."""
    assigned: dict[str, str] = {}
    for heat in sorted((h for h in roster.heats if h.event == event_id), key=lambda h: h.number):
        for lane in heat.lanes:
            if lane.entry not in assigned or _marked(tallies, lane.id) or not _marked(tallies, assigned[lane.entry]):
                assigned[lane.entry] = lane.id
    return assigned


def _marked(tallies: Mapping[str, Tally], assignment: str) -> bool:
    tally = tallies.get(assignment)
    return tally is not None and tally.any_marks


def _rows(
    event: Event,
    rule: ScoreRule,
    entries: Sequence[Entry],
    assigned: Mapping[str, str],
    tallies: Mapping[str, Tally],
    rulings: Sequence[Ruling],
    members: Mapping[str, str],
) -> tuple[Row, ...]:
    scored: dict[str, Score] = {}
    candidates: list[Candidate] = []
    status: dict[str, str] = {}
    for entry in entries:
        tally = tallies.get(assigned[entry.id])
        about = [ruling for ruling in rulings if _concerns(ruling, event.id, entry.id, assigned[entry.id])]
        said = _status(about)
        if said:
            status[entry.id] = STATUS_TEXT[said]
            candidates.append(Candidate(entry.id, STATUS[said], ()))
        if tally is None or not tally.any_marks:
            continue
        made = _with_penalties(rule, score(event.format, rule, tally), about)
        scored[entry.id] = made
        if not said:
            ties = tie_keys(event.format, rule, tally, made)
            candidates.append(Candidate(entry.id, Standing.RANKED, made.key, ties))
    by_id = {entry.id: entry for entry in entries}
    placed = rank(candidates)
    waiting = [entry.id for entry in entries if entry.id not in scored and entry.id not in status]
    placed += [Placed(entry_id, None, False, None) for entry_id in waiting]
    return tuple(
        Row(
            place=place.place,
            shared=place.shared,
            entry=by_id[str(place.who)],
            members=tuple(members[m] for m in by_id[str(place.who)].members),
            assignment=assigned[str(place.who)],
            score=scored.get(str(place.who)),
            status=status.get(str(place.who), "not judged yet" if place.who in waiting else ""),
            by_tie=place.by_tie,
        )
        for place in placed
    )


def _concerns(ruling: Ruling, event: str, entry: str, assignment: str) -> bool:
    """Whether a ruling is about this entry in this event. One on a lane assignment holds for that assignment alone."""
    if ruling.assignment is not None:
        return ruling.assignment == assignment
    return ruling.entry == entry and ruling.event in (None, event)


def _status(about: Sequence[Ruling]) -> str | None:
    """The status that the newest ruling gives, if any; "" as a status lifts an earlier one."""
    newest = ""
    for ruling in sorted(about, key=lambda r: (r.made_wall_ms, r.id)):
        if ruling.kind == "status":
            newest = str(ruling.body["status"])
    return newest if newest in STATUS else None


def _with_penalties(rule: ScoreRule, made: Score, about: Sequence[Ruling]) -> Score:
    """Penalties apply after the score is made: each takes its amount, in the score's unit, from a more-is-better score or
    adds it to a time."""
    amount = sum((Fraction(ruling.body["amount"]) for ruling in about if ruling.kind == "penalty"), Fraction(0))
    if not amount:
        return made
    value = made.value - amount if rule.better == "more" else made.value + amount
    sign = -1 if rule.better == "more" else 1
    text = made.text if made.unmeasured else score_text(value, rule.unit, made.left)
    return replace(made, value=value, key=(*made.key[:-1], sign * value), text=text)
