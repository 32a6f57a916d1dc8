"""Bars one after another, each heavier and with a time of its own, told in several sentences: `nine bars: 100, 115, … and 210 kg.
A new bar every 90 seconds. One repetition at each bar. Whoever misses a bar is out`.

Of each sentence every word must be one of the table's and every number be a load, how many bars there are, how long each has, or
how many repetitions; else it is left to the grammar. What is not told of the bars stands in red.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from app.rules.reading.scan.frames.parts import Part, begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span

TABLE: Mapping[str, str] = {
    **dict.fromkeys(("bar", "bars"), "bar"),
    **dict.fromkeys(("each", "every", "per"), "each"),
    **dict.fromkeys(("rep", "repetition", "reps", "repetitions"), "rep"),
    **dict.fromkeys(("starting", "start", "starts"), "start"),
    **dict.fromkeys(("move", "change", "walk"), "move"),
    **dict.fromkeys(
        (
            *(
                "new",
                "next",
                "ladder",
                "row",
                "in",
                "at",
                "a",
                "the",
                "for",
                "of",
                "you",
                "have",
                "get",
                "within",
                "its",
                "inside",
            ),
            *("on", "to", "with", "and", "is", "are", "then", "there", "it", "from", "up", "good"),
        ),
        "",
    ),
}
MISS: Mapping[str, str] = {
    **dict.fromkeys(("misses", "miss", "fail", "fails"), "miss"),
    **dict.fromkeys(("doesn't", "don't", "not", "no"), "not"),
    **dict.fromkeys(("lift", "make", "get"), "lift"),
    "out": "out",
    **dict.fromkeys(
        (
            *(
                "whoever",
                "who",
                "anyone",
                "if",
                "you",
                "a",
                "an",
                "the",
                "bar",
                "it",
                "in",
                "time",
                "or",
                "and",
                "is",
                "are",
                "you're",
            ),
            *("within", "inside", "minute", "its", "their", "one", "your"),
        ),
        "",
    ),
}
MISSES = (["miss", "out"], ["miss", "not", "lift", "out"], ["not", "lift", "out"], ["not", "MOVE", "out"])
LEAST_BARS, MOST_BARS = 3, 30
BEGUN_BY, IN_A_ROW = {"LOAD", "DUR"}, " in a row"


@dataclass(frozen=True, slots=True)
class Bars:
    """What is told of them so far: their loads, how many there are, seconds at each and between two, how many of what at each."""

    loads: tuple[str, ...] = ()
    unit: str = ""
    count: int | None = None
    seconds: int | None = None
    off: int = 0
    reps: int | None = None
    thing: Tok | None = None
    spans: tuple[Span, ...] = field(default=())


def bars(text: str, toks: Sequence[Tok], numbers: Mapping[str, int], so_far: Bars | None) -> Bars | None:
    """What is told of the bars with this sentence; None where it tells something else."""
    now = so_far or Bars()
    if so_far is not None and [tok.kind for tok in toks if tok.kind != "COLON"] == ["MINUTE", "LOAD"]:
        number, load = toks[0].values[0], toks[-1]
        fits = number == str(len(now.loads) + 1) and len(load.values) == 1 and now.unit in ("", load.unit)
        return replace(now, loads=(*now.loads, *load.values), unit=load.unit) if fits else None
    span = begins_at(text, toks), ends_at(text, toks)
    if so_far is None and (BEGUN_BY.isdisjoint(tok.kind for tok in toks) or "bar" not in text[slice(*span)].casefold()):
        return None
    lifted = [tok for tok in toks if text[max(0, tok.end - len(IN_A_ROW)) : tok.end].casefold() != IN_A_ROW]
    parts = parts_of(text, span, lifted, TABLE, numbers, ("MOVE", "LOAD", "DUR"))
    if not parts or (not any(part.kind == "bar" for part in parts) and so_far is None):
        return None
    told: Bars | None = now
    while parts and told is not None:
        made = _loads(parts, told) or _time(parts, told) or _work(parts, told) or _counted(parts, told)
        told, parts = made or (None, parts)
    begins = told is not None and (len(told.loads) >= LEAST_BARS or told.seconds is not None)
    return told if so_far is not None or begins else None


def _loads(parts: Sequence[Part], now: Bars) -> tuple[Bars, list[Part]] | None:
    """`Nine bars: 100, 115, 130 kg`."""
    count = parts[0].number if parts[0].kind == "num" else None
    at = 1 if count else 0
    ends = next((place for place, part in enumerate(parts) if place > at and part.kind != "num"), len(parts))
    last = parts[ends].tok if ends < len(parts) and parts[ends].kind == "LOAD" else None
    if now.loads or parts[at].kind != "bar" or last is None or len(last.values) != 1 or ends - at < LEAST_BARS:
        return None
    loads = (*(str(part.number) for part in parts[at + 1 : ends]), *last.values)
    rising = all(Fraction(one) < Fraction(two) for one, two in pairwise(loads))
    made = replace(now, loads=loads, unit=last.unit, count=count or now.count)
    return (made, list(parts[ends + 1 :])) if rising and count in (None, len(loads)) else None


def _time(parts: Sequence[Part], now: Bars) -> tuple[Bars, list[Part]] | None:
    """`A bar every 90 seconds`, `one minute per bar`, `starting at 0:00 with the 100`, `30 seconds to move on`."""
    kinds = [part.kind for part in parts[:3]]
    times = [int(part.tok.values[0]) for part in parts[:3] if part.tok is not None and part.kind == "DUR" and part.tok.values]
    if kinds in (["bar", "each", "DUR"], ["each", "DUR", "bar"], ["DUR", "each", "bar"]) and now.seconds is None:
        return replace(now, seconds=times[0]), list(parts[3:])
    if kinds[:2] == ["DUR", "move"] and now.seconds is not None and not now.off:
        return replace(now, off=times[0]), list(parts[2:])
    if kinds == ["start", "DUR", "num"] and times == [0] and now.loads[:1] == (str(parts[2].number),):
        return now, list(parts[3:])
    return None


def _work(parts: Sequence[Part], now: Bars) -> tuple[Bars, list[Part]] | None:
    """`One repetition at each bar, within its 90 seconds`, `for one snatch`, `one clean on each`; the name of what is lifted."""
    thing = parts[0].tok if parts[0].kind == "MOVE" else None
    if thing is not None and now.thing is None:
        return replace(now, thing=thing), list(parts[1:])
    if [part.kind for part in parts[:1]] != ["num"] or not parts[1:] or now.reps is not None:
        return None
    made = replace(now, reps=parts[0].number)
    if parts[1].kind == "MOVE" and (now.thing is None or now.thing.key == (parts[1].tok or now.thing).key):
        made = replace(made, thing=parts[1].tok)
    elif parts[1].kind != "rep":
        return None
    left = list(parts[2:])
    for kind in ("each", "bar"):
        left = left[1:] if left and left[0].kind == kind else left
    if left and (tok := left[0].tok) is not None and left[0].kind == "DUR":
        if tok.values != (str(now.seconds),):
            return None
        left = left[1:]
    return made, left


def _counted(parts: Sequence[Part], now: Bars) -> tuple[Bars, list[Part]] | None:
    """`Six bars in a row`."""
    fits = [part.kind for part in parts[:2]] == ["num", "bar"] and now.count in (None, parts[0].number)
    return (replace(now, count=parts[0].number), list(parts[2:])) if fits else None


def misses_a_bar(text: str, toks: Sequence[Tok], now: Bars) -> bool:
    """`Whoever misses a bar or doesn't lift it in time is out`, `no clean within the minute and you're out`."""
    parts = parts_of(text, (begins_at(text, toks), ends_at(text, toks)), toks, MISS, {}, ("MOVE", "DUR"))
    if parts is None:
        return False
    times = {part.tok.values for part in parts if part.kind == "DUR" and part.tok is not None}
    things = {part.tok.key for part in parts if part.kind == "MOVE" and part.tok is not None}
    lifted = {now.thing.key} if now.thing is not None else set[str]()
    plain = [part.kind for part in parts if part.kind != "DUR"]
    return plain in MISSES and times <= {(str(now.seconds),)} and things <= lifted


def missing(now: Bars) -> Iterable[str]:
    """What is not told of the bars, or does not fit."""
    if not LEAST_BARS <= len(now.loads) <= MOST_BARS or now.count not in (None, len(now.loads)):
        yield "which bars there are"
    if now.seconds is None:
        yield "how long each has"
    if now.reps is None:
        yield "how many repetitions are done at each"
    if now.thing is None:
        yield "what is lifted"
