"""Where a round stands, in words: its stage, what came in, which films wait for a look, what the scale gives of those seen."""

from collections import Counter
from collections.abc import Iterable

from app.round.next_step import next_step
from app.rules.round.due import due_now
from app.rules.round.effect import effect_of, effect_words
from app.rules.round.moves import OPEN, SIGNED, STAGES
from app.rules.round.records import LineKey
from app.rules.round.scale import settle
from app.rules.round.state import LineState, RoundState
from app.rules.round.told import shown_score
from app.rules.round.words import shown
from app.rules.values.units import decimal_text

MOST_LISTED = 50  # lines told one by one
# What so many lines are, where the name of their state does not say it beside a number.
COUNTED = {"asked": "to look at", "looked": "to decide", "stands": "as claimed", "unlooked": "never looked at"}


def where_it_stands(state: RoundState, now_ms: int) -> str:
    """The round as headquarters sees it."""
    rule = state.rules
    lines = [
        f"{rule.name} is {STAGES[state.stage]}.",
        *([f"Opening word: {shown(state.opening) or 'not out yet'}."] if rule.film_word else []),
        f"Gyms: {len(state.gyms)}, of which {len(state.keys)} have bound a key.",
        f"Hand-ins: {counted(one.state for one in state.hand_ins.values())}",
        f"Lines: {counted(line.state for line in state.lines.values())}",
    ]
    if state.stage == SIGNED:
        lines.append(f"Invitations: {counted(one.state for one in state.invitations.values())}")
    elif state.stage != OPEN:
        lines.append(f"Looks asked for: {counted(state.asked.elements())}")
        doubted = sum(line.doubt is not None for line in state.lines.values())
        lines.append(
            f"Lines with a doubt: {doubted}. Of all looks at most {decimal_text(100 * rule.doubts_share)} % are for doubts."
        )
        lines += _waiting(state)
    if count := len(due_now(state, now_ms)):
        lines.append(f"Due by itself: {count}. Write it down: round --go-on")
    else:
        lines.append(f"Next: {next_step(state, now_ms).words}")
    return "\n".join(lines)


def counted(states: Iterable[str]) -> str:
    """How many are in each state: `3 to look at, 12 claimed`."""
    found = Counter(states)
    return ", ".join(f"{count} {COUNTED.get(state, state)}" for state, count in sorted(found.items())) or "none yet"


def _waiting(state: RoundState) -> list[str]:
    """The first lines that wait for a look or for a decision, as sentences, and how many more there are. Only what is told is
    worked out: an effect is a whole standing."""
    keys = [key for key, line in sorted(state.lines.items()) if line.state in ("asked", "looked") or line.appeal == "filed"]
    told = [waits_words(state, key, state.lines[key]) for key in keys[:MOST_LISTED]]
    return told + ([f"And {len(keys) - MOST_LISTED} more."] if len(keys) > MOST_LISTED else [])


def waits_words(state: RoundState, key: LineKey, line: LineState) -> str:
    """What a line waits for, as sentences: looks, a decision, an answer."""
    if line.state == "asked":
        why = f" Doubted: {line.doubt.why}" if line.doubt is not None and line.asks[0].reason == "doubt" else ""
        return f"To look at: entry {key[0]} in {key[1]}, looks sealed: {len(line.sealed)} of {len(line.asks)}.{why}"
    if line.state == "looked":
        return f"To decide: entry {key[0]} in {key[1]}. {given_words(state, key, line)}"
    upheld = effect_words(effect_of(state, key, line.claimed))
    return f"To answer: the appeal of entry {key[0]} in {key[1]}. If it is upheld: {upheld}"


def given_words(state: RoundState, key: LineKey, line: LineState) -> str:
    """What the scale gives of a line, beside its claim."""
    event = state.rules.event(key[1])
    assert event is not None, "a line is of an event of the round"
    given = settle(state.rules, event, line.claimed, line.sealed)
    if given.outcome == "more":
        return "The scale needs another look first."
    value = "" if given.value is None else f" {shown_score(event, given.value)}"
    effect = effect_words(effect_of(state, key, given.value))
    return f"The scale gives: {given.outcome}{value}. Claimed: {shown_score(event, line.claimed)}. {effect}"
