"""Whom an entry could go past next in a standing, and what that takes, in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.result_words import shared_place
from app.rules.result.overall_results import OverallLine, OverallTable
from app.rules.result.results import NOT_JUDGED, TO_BE_RUN_AGAIN, Row, Table
from app.rules.result.scoring import Score, score_words
from app.rules.result.totals import is_settled
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say

PLAIN_UNITS = ("reps", "points", "s")  # what a difference in them is told without


@dataclass(frozen=True, slots=True)
class Ahead:
    """The nearest entry before one's own, or level with it: its place as text, what is surely enough to stand before it, and how
    far it is away now; empty where that can't be told in one number."""

    entry: str
    place: str
    takes: str
    away: str

    @property
    def named(self) -> str:
        """The entry with its place, where it has one: `Chalk Lines (2)`."""
        return f"{self.entry} ({self.place})" if self.place else self.entry


def ahead_of(table: Table, entry: str) -> Ahead | None:
    """Whom an entry could go past next; None where nobody stands before it or level with it. Without a place: the last of all."""
    own = next((row for row in table.rows if row.entry.id == entry), None)
    if own is None:
        return None
    placed = [row for row in table.rows if row.place is not None and row.score is not None and row.entry.id != entry]
    before = [row for row in placed if own.place is None or (row.place or 0) <= own.place]
    return _ahead(table, own, before) if before else None


def may_go_past(hall: Hall, table: Table, row: Row) -> bool:
    """Whether an entry's score may still change by what is done on the floor, as far as its attempts tell. Who is out, by a
    ruling or for want of a total, goes past nobody."""
    if row.place is None and row.status not in ("", NOT_JUDGED, TO_BE_RUN_AGAIN):
        return False
    place = hall.projection.place_of(row.assignment) if row.assignment else None
    tally = hall.projection.counting_tally(row.assignment) if row.assignment else None
    return place is None or tally is None or not is_settled(place.format, table.rule, tally)


def _ahead(table: Table, own: Row, before: Sequence[Row]) -> Ahead | None:
    near = max(before, key=lambda row: row.place or 0)
    assert near.score is not None  # it was asked for just now
    away = apart_text(own.score, near.score) if own.place is not None and own.score is not None else ""
    return Ahead(near.entry.name, shared_place(near.place, near.shared), takes_text(table.rule.better, near.score), away)


def takes_text(better: str, score: Score) -> str:
    """What is surely better than a score, whatever parts ties: `more than 310 points`, `faster than 9:42`."""
    if score.unmeasured:
        return say("any number that is measured")
    if score.left == 0:  # nothing is left that counts
        return say("finishing")
    if score.left is not None:
        return say("finishing, or fewer than {left} left", left=score.left)
    if better == "more":
        return say("more than {score}", score=score_words(score))
    return say("faster than {score}" if score.unit == "s" else "less than {score}", score=score_words(score))


def apart_text(one: Score, other: Score) -> str:
    """How far two scores lie apart, in what they are compared by: `4`, `2.5 kg`, `0:03`. Empty between equal ones, where one has
    finished and the other has not, and where one is no number."""
    if one.in_words or other.in_words or (one.left is None) != (other.left is None) or one.key == other.key:
        return ""
    if one.left is not None and other.left is not None:
        return str(abs(other.left - one.left)) if one.left != other.left else ""
    apart = abs(one.value - other.value)
    if one.unit == "s":
        return decimal(exact_text(apart))
    return f"{decimal(decimal_text(apart, 3))}{'' if one.unit in PLAIN_UNITS else ' ' + one.unit}"


def behind_first(table: Table, row: Row) -> str:
    """How far an entry is behind the first of its standing: `5 behind`. Empty for the first and where that is no one number."""
    first = next((one.score for one in table.rows if one.place == 1), None)
    if first is None or row.score is None or row.place is None:
        return ""
    return _behind(apart_text(first, row.score))


def behind_total(table: OverallTable, row: OverallLine) -> str:
    """The same of an overall standing."""
    first = next((one.total for one in table.rows if one.place == 1), None)
    if first is None or row.place is None or row.total == first:
        return ""
    return _behind(decimal(decimal_text(abs(row.total - first), 3)))


def _behind(apart: str) -> str:
    return say("{apart} behind", apart=apart) if apart else ""
