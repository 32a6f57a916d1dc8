"""The desk's page of the overall standing: choosing its rule, and how everybody stands under it now."""

from dataclasses import dataclass
from fractions import Fraction

from pydantic import ValidationError

from app.hall.changing import change_roster
from app.hall.forms import BadForm, Reading, Typed, problems_of
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.hall.result_words import other_names, overall_cell_text, overall_note, overall_path, overall_unit, shared_place
from app.results.explaining import named_event
from app.results.point_table import read_points
from app.results.results_state import stated_overall
from app.results.team_form import TeamChoices, TeamStanding, read_teams, team_choices, team_standing, team_typed
from app.rules.records.body_formulas import AgeFactors, BodyFormula, Formula, age_factors_known, formulas_known
from app.rules.records.overall_rule import MOST_DROPPED, MOST_TABLE, MOST_WEIGHT, OverallRule
from app.rules.records.roster import Event, Roster
from app.rules.result.overall_explain import event_names, rule_lines
from app.rules.result.overall_results import OverallTable
from app.rules.result.signed_words import Stated
from app.rules.result.teams import team_lines, team_tables
from app.rules.values.units import decimal_text, shown
from app.rules.workout.score_units import alike, score_unit
from app.store.roster import put_overall

NO_RULE = "none"
FORMULA, KEPT = "formula-", "kept"  # begins the name of an event's field; a formula that is not the library's
WEIGHT, ONLY = "weight-", "only-"  # each begins the name of an event's field
BY = {
    NO_RULE: "not at all: each event has its own results",
    "places": "places added up, lowest wins",
    "table": "points for place, from a table",
    "linear": "points for place, in equal steps",
    "scores": "the scores themselves added up",
    "formula": "points by a formula for each event",
    "percent": "percent of the best score in each",
}
OF_SCORES = ("scores", "percent", "formula")
RANKED = {"apart": "each division by itself", "across": "all divisions as one"}
SHARED = {"same": "all get what the place is worth", "split": "they split what the places they cover are worth"}
ABSENT = {
    "last": "as if it came last there",
    "none": "nothing: 0",
    "out": "no overall place at all",
}
BETTER = {"more": "the highest sum wins", "less": "the lowest sum wins"}


@dataclass(frozen=True, slots=True)
class StandingRow:
    """One line of an overall standing; a cell for each column."""

    place: str
    entry: str
    members: str
    cells: tuple[str, ...]
    total: str
    tie: str
    link: str


@dataclass(frozen=True, slots=True)
class StandingTable:
    """The overall standing of a division as it is now."""

    division: str
    columns: tuple[str, ...]
    unit: str
    rows: tuple[StandingRow, ...]


@dataclass(frozen=True, slots=True)
class SeveralScores:
    """An event with several scores, of which one may count alone."""

    event: Choice
    scores: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class OverallPage:
    """What can be chosen, the rule in words, the standings that it gives, and how final these are."""

    by: tuple[Choice, ...]
    shared: tuple[Choice, ...]
    absent: tuple[Choice, ...]
    better: tuple[Choice, ...]
    events: tuple[Choice, ...]
    several: tuple[SeveralScores, ...]
    formulas: tuple[Choice, ...]
    ages: tuple[Choice, ...]
    ranked: tuple[Choice, ...]
    rule: tuple[str, ...]
    tables: tuple[StandingTable, ...]
    weighed: bool
    scores: int
    of_one: bool
    team_choices: TeamChoices
    team_rule: tuple[str, ...]
    teams: tuple[TeamStanding, ...]
    said: Stated


def overall_page(hall: Hall) -> OverallPage:
    """The page beside the form's own texts."""
    roster = needed_roster(hall)
    teams = roster.overall.teams if roster.overall else None
    return OverallPage(
        by=_choices(BY),
        shared=_choices(SHARED),
        absent=_choices(ABSENT),
        better=_choices(BETTER),
        events=tuple(Choice(event.id, event.name) for event in roster.events),
        several=tuple(
            SeveralScores(Choice(event.id, event.name), tuple(Choice(one.id, one.name) for one in event.format.scores))
            for event in roster.events
            if len(event.format.scores) > 1
        ),
        formulas=_formula_choices(roster.overall),
        ages=_age_choices(roster.overall),
        ranked=_choices(RANKED),
        rule=rule_lines(roster.overall, named_event(roster), event_names(roster)) if roster.overall else (),
        tables=tuple(_table(table) for table in hall.projection.overall() if table.columns),
        weighed=bool(roster.overall and roster.overall.weights),
        scores=sum(len((roster.overall or OverallRule()).takes(event.id, _scores(event))) for event in roster.events),
        team_choices=team_choices(),
        team_rule=team_lines(teams) if teams else (),
        teams=tuple(team_standing(teams, table) for table in team_tables(roster, hall.projection.overall())) if teams else (),
        of_one=bool(roster.overall and roster.overall.tells_of_one),
        said=stated_overall(hall),
    )


def overall_typed(hall: Hall) -> Typed:
    """The form as stored; before anything was chosen, what most would begin with."""
    roster = needed_roster(hall)
    rule = roster.overall
    filled = rule or OverallRule(only={event.id: whole for event in roster.events if (whole := whole_score(event))})
    return {
        "by": rule.by if rule else NO_RULE,
        "points": ", ".join(decimal_text(points, 3) for points in filled.points),
        "beyond": decimal_text(filled.beyond, 3),
        "first": decimal_text(filled.first, 3),
        "less": decimal_text(filled.less, 3),
        "least": decimal_text(filled.least, 3),
        "shared": filled.shared,
        "absent": filled.absent,
        "better": filled.better,
        "count_back": "on" if filled.count_back else "",
        "named": filled.named or "",
        **{f"{FORMULA}{event}": _formula_key(one) for event, one in filled.formulas.items()},
        "ages": _age_key(filled.ages) if filled.ages else "",
        "ranked": "across" if filled.across else "apart",
        **team_typed(filled.teams),
        **{f"{ONLY}{event}": score for event, score in filled.only.items()},
        "drop": str(filled.drop) if filled.drop else "",
        **{f"{WEIGHT}{event}": decimal_text(weight, 6) for event, weight in filled.weights.items()},
    }


async def save_overall(hall: Hall, typed: Typed) -> None:
    """Says how the overall standing is made, or that there is none. Raises BadForm."""
    roster = needed_roster(hall)
    rule = read_rule(roster, typed)
    await change_roster(hall, lambda session: put_overall(session, rule))


def read_rule(roster: Roster, typed: Typed) -> OverallRule | None:
    """The rule that a form says; what belongs to another way of adding up stays as it was. Raises BadForm."""
    read = Reading(typed)
    by = read.choice("by", "How the scores are added up", BY)
    before = roster.overall or OverallRule()
    values: dict[str, object] = before.model_dump() | {"by": by}
    if by == "table":
        values["points"] = read_points(read, "points", MOST_TABLE)
        values["beyond"] = _number(read, "beyond", "What later places are worth")
    if by == "linear":
        values["first"] = _number(read, "first", "What place 1 is worth")
        values["less"] = _number(read, "less", "How many points fewer each next place gets")
        values["least"] = _number(read, "least", "The least that a place is worth")
    values["drop"] = read.whole("drop", "How many of the worst scores are left out", 0, MOST_DROPPED, 0)
    values["weights"] = _weights(read, roster)
    values["only"] = only = _only(read, roster, before)
    if by == "formula":
        values["formulas"] = _formulas(read, roster, before.model_copy(update={"only": only}))
        values["ages"] = _ages(read, before)
        values["better"] = "more"
    if by == "scores":
        values["better"] = read.choice("better", "Which sum wins", BETTER)
    elif by not in ("percent", "formula"):
        values["shared"] = read.choice("shared", "What shared places are worth", SHARED)
    across = by in OF_SCORES and "ranked" in typed
    values["across"] = across and read.choice("ranked", "Who is ranked together", RANKED) == "across"
    values["absent"] = read.choice("absent", "What an entry without a place gets", ABSENT)
    values["count_back"] = read.ticked("count_back")
    values["named"] = _named(read, roster)
    values["teams"] = read_teams(read, before.teams) if by != NO_RULE else None
    if by == NO_RULE:
        return None
    read.done()
    try:
        return OverallRule.model_validate(values)
    except ValidationError as error:
        raise BadForm(problems_of(error)) from None


def _number(read: Reading, field: str, what: str) -> Fraction:
    value = read.number(field, what, Fraction(0))
    if value < 0:
        read.wrong(field, f"{what} is 0 or more; not “{shown(read.raw(field))}”.")
    return value


def _formula_key(formula: Formula) -> str:
    return next((key for key, row in formulas_known().items() if row == formula), KEPT)


def _age_key(ages: AgeFactors) -> str:
    return next((key for key, one in age_factors_known().items() if one == ages), KEPT)


def _ages(read: Reading, before: OverallRule) -> AgeFactors | None:
    key = read.raw("ages")
    found = before.ages if key == KEPT else age_factors_known().get(key)
    if key and found is None:
        read.wrong("ages", "The age factors are one of those in the list, or none.")
    return found


def _formulas(read: Reading, roster: Roster, before: OverallRule) -> dict[str, Formula]:
    """The formula of each event that has one, in a unit that its scores can be told in; `before`: the rule, but for them."""
    found: dict[str, Formula] = {}
    for event in roster.events:
        field, key = f"{FORMULA}{event.id}", read.raw(f"{FORMULA}{event.id}")
        formula = before.formulas.get(event.id) if key == KEPT else formulas_known().get(key)
        if key and formula is None:
            read.wrong(field, f"The formula of {event.name} is one of those in the list, or none.")
        elif formula is not None:
            takes = before.takes(event.id, _scores(event))
            units = [score_unit(event.format, score) for score in event.format.scores if score.id in takes]
            if odd := next((unit for unit in units if unit != formula.unit and not alike(unit, formula.unit)), ""):
                read.wrong(field, f"{event.name} is scored in {odd}; {formula.name} needs {formula.unit}.")
            if isinstance(formula, BodyFormula) and event.format.members != 1:
                read.wrong(field, f"{formula.name} is for one lifter; {event.name} is done by {event.format.members} together.")
            found[event.id] = formula
    if not found:
        read.wrong("by", "Points by formula need the formula of at least one event.")
    return found


def _scores(event: Event) -> list[str]:
    return [one.id for one in event.format.scores]


def whole_score(event: Event) -> str:
    """The score of an event that its others are parts of, as the total of a meet is whose lifts are ranked too: added up with
    them it would count everything twice. Empty where there is none."""
    taken = {one.id: {n for part in one.parts for n in event.format.window_indexes(part)} for one in event.format.scores}
    whole = [one for one in taken if len(taken) > 1 and all(taken[other] < taken[one] for other in taken if other != one)]
    return whole[0] if whole else ""


def _only(read: Reading, roster: Roster, before: OverallRule) -> dict[str, str]:
    """The scores that count alone, by event; a form that does not ask about an event leaves it."""
    found = dict(before.only)
    for event in (event for event in roster.events if f"{ONLY}{event.id}" in read.typed):
        field, key = f"{ONLY}{event.id}", read.raw(f"{ONLY}{event.id}")
        found.pop(event.id, None)
        if key in _scores(event):
            found[event.id] = key
        elif key:
            read.wrong(field, f"What counts of {event.name} is one of its scores, or all of them.")
    return found


def _weights(read: Reading, roster: Roster) -> dict[str, Fraction]:
    """What the points of each event are taken times, without those that count once."""
    said = {event.id: (f"{WEIGHT}{event.id}", f"The weight of {event.name}") for event in roster.events}
    found = {key: read.number(field, what, Fraction(1)) for key, (field, what) in said.items()}
    for key, weight in found.items():
        if not 0 <= weight <= MOST_WEIGHT:
            read.wrong(said[key][0], f"{said[key][1]} is a number from 0 to {MOST_WEIGHT}.")
    return {key: weight for key, weight in found.items() if weight != 1}


def _named(read: Reading, roster: Roster) -> str | None:
    named = read.raw("named")
    if named and all(event.id != named for event in roster.events):
        read.wrong("named", "The event that breaks ties is one of those in the list, or none.")
        return None
    return named or None


def _formula_choices(rule: OverallRule | None) -> tuple[Choice, ...]:
    own = [one for one in (rule.formulas.values() if rule else ()) if _formula_key(one) == KEPT]
    kept = (Choice(KEPT, "As it was saved"),) if own else ()
    return (*(Choice(key, row.name) for key, row in formulas_known().items()), *kept)


def _age_choices(rule: OverallRule | None) -> tuple[Choice, ...]:
    own = rule is not None and rule.ages is not None and _age_key(rule.ages) == KEPT
    kept = (Choice(KEPT, "As they were saved"),) if own else ()
    return (*(Choice(key, one.name) for key, one in age_factors_known().items()), *kept)


def _choices(words: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, text) for value, text in words.items())


def _table(table: OverallTable) -> StandingTable:
    rows = tuple(
        StandingRow(
            place=shared_place(row.place, row.shared) or "–",
            entry=row.entry.name,
            members=" · ".join(other_names(row.entry, row.members)),
            cells=tuple(overall_cell_text(table.rule, cell) for cell in row.cells),
            total=decimal_text(row.total, 3) if row.place is not None else "why?",
            tie=overall_note(table, row),
            link=overall_path(table.division, row.entry.id),
        )
        for row in table.rows
    )
    columns = tuple(column.title for column in table.columns)
    return StandingTable(table.division_name, columns, overall_unit(table), rows)
