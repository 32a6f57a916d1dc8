"""Loads that change from round to round, told in a sentence: `bar: round 1 at 40 kg, round 2 at 50 kg, round 3 at 60 kg`, `it
starts at 60 kg, after each round 10 kg come on, so the fourth is at 90`.

Every word must be one of the table's, and every number be a load, a round, or fit both; else the sentence is left to the grammar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.reading.scan.frames.parts import Part, begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok

TABLE: Mapping[str, str] = {
    **dict.fromkeys(("round", "rounds", "set", "sets"), "round"),
    **dict.fromkeys(("each", "every", "per", "always"), "each"),
    **dict.fromkeys(
        ("more", "add", "adds", "added", "heavier", "increase", "increases", "plus", "come", "comes", "goes", "up", "+"), "more"
    ),
    **dict.fromkeys(("start", "starts", "begin", "begins", "starting", "beginning"), "start"),
    **dict.fromkeys(
        (
            *(
                "bar",
                "barbell",
                "load",
                "loads",
                "weight",
                "weights",
                "the",
                "a",
                "is",
                "are",
                "at",
                "in",
                "with",
                "of",
                "on",
                "for",
            ),
            *("then", "so", "and", "it", "you", "we", "put", "use", "have", "has", "lift", "to", "by", "that", "after", "from"),
            *("between", "your", "gets"),
        ),
        "",
    ),
}
MOST_ROUNDS = 30


@dataclass(frozen=True, slots=True)
class RoundLoads:
    """Loads of rounds, by their numbers; or the load of the first and how much more each of the others has. `checks`: what is
    said beside of a round, to be proven."""

    loads: tuple[tuple[int, Tok], ...] = ()
    first: Tok | None = None
    step: Tok | None = None
    checks: tuple[tuple[int, Fraction], ...] = ()


def loads_by_round(text: str, toks: Sequence[Tok], numbers: Mapping[str, int]) -> RoundLoads | None:
    """What a sentence says of the loads of rounds; None where it says something else."""
    loads = [tok for tok in toks if tok.kind == "LOAD"]
    if not loads or any(tok.key for tok in toks if tok.kind != "LOAD"):
        return None
    span = begins_at(text, toks), max(ends_at(text, toks[-1:]), toks[-1].end)
    parts = parts_of(text, span, toks, TABLE, numbers, ("LOAD",))
    if parts is None:
        return None
    return _one_by_one(parts) or _step_by_step(parts)


def _rounds(parts: Sequence[Part], at: int) -> tuple[int, int]:
    """Which round is named there, and where that ends; 0 for none."""
    kinds = [part.kind for part in parts[at : at + 2]]
    if kinds in (["round", "num"], ["round", "nth"]):
        return parts[at + 1].number, at + 2
    if kinds == ["nth", "round"]:
        return parts[at].number, at + 2
    return (parts[at].number, at + 1) if kinds[:1] == ["nth"] else (0, at)


def _one_by_one(parts: Sequence[Part]) -> RoundLoads | None:
    """`Round 1 at 40 kg, round 2 at 50 kg`, `40 kg in the first round, 50 kg in the second`."""
    found: list[tuple[int, Tok]] = []
    at, load_first = 0, bool(parts) and parts[0].kind == "LOAD"
    while at < len(parts):
        load = parts[at].tok if load_first and parts[at].kind == "LOAD" else None
        number, ends = _rounds(parts, at + load_first)
        if not load_first and ends < len(parts) and parts[ends].kind == "LOAD":
            load, ends = parts[ends].tok, ends + 1
        if load is None or not number:
            return None
        found.append((number, load))
        at = ends
    alike = len({(tok.unit, tok.key, len(tok.values)) for _, tok in found}) == 1
    order = [number for number, _ in found]
    if not found or not alike or order != list(range(order[0], order[0] + len(order))):
        return None
    return RoundLoads(loads=tuple(found))


def _step_by_step(parts: Sequence[Part]) -> RoundLoads | None:
    """`It starts at 60 kg, after each round 10 kg come on, so the fourth is at 90`."""
    loads = [at for at, part in enumerate(parts) if part.kind == "LOAD"]
    if len(loads) < 2 or not any(part.kind == "each" for part in parts) or not any(part.kind == "round" for part in parts):
        return None
    first, step = parts[loads[0]].tok, parts[loads[1]].tok
    if first is None or step is None or first.unit != step.unit or len(first.values) != len(step.values):
        return None
    if step.key not in ("", first.key):
        return None
    head, middle = parts[: loads[0]], parts[loads[0] + 1 :]
    began = [part.kind for part in head] in (["start"], []) or _rounds(head, 0) == (1, len(head))
    checks: list[tuple[int, Fraction]] = []
    kept: list[Part] = []
    at = 0
    while at < len(middle):
        number, ends = _rounds(middle, at)
        told = middle[ends] if number and ends < len(middle) else None
        if told is not None and told.kind in ("LOAD", "num"):
            value = Fraction(told.tok.values[0]) if told.tok is not None else Fraction(told.number)
            checks.append((number, value))
            at = ends + 1
        else:
            kept.append(middle[at])
            at += 1
    kinds = [part.kind for part in kept if part.kind != "start"]
    fits = sorted(set(kinds)) == ["LOAD", "each", "more", "round"] and kinds.count("LOAD") == kinds.count("round") == 1
    return RoundLoads(first=first, step=step, checks=tuple(checks)) if began and fits else None
