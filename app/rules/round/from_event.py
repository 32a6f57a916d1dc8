"""The rule of a round made of a competition: its divisions, its events, and of what parts a claim for each is told."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Literal

from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Event
from app.rules.round.hand_in import runs_as
from app.rules.round.rule import MOST_PARTS, DivisionRule, DoubtRule, EventRule, PartRule, Rule
from app.rules.workout.formats import Format, ScoreRule
from app.rules.workout.tasks import LiftTask

PLAIN_TAKES: Mapping[str, Literal["sum", "best"]] = {"sum": "sum", "best": "best"}


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
    """How an event's first score is claimed: window by window where it is their plain sum or their best, else as one number."""
    format, score = event.format, event.format.scores[0]
    windows = _plain_windows(format, score)
    if windows:
        parts = tuple(PartRule(name=f"Window {index + 1}", of=_of(format, index)) for index in windows)
        take = PLAIN_TAKES[score.parts[0].take]
        return EventRule(id=event.id, name=event.name, parts=parts, take=take, unit=score.unit, runs_as=runs_as(event))
    worked = worked_windows(event)[0]
    lifts = all(_of(format, index) == "lift" for index in worked)
    none = Fraction(0) if score.better == "more" else Fraction(format.length_ms, 1000)
    whole = PartRule(name=score.name, of="lift" if lifts else "window", none=none)
    said = {"better": score.better, "unit": score.unit, "runs_as": runs_as(event)}
    return EventRule(id=event.id, name=event.name, parts=(whole,), **said)


def worked_windows(event: Event) -> list[list[int]]:
    """By part of a claim for an event, the windows of the format that it tells of."""
    format, score = event.format, event.format.scores[0]
    if windows := _plain_windows(format, score):
        return [[index] for index in windows]
    return [[index for part in score.parts for index in format.window_indexes(part)]]


def _plain_windows(format: Format, score: ScoreRule) -> list[int]:
    """The windows that a score takes from one by one; none where it is made in another way than one by one."""
    part = score.parts[0]
    plain = len(score.parts) == 1 and part.take in PLAIN_TAKES and part.weight == 1 and not part.drop and score.better == "more"
    windows = format.window_indexes(part)
    return windows if plain and not score.every_part and len(windows) <= MOST_PARTS else []


def _of(format: Format, index: int) -> Literal["window", "lift"]:
    return "lift" if isinstance(format.tasks.get(format.windows[index].task or ""), LiftTask) else "window"
