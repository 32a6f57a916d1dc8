"""Why a number is what it is: a score taken apart, window by window, mark by mark, conversion by conversion, to its place."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from app.rules.count.tally import Tally
from app.rules.records.marks import Mark
from app.rules.records.seats import SheetKind
from app.rules.result.explain_windows import Line, Step, window_steps
from app.rules.result.fine_print import fine_print
from app.rules.result.results import Row, Table
from app.rules.result.scoring import PartScore, Score, Term, score_text, score_words, unit_word
from app.rules.values.units import Rounding, decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.formats import Format, ScoreRule
from app.rules.workout.movements import shown_name
from app.rules.workout.words import listed, member_letter, part_text

RULES = "For everybody"


@dataclass(frozen=True, slots=True)
class Explanation:
    """How one entry came to its score and place: steps in the order in which the score is made."""

    entry: str
    division: str
    score: str
    place: str
    steps: tuple[Step, ...]


def explain(
    format: Format,
    table: Table,
    row: Row,
    sheets: Mapping[SheetKind, Tally],
    marks: Mapping[SheetKind, Sequence[Mark]],
    clock: Iterable[Line] = (),
    decided: Iterable[Line] = (),
    counted: Tally | None = None,
) -> Explanation:
    """Explains one row of a standing. `sheets` and `marks` are those of its assignment's counting run, by kind of sheet; `clock`
    and `decided` say what the clock went through and what was ruled (rules/result/ruling_words.py), `counted` is what counts of
    the sheets where a ruling lets one stand."""
    steps = [Step(title, lines) for title, lines in (("Clock", tuple(clock)), ("Rulings", tuple(decided))) if lines]
    steps += window_steps(format, sheets, marks, counted)
    if row.score is not None:
        steps.append(Step("Score", tuple(_score_lines(format, table.rule, row, row.score))))
    steps.append(Step("Place", tuple(_place_lines(table, row))))
    steps.append(Step(RULES, tuple(map(Line, fine_print(format, table.rule)))))
    return Explanation(row.entry.name, table.division_name, _headline(row), _place(row), tuple(steps))


def explanation_plain(explanation: Explanation) -> dict[str, Any]:
    """An explanation as JSON."""
    return asdict(explanation)


def _headline(row: Row) -> str:
    return known(row.status) if row.score is None else score_words(row.score)


def _place(row: Row) -> str:
    if row.place is None:
        return known(row.status) or say("no place")
    return say("place {place}, shared" if row.shared else "place {place}", place=row.place)


def _score_lines(format: Format, rule: ScoreRule, row: Row, score: Score) -> Iterator[Line]:
    for number, part in enumerate(score.parts):
        rule_part = rule.parts[number]
        yield Line(part_text(format, rule_part, part.name))
        for i, term in enumerate(part.terms):
            yield Line(_term_text(format, term), counts=i in part.taken)
        yield Line(f"{shown_name(part.name)}: {_sum_text(part)}")
    total = sum((part.value for part in score.parts), Fraction(0))
    if len(score.parts) > 1:
        added = " + ".join(_number(part.value, part.unit) for part in score.parts)
        yield Line(say("Together {added} = {number}", added=added, number=_number(total, score.unit)))
    if score.exact != total:
        yield Line(say("Work left at the cap adds {number}", number=_number(score.exact - total, score.unit)))
    if score.left is not None:
        yield Line(say("explain.capped", n=score.left))
    yield from _rounding_lines(rule, row, score)


def _rounding_lines(rule: ScoreRule, row: Row, score: Score) -> Iterator[Line]:
    taken_off = row.penalty if rule.better == "more" else -row.penalty
    before = score.value + taken_off
    if rule.rounding is not Rounding.NONE:
        how = say("down") if rule.rounding is Rounding.DOWN else say("to the nearest, halves away from zero,")
        yield Line(
            say(
                "Rounded {how} in steps of {number}: {result}",
                how=how,
                number=decimal(decimal_text(rule.rounding_step)),
                result=_number(before, score.unit),
            )
        )
    if row.penalty:
        verb = say("taken off") if rule.better == "more" else say("added")
        left = _number(score.value, score.unit)
        yield Line(
            say(
                "Penalty {verb} by ruling: {number}, which leaves {left}",
                verb=verb,
                number=_number(row.penalty, score.unit),
                left=left,
            )
        )


def _term_text(format: Format, term: Term) -> str:
    whose = f"{member_letter(term.member)}: " if term.member is not None and format.members > 1 else ""
    shown = say("Window {window}, {value}", window=term.window + 1, value=whose + _number(term.raw, term.raw_unit))
    if term.raw_unit != term.unit and term.unit in ("kg", "lb"):
        shown += f" = {_number(term.value, term.unit)} (1 lb = 0.45359237 kg)"
    elif term.value != term.raw:
        shown += f" = {_number(term.value, term.unit)}"
    return shown


def _sum_text(part: PartScore) -> str:
    taken = [part.terms[i].value for i in part.taken]
    units = {part.terms[i].unit for i in part.taken}
    unit = units.pop() if len(units) == 1 else part.unit
    added = " + ".join(decimal(decimal_text(value)) for value in taken) or say("nothing")
    text = (
        added
        if len(taken) == 1 and part.weight == 1
        else f"{added} = {_number(sum(taken, Fraction(0)), unit)}"
        if taken
        else say("nothing")
    )
    return (
        say(
            "{sum}, times {number} = {result}",
            sum=text,
            number=decimal(decimal_text(part.weight)),
            result=_number(part.value, part.unit),
        )
        if part.weight != 1
        else text
    )


def _number(value: Fraction, unit: str) -> str:
    if unit == "s":
        return decimal(score_text(value, unit, None))
    return decimal(f"{decimal_text(value)} {unit_word(unit, value)}")


def _place_lines(table: Table, row: Row) -> Iterator[Line]:
    better = say("more is better") if table.rule.better == "more" else say("less is better")
    ranked = [other for other in table.rows if other.place is not None]
    yield Line(say("Ranked in {division} among {n}: {better}", division=table.division_name, n=len(ranked), better=better))
    if row.status:
        yield Line(known(row.status))
    if row.variant is not None:
        how = {
            "with": say("with everybody else"),
            "after": say("behind everybody who did it as written"),
            "apart": say("in a separate standing"),
        }
        yield Line(say("{name}, ranked {how}", name=row.variant.name, how=how[row.variant.ranked]))
    if row.recounts:
        windows = listed([str(index + 1) for index in row.recounts])
        yield Line(say("recounts", n=len(row.recounts), windows=windows))
    if row.twice:
        yield Line(say("judged_twice", n=len(row.twice)))
    if row.score is not None and row.place is not None:
        yield from _tie_lines(table, row, row.score, ranked)
    told = _place(row)
    yield Line(told[:1].upper() + told[1:])


def _tie_lines(table: Table, row: Row, score: Score, ranked: Sequence[Row]) -> Iterator[Line]:
    equal = [other for other in ranked if other is not row and other.score is not None and other.score.key == score.key]
    for other in equal:
        if other.place == row.place:
            tried = ", ".join(step.explained() for step in table.rule.ties)
            steps = say("and no tie-break separates them ({tried})", tried=tried) if tried else ""
            yield Line(
                say("The same score as {name}: the place is shared", name=" ".join(filter(None, (other.entry.name, steps))))
            )
        elif row.by_tie is not None:
            order = say("before") if (row.place or 0) < (other.place or 0) else say("behind")
            step = say("tie-break {number}: {step}", number=row.by_tie + 1, step=table.rule.ties[row.by_tie].explained())
            yield Line(say("The same score as {name}; {order} it by {step}", name=other.entry.name, order=order, step=step))
