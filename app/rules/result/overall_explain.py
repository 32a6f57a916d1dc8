"""Why an overall place is what it is: the rule in words, what each score brought, the ties."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import reduce
from types import MappingProxyType

from app.rules.records.body_formulas import BodyFormula
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Roster
from app.rules.result.explain import Explanation
from app.rules.result.explain_windows import Line, Step
from app.rules.result.overall_results import ALL, OverallCell, OverallColumn, OverallLine, OverallTable
from app.rules.result.scoring import PLACES, unit_word
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say

NO_NAMES: Mapping[str, str] = MappingProxyType({})
MOST_POINTS_TOLD = 12  # of a table of points; the whole of it stands on the desk's page


def explain_overall(table: OverallTable, row: OverallLine, named: str = "", events: Mapping[str, str] = NO_NAMES) -> Explanation:
    """Explains one line of an overall standing. `named` is the name of the event that breaks ties, if the rule has one; `events`:
    names, as event_names has them."""
    steps = (
        Step("How it is added up", tuple(Line(text) for text in rule_lines(table.rule, named, events))),
        Step("What each score counts", tuple(_cell_lines(table, row))),
        Step("Place", tuple(_place_lines(table, row, named))),
    )
    return Explanation(row.entry.name, table.division_name, total_text(table, row.total), _place(row), steps)


def rule_lines(rule: OverallRule, named: str = "", events: Mapping[str, str] = NO_NAMES) -> tuple[str, ...]:
    """The rule of an overall standing, as sentences. `events`: names, as event_names has them."""
    return (
        _by(rule),
        *_only(rule, events),
        *_formulas(rule, events),
        *_weights(rule, events),
        *_dropped(rule),
        *_shared(rule),
        _absent(rule),
        _ties(rule, named),
        *([say("All divisions are one standing; a place in it is among everybody.")] if rule.across else []),
    )


def event_names(roster: Roster) -> dict[str, str]:
    """The names of the events by id, and of their scores by `event/score`."""
    scores = {f"{event.id}/{score.id}": score.name for event in roster.events for score in event.format.scores}
    return {event.id: event.name for event in roster.events} | scores


def total_text(table: OverallTable, total: Fraction) -> str:
    """A total with what it is counted in: `12 places added`, `195 points`, `1040.5 kg`."""
    return f"{decimal(decimal_text(total, 3))} {unit_word(total_unit(table), total)}"


def total_unit(table: OverallTable) -> str:
    """What a total is counted in. Scores that are added up keep their unit where it is one; unlike ones added are points."""
    units = {column.unit for column in table.columns}
    if table.rule.by == "scores" and len(units) == 1:
        return units.pop()
    return PLACES if table.rule.by == "places" else "points"


def _by(rule: OverallRule) -> str:
    match rule.by:
        case "places":
            return say("The places in all scores are added up; the lowest sum wins.")
        case "linear":
            least = say(", never fewer than {number}", number=decimal(decimal_text(rule.least))) if rule.least else ""
            fewer = say("{number} fewer for each place after it{least}", number=decimal(decimal_text(rule.less)), least=least)
            return say(
                "overall.linear",
                n=rule.first,
                number=decimal(decimal_text(rule.first)),
                fewer=fewer,
            )
        case "table":
            told = ", ".join(decimal(decimal_text(points)) for points in rule.points[:MOST_POINTS_TOLD])
            more = say(" and so on to place {n}", n=len(rule.points)) if len(rule.points) > MOST_POINTS_TOLD else ""
            return say(
                "Each score gives points for the place: {told}{more}, then {number}; the highest sum wins.",
                told=told,
                more=more,
                number=decimal(decimal_text(rule.beyond)),
            )
        case "percent":
            return say("Each score is a percentage of the best one there, to a thousandth; the highest sum wins.")
        case "formula":
            return say("Each score gives the points of its event's formula; the highest sum wins.")
        case "scores":
            return say(
                "The scores themselves are added up; the highest sum wins."
                if rule.better == "more"
                else "The scores themselves are added up; the lowest sum wins."
            )


def _only(rule: OverallRule, events: Mapping[str, str]) -> Iterator[str]:
    """The scores that count alone, of events that have them."""
    for event, score in rule.only.items():
        if f"{event}/{score}" in events:
            yield say("Of {event} only {score} counts.", event=events[event], score=events[f"{event}/{score}"])


def _formulas(rule: OverallRule, events: Mapping[str, str]) -> Iterator[str]:
    if rule.by == "formula":
        yield from (
            say("{event}, by {name}: {words}.", event=events.get(key, key), name=one.name, words=one.words())
            for key, one in rule.formulas.items()
        )
        if any(isinstance(one, BodyFormula) for one in rule.formulas.values()):
            yield say(
                "w is the bodyweight in kg. Anybody who was not weighed, or lacks something else the formula "
                "needs, has no points and no place."
            )
        if rule.ages is not None:
            yield say("Points by bodyweight are multiplied by the age factor: {name}.", name=rule.ages.name)
        yield say("An event without a formula counts its score as it is.")


def _weights(rule: OverallRule, events: Mapping[str, str]) -> Iterator[str]:
    told = [
        say("{event} times {number}", event=events.get(key, key), number=decimal(decimal_text(weight)))
        for key, weight in rule.weights.items()
    ]
    if told:
        yield say("Events are weighted: {these}; every other once.", these=", ".join(told))


def _dropped(rule: OverallRule) -> Iterator[str]:
    if rule.drop:
        yield say("overall.drop", n=rule.drop)


def _shared(rule: OverallRule) -> Iterator[str]:
    if not rule.of_scores:
        same = say("Entries that share a place all get what that place is worth.")
        yield same if rule.shared == "same" else say("Entries that share a place split what the places they cover are worth.")


def _absent(rule: OverallRule) -> str:
    match rule.absent:
        case "last":
            worth = say("the worst score there") if rule.of_scores else say("what the place after the last one is worth")
            return say("An entry without a place in a score gets {worth}.", worth=worth)
        case "none":
            return say("An entry without a place in a score gets 0.")
        case "out":
            return say("An entry without a place in every score has no overall place.")


def _ties(rule: OverallRule, named: str) -> str:
    steps = ([say("by count-back of best places")] if rule.count_back else []) + (
        [say("by the place in {named}", named=named)] if rule.named else []
    )
    return (
        say(
            "Ties are broken {these}; otherwise the place is shared.",
            these=reduce(lambda one, other: say("{one}, then {other}", one=one, other=other), steps),
        )
        if steps
        else say("Ties share the place.")
    )


def _cell_lines(table: OverallTable, row: OverallLine) -> Iterator[Line]:
    for column, cell in zip(table.columns, row.cells, strict=True):
        yield Line(f"{column.title}: {_brought(table.rule, column, cell)}", counts=not cell.left_out)
    if not row.cells:
        yield Line(say("No event has started yet"))
    elif len(row.cells) > 1:
        added = " + ".join(decimal(decimal_text(cell.points, 3)) for cell in row.cells if not cell.left_out)
        yield Line(say("Together {added} = {number}", added=added, number=decimal(decimal_text(row.total, 3))))


def _brought(rule: OverallRule, column: OverallColumn, cell: OverallCell) -> str:
    weight = rule.weights.get(column.event)
    brings = decimal(decimal_text(cell.points, 3)) + (
        say(" with its weight of {number}", number=decimal(decimal_text(weight))) if weight is not None else ""
    )
    if cell.waits:
        return say("{why}; until then it counts {brings}", why=known(cell.status), brings=brings)
    if cell.place is None:
        return say("no place ({why}), which counts {brings}", why=known(cell.status) or say("no score"), brings=brings)
    place = say("place {place} of {ranked}", place=cell.place, ranked=column.ranked)
    if cell.shared:
        place = say("{place}, shared", place=place)
    if cell.lacking:
        return say("{score} ({place}), without points: {lacking}", score=cell.score, place=place, lacking=cell.lacking.text)
    if rule.of_scores:
        by = say(", with {reckoned}", reckoned=cell.reckoned.text) if cell.reckoned else ""
        return say("{score} ({place}){by}, which counts {brings}", score=cell.score, place=place, by=by, brings=brings)
    return (
        place
        if rule.by == "places" and weight is None and cell.points == cell.place
        else say("{place}, which counts {brings}", place=place, brings=brings)
    )


def _place(row: OverallLine) -> str:
    if row.place is None:
        return say("no place")
    return say("place {place}, shared" if row.shared else "place {place}", place=row.place)


def _place_lines(table: OverallTable, row: OverallLine, named: str) -> Iterator[Line]:
    ranked = [other for other in table.rows if other.place is not None]
    low = say("the lowest total first") if table.rule.low_wins else say("the highest total first")
    where = say("all divisions") if table.division == ALL else table.division_name
    yield Line(say("Ranked in {where} among {n}: {low}", where=where, n=len(ranked), low=low))
    if row.place is None:
        yield Line(_why_none(table, row))
        return
    for other in ranked:
        if other is not row and other.total == row.total:
            yield Line(_tie(table, row, other, named))
    told = _place(row)
    yield Line(told[:1].upper() + told[1:])


def _why_none(table: OverallTable, row: OverallLine) -> str:
    if lacking := next((cell.lacking for cell in row.cells if cell.lacking), None):
        return say("No overall place: {lacking}", lacking=lacking.text)
    if any(cell.place is not None for cell in row.cells):
        return say("No overall place: the entry has no place in every score")
    return say("No overall place: the entry has no place in any score yet")


def _tie(table: OverallTable, row: OverallLine, other: OverallLine, named: str) -> str:
    """What parts two entries of one total, with the places that were compared."""
    same = say("The same total as {name}", name=other.entry.name)
    if row.place == other.place:
        return say("{same}, and nothing separates them: the place is shared", same=same)
    order = say("before") if (row.place or 0) < (other.place or 0) else say("behind")
    mine, theirs = _best(row), _best(other)
    if table.rule.count_back and mine != theirs:
        return say(
            "{same}; {order} it by count-back of best places: {places} against {others}",
            same=same,
            order=order,
            places=_told(mine),
            others=_told(theirs),
        )
    return say("{same} and the same places; {order} it by the place in {named}", same=same, order=order, named=named)


def _best(row: OverallLine) -> list[int | None]:
    places = [cell.place for cell in row.cells if not cell.left_out]
    return sorted(place for place in places if place is not None) + [None] * places.count(None)


def _told(places: Sequence[int | None]) -> str:
    return ", ".join(say("none") if place is None else str(place) for place in places)
