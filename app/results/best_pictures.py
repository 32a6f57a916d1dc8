"""How the best score of a standing moved over the day's heats, as a picture of the same rows as its table."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.hall.pictures import PLOT, Column, Dot, Key, Level, Panel, Picture, Scale, Stroke, Tick, round_values, stepped
from app.hall.result_words import table_key, table_title
from app.rules.result.results import EventResults, Row, Table
from app.rules.result.scoring import Score, score_words
from app.rules.values.alphabet import by_name
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, say

SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 3600)  # between the levels of a time
HALF = Fraction(1, 2)  # of a heat, so that no score lies on the edge
HEATS = (1, 2, 5, 10, 20, 50, 100)  # between the lines of the ruler of heats


@dataclass(frozen=True, slots=True)
class Came:
    """A score as it came: in which heat, counted from the first of the day for this event; whether it was the best so far."""

    heat: int
    entry: str
    score: Score
    best: bool


def as_they_came(table: Table, heats: Mapping[str, int]) -> tuple[Came, ...]:
    """The ranked scores of a standing in the order of their heats, the best of each heat first; `heats`: the number of each lane
    assignment's heat. A record is a score that stands before all of the heats before it, and of its own."""
    ranked = [
        (heats[row.assignment], row.score, row)
        for row in table.rows
        if row.place is not None and row.score is not None and row.assignment is not None and row.assignment in heats
    ]
    ranked.sort(key=lambda one: (one[0], _before(one[2]), by_name(one[2].entry.name)))
    found: list[Came] = []
    best: tuple[object, ...] | None = None
    for heat, made, row in ranked:
        record = best is None or _before(row) < best
        best = _before(row) if record else best
        found.append(Came(heat, row.entry.name, made, record))
    return tuple(found)


def _before(row: Row) -> tuple[Fraction, ...]:
    """By what a row's score stands before another's, ties apart: smaller is better."""
    after = row.variant is not None and row.variant.ranked == "after"
    return (Fraction(after), *(row.score.key if row.score else ()))


def best_picture(found: EventResults, table: Table, heats: Mapping[str, int]) -> Picture | None:
    """How the best score moved. None where nothing is ranked yet."""
    came = as_they_came(table, heats)
    if not came:
        return None
    ruler = _Ruler(came, table.unit)
    first, last = min(one.heat for one in came), max(one.heat for one in came)
    scale = Scale(first - HALF, last + HALF)
    numbers = [number for number in stepped(first, last, HEATS) if first <= number <= last]
    newest = [one for one in came if one.best][-1]
    return Picture(
        name=f"best-{table_key(found.event, table)}",
        title=f"{table.division_name}: {table_title(found.event, table)}",
        says=say(
            "The best is {entry}, {score}, since heat {heat}.",
            entry=newest.entry,
            score=score_words(newest.score),
            heat=newest.heat,
        ),
        across=say("Heat"),
        up=f"{ruler.words}, {say('more is better' if table.rule.better == 'more' else 'less is better')}",
        panels=(Panel("", "", PLOT, (), _steps(came, scale, ruler), _dots(came, scale, ruler), ruler.levels),),
        ticks=tuple(Tick(scale.across(number), str(number)) for number in numbers),
        columns=(Column(say("Entry")), Column(say("Heat"), True), Column(say("Score"), True), Column(say("Best so far"))),
        rows=tuple((one.entry, str(one.heat), score_words(one.score), say("yes") if one.best else "") for one in came),
        keys=(Key(say("the best so far"), "now", "disc"), Key(say("other scores"), "plain", "ring")),
    )


class _Ruler:
    """The ruler of some scores: in their unit, or while all were capped, in what they had left. A capped one beside others that
    finished lies at the cap."""

    def __init__(self, came: Sequence[Came], unit: str) -> None:
        self.left = all(one.score.left is not None for one in came)
        self.words = say("work left") if self.left else say("Time") if unit == "s" else unit
        values = [self.value(one.score) for one in came]
        timed = unit == "s" and not self.left
        levels = (
            [Fraction(value) for value in stepped(int(min(values)), -(-max(values) // 1), SECONDS)]
            if timed
            else round_values(min(values), max(values))
        )
        self._scale = Scale(levels[0], levels[-1])
        said = [exact_text(value) if timed else decimal(decimal_text(value, 1)) for value in levels]
        self.levels = tuple(Level(self._scale.up(value, PLOT), words) for value, words in zip(levels, said, strict=True))

    def value(self, made: Score) -> Fraction:
        """What is drawn of a score."""
        return Fraction(made.left or 0) if self.left else made.value

    def up(self, made: Score) -> float:
        """The place of a score from the top."""
        return self._scale.up(self.value(made), PLOT)


def _dots(came: Sequence[Came], scale: Scale, ruler: _Ruler) -> tuple[Dot, ...]:
    def dot(one: Came) -> Dot:
        words = say("{entry}, {score}, heat {heat}", entry=one.entry, score=score_words(one.score), heat=one.heat)
        at, y = scale.across(one.heat), ruler.up(one.score)
        return Dot(at, y, "disc", "now", words) if one.best else Dot(at, y, "ring", words=words)

    return tuple(map(dot, sorted(came, key=lambda one: one.best)))


def _steps(came: Sequence[Came], scale: Scale, ruler: _Ruler) -> tuple[Stroke, ...]:
    """The best as a line that goes on until a better one came."""
    records = [one for one in came if one.best]
    made = []
    for one, after in zip(records, [*records[1:], None], strict=True):
        at, y = scale.across(one.heat), ruler.up(one.score)
        until = scale.across(after.heat if after else scale.high)
        made.append(Stroke(at, y, until, y, "now"))
        if after:
            made.append(Stroke(until, y, until, ruler.up(after.score), "now"))
    return tuple(made)
