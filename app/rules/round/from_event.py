"""The rule of a round made of a competition: its divisions, its events, and of what parts a claim for each is told."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event
from app.rules.round.hand_in import runs_as
from app.rules.round.rule import DivisionRule, DoubtRule, EventRule, PartRule, Rule
from app.rules.round.told import told
from app.rules.workout.formats import Format, ScoreRule
from app.rules.workout.score_units import score_unit
from app.rules.workout.tasks import LiftTask


def rule_from(
    file: CompetitionFile,
    key: str,
    name: str,
    deadline_ms: int,
    zone: str,
    places: Mapping[str, int],
    opens_ms: int = 0,
    film_word: int = 0,
) -> Rule:
    """The rule of a round for the events of a competition. places: by division id, how many are invited. Raises ValueError."""
    return Rule(
        id=key,
        name=name,
        events=tuple(map(event_rule, file.events)),
        divisions=tuple(DivisionRule(id=one.id, name=one.name, places=places.get(one.id, 0)) for one in file.divisions),
        opens_ms=opens_ms,
        film_word=film_word,
        doubts=DoubtRule(),
        deadline_ms=deadline_ms,
        zone=zone,
        overall=file.overall or OverallRule(),
    )


def event_rule(event: Event) -> EventRule:
    """How an event's first score is claimed: number by number where a round can add them up, else as one number."""
    format, score = event.format, event.format.scores[0]
    said: dict[str, Any] = {"id": event.id, "name": event.name, "better": score.better, "runs_as": runs_as(event)}
    said["unit"] = score_unit(format, score)
    found = told(format, score)
    if not found:
        return EventRule(parts=(_whole(format, score),), **said)
    parts = tuple(part for one in found for part in one.parts)
    return EventRule(
        parts=parts, made=tuple(one.of for one in found), rounding=score.rounding, rounding_step=score.rounding_step, **said
    )


def _whole(format: Format, score: ScoreRule) -> PartRule:
    """A score that is claimed as one number. One that is not credited is worth as much as the whole length of the event, where
    less is better."""
    lifts = all(isinstance(format.tasks.get(format.windows[index].task or ""), LiftTask) for index in _windows(format, score))
    none = Fraction(0) if score.better == "more" else Fraction(format.length_ms, 1000)
    unit = score_unit(format, score)
    return PartRule(name=score.name, of="lift" if lifts else "window", none=none, asks="The whole score", unit=unit)


def worked_windows(event: Event) -> list[list[int]]:
    """By part of a claim for an event, the windows of the format that it tells of."""
    format, score = event.format, event.format.scores[0]
    if found := told(format, score):
        return [list(windows) for one in found for windows in one.windows]
    return [_windows(format, score)]


def _windows(format: Format, score: ScoreRule) -> list[int]:
    return [index for part in score.parts for index in format.window_indexes(part)]
