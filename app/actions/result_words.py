"""Results in words, said one way on the board, in the results file and in a recount. Rules only."""

from fractions import Fraction

from app.rules.formats import ScoreRule
from app.rules.overall import OverallRule
from app.rules.overall_results import OverallCell
from app.rules.results import Row, Table
from app.rules.scoring import PartScore, Score, clock_text
from app.rules.units import decimal_text


def place_text(row: Row) -> str:
    """A place as people read it: `1`, `=2` when it is shared, or nothing outside the ranking."""
    return shared_place(row.place, row.shared)


def shared_place(place: int | None, shared: bool) -> str:
    """The same for a place of any standing."""
    return "" if place is None else f"={place}" if shared else str(place)


def spoken_place(place: int | None, shared: bool) -> str:
    """A place for those who hear it."""
    return "no place" if place is None else f"{place}, shared" if shared else str(place)


def results_path(event: str, score: str, entry: str) -> str:
    """Where a score is explained."""
    return f"/results/{event}/{score}/{entry}"


def overall_path(division: str, entry: str) -> str:
    """Where an overall place is explained."""
    return f"/overall/{division}/{entry}"


def overall_unit(rule: OverallRule) -> str:
    """What a total is counted in, where that needs saying."""
    return {"places": "", "scores": ""}.get(rule.by, "points")


def overall_cell_text(rule: OverallRule, cell: OverallCell) -> str:
    """What one score brings overall: `95 (=2)`; where places are added, the place says it already."""
    points, place = decimal_text(cell.points, 3), shared_place(cell.place, cell.shared) or "–"
    return place if rule.by == "places" and cell.points == cell.place else f"{points} ({place})"


def note_text(table: Table, row: Row) -> str:
    """What there is to know of a line beside its score: its status, the variant it did, a recount that is due."""
    variant = row.variant.name if row.variant is not None and table.variant is None else ""
    recount = "to be counted again" if row.recounts else ""
    return ", ".join(text for text in (row.status, variant, recount) if text)


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
