"""Rounds of each version in one line: `Elite: 5 rounds, Intermediate: 4 rounds`, `5/4 rounds (men/women)`."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.reading.versions.blocks import EDGES

PARTS = ("COMMA", "STOP", "SLASH", "AND", "COLON", "FORTIME", "BAR")
BETWEEN = re.compile(r"[\s,;/|&·]*(?:\band\b)?[\s,;/|&·]*", re.IGNORECASE)
AROUND = f"{EDGES}(),;/|"
MOST_VERSIONS = 4


@dataclass(frozen=True, slots=True)
class NamedRounds:
    """How many rounds each version does, in their order; `names` is empty where it is not said whose they are."""

    names: tuple[str, ...]
    counts: tuple[int, ...]
    span: Span


def rounds_named(text: str, toks: Sequence[Tok], named: Callable[[str], str]) -> tuple[list[Tok], NamedRounds] | None:
    """A line in which each version has so many rounds, with the rounds of the first alone, and what it says; None for another."""
    places = [at for at, tok in enumerate(toks) if tok.kind == "ROUNDS"]
    told = [toks[at] for at in places]
    if not told or not all(value.isdigit() and int(value) for tok in told for value in tok.values):
        return None
    if len(told) == 1:
        return _in_one_number(toks, places[0])
    if len(told) > MOST_VERSIONS or any(len(tok.values) != 1 for tok in told):
        return None
    found = _before(text, toks, places, named) or _behind(text, toks, places, named)
    if found is None or len({name.casefold() for name in found[0]}) < len(told):
        return None
    names, first, end = found
    said = NamedRounds(names, tuple(int(tok.values[0]) for tok in told), Span(toks[first].start, toks[end - 1].end))
    return [*toks[:first], replace(told[0], start=said.span.start, end=said.span.end), *toks[end:]], said


def _in_one_number(toks: Sequence[Tok], at: int) -> tuple[list[Tok], NamedRounds] | None:
    if len(toks[at].values) != 2:
        return None
    whose = toks[at + 1 : at + 2] if [tok.kind for tok in toks[at + 1 : at + 2]] == ["VERSIONS"] else []
    names = tuple(whose[0].values) if whose else ()
    span = Span(toks[at].start, (whose or [toks[at]])[0].end)
    counts = tuple(int(value) for value in toks[at].values)
    first = replace(toks[at], end=span.end, values=toks[at].values[:1])
    return [*toks[:at], first, *toks[at + 1 + len(whose) :]], NamedRounds(names, counts, span)


Found = tuple[tuple[str, ...], int, int]  # names, and from which word to which


def _before(text: str, toks: Sequence[Tok], places: Sequence[int], named: Callable[[str], str]) -> Found | None:
    """`Rx: 5 rounds, scaled: 4 rounds`: each name stands before its number."""
    names: list[str] = []
    first = places[0]
    for at in places:
        begins = at - (toks[at - 1].kind == "COLON") if at else at
        while begins and toks[begins - 1].kind not in PARTS and begins - 1 not in places:
            begins -= 1
        name = named(text[toks[begins].start : toks[at].start].strip(AROUND)) if begins < at else ""
        before = toks[places[len(names) - 1]].end if names else None
        if not name or (before is not None and not BETWEEN.fullmatch(text[before : toks[begins].start])):
            return None
        first = min(first, begins)
        names.append(_as_name(name))
    return tuple(names), first, places[-1] + 1


def _behind(text: str, toks: Sequence[Tok], places: Sequence[int], named: Callable[[str], str]) -> Found | None:
    """`5 rounds (Rx), 4 rounds (scaled)`, `5 rounds for the men and 4 rounds for the women`: each name stands behind."""
    names: list[str] = []
    end = places[-1] + 1
    for nth, at in enumerate(places):
        last = places[nth + 1] if nth + 1 < len(places) else len(toks)
        end = at + 1
        while end < last and toks[end].kind not in PARTS:
            end += 1
        said = text[toks[at].end : toks[end - 1].end].strip(AROUND).casefold()
        name = named(said.removeprefix("for ").removeprefix("the "))
        if not name or (nth + 1 < len(places) and not BETWEEN.fullmatch(text[toks[end - 1].end : toks[last].start].lstrip(")"))):
            return None
        names.append(_as_name(name))
    return tuple(names), places[0], end


def _as_name(said: str) -> str:
    return " ".join(said.casefold().split())  # as the names beside loads are told
