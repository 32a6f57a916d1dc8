"""Which films are looked at and why: the top closed, the draw, gyms with a correction, doubts, and what the scale still needs.

Nobody picks a film but by a named ruling. Each reason's own question is asked where a look is asked for (guards.py), and all
together are what is still to be asked for.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from app.rules.result.overall import cut
from app.rules.round.records import LineKey, Reason
from app.rules.round.scale import settle
from app.rules.round.standing import standing
from app.rules.round.state import LineState, RoundState

LOOKABLE = ("claimed", "asked", "looked", "stands", "unlooked")


@dataclass(frozen=True, slots=True)
class Want:
    """A look that the rule asks for."""

    entry: int
    event: str
    reason: Reason


def wanted(state: RoundState) -> list[Want]:
    """The looks that the rule asks for and that were not asked for yet, each line once, in the order of their reasons."""
    found: dict[LineKey, Want] = {}
    for reason, keys in _reasons(state):
        for key in keys:
            found.setdefault(key, Want(*key, reason))
    return list(found.values())


def _reasons(state: RoundState) -> Iterator[tuple[Reason, Iterable[LineKey]]]:
    """Each reason with its lines; but for the scale and the top, a line that was asked for is not asked for again."""
    lines, gyms = state.lines, state.tickets()
    yield "again", [key for key, line in lines.items() if line.state == "looked" and needs_again(state, key)]
    yield "late", [key for key, line in lines.items() if line.late and is_unasked(line)]
    yield "top", _top(state)
    yield "draw", [key for gym in gyms for key in drawn(state, gym) if is_unasked(lines[key])]
    yield "opened", [key for gym in gyms for key in opened(state, gym) if is_unasked(lines[key])]
    yield "doubt", _doubted(state)


def is_unasked(line: LineState) -> bool:
    """Whether nobody asked for a look at a line, and one still may."""
    return not line.asks and line.state in LOOKABLE


def is_doubtable(line: LineState) -> bool:
    """Whether a line is not doubted yet and still may be: nobody has asked for a look at it."""
    return line.doubt is None and not line.asks and line.state in ("claimed", "unlooked")


def needs_again(state: RoundState, key: LineKey) -> bool:
    """Whether all looks that were asked for are sealed, and the scale needs another."""
    line = state.lines[key]
    event = state.rules.event(key[1])
    return (
        event is not None
        and line.state == "looked"
        and line.decision is None
        and settle(state.rules, event, line.claimed, line.sealed).outcome == "more"
    )


def top_entries(state: RoundState, division: str) -> set[int]:
    """The entries at the top of a division that are closed by looks: so many times its places, with all who share the last."""
    return state.once(("top", division), lambda: _top_entries(state, division))


def _top_entries(state: RoundState, division: str) -> set[int]:
    rule = state.rules.division(division)
    most = ceil(state.rules.top_share * rule.places) if rule else 0
    return set(cut(standing(state, division).places, most))


def needs_top(state: RoundState, key: LineKey) -> bool:
    """Whether a line of the top has fewer looks than close it."""
    line = state.lines[key]
    few = len(line.asks) < state.rules.top_looks and line.state in LOOKABLE
    return few and key[0] in top_entries(state, line.claim.division)


def _top(state: RoundState) -> Iterator[LineKey]:
    for division in state.rules.divisions:
        for entry in sorted(top_entries(state, division.id)):
            for event in state.rules.events:
                if (entry, event.id) in state.lines and needs_top(state, (entry, event.id)):
                    yield (entry, event.id)


def drawn(state: RoundState, gym: int) -> list[LineKey]:
    """The lines of a gym that the draw gives: the lowest tickets."""
    tickets = state.tickets().get(gym, [])
    return [key for _, key in tickets[: _draws(state, len(tickets))]]


def opened(state: RoundState, gym: int) -> list[LineKey]:
    """The next tickets of a gym with a correction, in this round or the last; none of another gym."""
    if not state.corrections[gym] and not state.gyms[gym].opened:
        return []
    tickets = state.tickets().get(gym, [])
    start = _draws(state, len(tickets))
    return [key for _, key in tickets[start : start + state.rules.opened_next]]


def _draws(state: RoundState, lines: int) -> int:
    rule = state.rules
    return max(rule.draw_least, int(rule.draw_share * lines))


def doubts_left(state: RoundState) -> int:
    """How many doubts may still be looked at: all of them are at most the rule's share of all looks that were asked for."""
    share, doubts = state.rules.doubts_share, state.asked["doubt"]
    return max(0, int(share * (state.asked.total() - doubts) / (1 - share)) - doubts)


def _doubted(state: RoundState) -> list[LineKey]:
    """The doubted lines that are looked at, the lowest tickets first."""
    lines = [(ticket, key) for those in state.tickets().values() for ticket, key in those if state.lines[key].doubt is not None]
    return [key for _, key in sorted(lines) if is_unasked(state.lines[key])][: doubts_left(state)]
