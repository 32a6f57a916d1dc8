"""A head judge's decision on a line, or answer to its appeal: what it says and would do to the places, before it is made."""

from dataclasses import dataclass

from pydantic import ValidationError

from app.round.kept_records import NoRound
from app.rules.round import records as r
from app.rules.round.due import Said
from app.rules.round.effect import effect_of, effect_words
from app.rules.round.fold import NO_LINE, why_not
from app.rules.round.rule import EventRule
from app.rules.round.scale import Score, settle
from app.rules.round.state import LineState, RoundState
from app.rules.round.told import NotTold, read_score, shown_score

NOBODY = "?"  # who decides, while that is only asked


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer to an appeal as it is typed: upheld, partly or refused; why; the score where it is met in part; the names of its
    judges, where it is a panel's."""

    outcome: str
    why: str
    score: str | None = None
    judges: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ruling:
    """A record that may follow, and what it does in words."""

    said: Said
    words: str


def event_id(state: RoundState, typed: str) -> str:
    """The id of an event by its id or name. Raises NoRound."""
    found = [one.id for one in state.rules.events if typed in (one.id, one.name)]
    if len(found) != 1:
        raise NoRound(f"Say the event by its id: {', '.join(one.id for one in state.rules.events)}.")
    return found[0]


def ruling_on(state: RoundState, key: r.LineKey, answered: Answered | None, by: str, now_ms: int) -> Ruling:
    """What the scale gives of a line, or an answer to its appeal. Raises NoRound where the rules refuse it."""
    line, event = state.lines.get(key), state.rules.event(key[1])
    if line is None or event is None:
        raise NoRound(NO_LINE)
    fields = {"entry": key[0], "event": key[1], "by": by}
    record = _answer(event, fields, answered, now_ms) if answered else _decision(state, line, fields, now_ms)
    if sentence := why_not(state, record):
        raise NoRound(sentence)
    value = _score_after(line, record)
    became = f"Claimed {shown_score(event, line.claimed)}, then {shown_score(event, value)}: {record.outcome}."
    words = f"{became} {effect_words(effect_of(state, key, value))}"
    fields |= {"outcome": record.outcome, "value": record.value, "why": record.why}
    fields |= {"judges": record.judges} if isinstance(record, r.Panel) else {}
    return Ruling((type(record), fields), words)


def _answer(event: EventRule, fields: dict[str, object], answered: Answered, now_ms: int) -> r.Answer | r.Panel:
    try:
        value = read_score(event, answered.score) if answered.score else None
        said = fields | {"outcome": answered.outcome, "why": answered.why, "value": value}
        said |= {"number": 1, "at": now_ms}
        if answered.judges:
            return r.Panel.model_validate(said | {"judges": answered.judges})
        return r.Answer.model_validate(said)
    except NotTold as wrong:
        raise NoRound(str(wrong)) from None
    except ValidationError as wrong:
        first = wrong.errors()[0]
        raise NoRound(f"{first['loc'][0]}: {first['msg']}.") from None


def _decision(state: RoundState, line: LineState, fields: dict[str, object], now_ms: int) -> r.Decision:
    event = state.rules.event(line.claim.event)
    assert event is not None, "a line is of an event of the round"
    if not line.sealed:
        said: dict[str, object] = {"outcome": "refused", "why": "no-film"}
    else:
        given = settle(state.rules, event, line.claimed, line.sealed)
        if given.outcome == "more":
            raise NoRound("The scale needs another look first.")
        said = {"outcome": given.outcome, "value": given.value}
    try:
        return r.Decision.model_validate(fields | said | {"number": 1, "at": now_ms})
    except ValidationError as wrong:
        raise NoRound(f"{wrong.errors()[0]['msg']}.") from None


def _score_after(line: LineState, record: r.Decision | r.Answer | r.Panel) -> Score:
    """The score that counts after it."""
    if record.outcome == "upheld" or (record.outcome == "stands" and isinstance(record, r.Decision)):
        return line.claimed
    kept = isinstance(record, r.Answered) and record.outcome == "refused"
    return line.value if kept else record.value
