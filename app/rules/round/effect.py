"""What another score of a line would do to the places of its division, by the standing's own rules and done to nothing."""

from dataclasses import dataclass

from app.rules.result.overall import cut
from app.rules.round.records import LineKey
from app.rules.round.scale import Score
from app.rules.round.standing import standing, standing_if
from app.rules.round.state import RoundState


@dataclass(frozen=True, slots=True)
class Effect:
    """before, after: the entry's place, None for none. moves: of how many others the place changes. comes_in, goes_out: entries
    that come among the places that are invited, or leave them. places: how many those are."""

    before: int | None
    after: int | None
    moves: int
    comes_in: tuple[int, ...]
    goes_out: tuple[int, ...]
    places: int


def effect_of(state: RoundState, key: LineKey, value: Score) -> Effect:
    """What it does to a line's division if its score is this one."""
    division = state.lines[key].claim.division
    rule = state.rules.division(division)
    places = rule.places if rule else 0
    now, then = standing(state, division).places, standing_if(state, key, value)
    before, after = dict(now), dict(then)
    inside, would_be = _best(now, places), _best(then, places)
    moves = sum(before[entry] != place for entry, place in after.items() if entry != key[0])
    came, went = tuple(sorted(would_be - inside)), tuple(sorted(inside - would_be))
    return Effect(before[key[0]], after[key[0]], moves, came, went, places)


def _best(order: list[tuple[int, int | None]], places: int) -> set[int]:
    """The entries on the places that are invited, with all who share the last."""
    return set(cut(order, places))


def effect_words(effect: Effect) -> str:
    """An effect in sentences."""
    if effect.before == effect.after:
        told = "No place." if effect.before is None else f"Place {effect.before} stays."
    else:
        told = f"{_place(effect.before)} becomes {_place(effect.after).lower()}."
    if effect.moves:
        told += f" Others whose place changes: {effect.moves}."
    for verb, entries in (("come in", effect.comes_in), ("go out", effect.goes_out)):
        if entries:
            told += f" Of the {effect.places} to be invited, these {verb}: {', '.join(map(str, entries))}."
    return told


def _place(place: int | None) -> str:
    return "No place" if place is None else f"Place {place}"
