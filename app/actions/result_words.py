"""Results in words, said one way on the board, in the results file and in a recount. Rules only."""

from fractions import Fraction

from app.rules.formats import ScoreRule
from app.rules.results import Row
from app.rules.scoring import PartScore, Score, clock_text
from app.rules.units import decimal_text


def place_text(row: Row) -> str:
    """A place as people read it: `1`, `=2` when it is shared, or nothing outside the ranking."""
    return "" if row.place is None else f"={row.place}" if row.shared else str(row.place)


def unit_text(rule: ScoreRule, made: Score) -> str:
    """The unit to set behind a score: none behind a clock time, a cap or words, which read by themselves."""
    return "" if made.left is not None or made.unmeasured or rule.unit == "s" else rule.unit


def part_text(part: PartScore, unit: str) -> str:
    """What a part of a score holds: in its own unit where its terms have one, else in the score's."""
    taken = [part.terms[i] for i in part.taken]
    units = {term.raw_unit for term in taken}
    if len(units) > 1:
        return f"{decimal_text(part.value, 2)} {unit}"
    raw_unit = units.pop() if units else "reps"
    raw = sum((term.raw for term in taken), Fraction(0))
    if raw_unit == "s":
        return clock_text(raw)
    return decimal_text(raw, 2) if raw_unit == "reps" else f"{decimal_text(raw, 2)} {raw_unit}"
