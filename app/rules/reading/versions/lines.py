"""Lines that tell the loads and heights of one version: `Masters 45+: 42.5 kg bar, 50 cm box`, `Scaled: thrusters 30 kg`."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span

NAMES = {"MEN": "Men", "WOMEN": "Women", "RX": "Rx", "SCALED": "Scaled"}
OF_A_NAME = {*NAMES, "UNKNOWN", "PROSE", "SCHEME", "BARE", "COUNT", "PLUS", "COMMA", "AND", "SPAN"}
BETWEEN = {"COMMA", "AND", "PLUS", "SLASH", "COLON", "PROSE", "AT", "TARGET", "STOP", "BAR"}
OF_LOADS = {("LOAD", 1), ("LOAD", 2), ("PAIRNUM", 2)}
ENTRIES = {"PAIR", "TRIO", "TEAMS"}  # `male pairs`, `women's teams`
MOST_WORDS = 6
MOST_NUMBERS = 2  # for one thing: a man's and a woman's
BOXES = {"box", "boxes", "target"}
THE_BAR = {"bar", "the bar", "barbell", "the barbell", "their bar"}
OF_LIFTING = {
    *(
        "lift",
        "lifts",
        "lifting",
        "use",
        "uses",
        "using",
        "take",
        "takes",
        "have",
        "has",
        "get",
        "gets",
        "make",
        "makes",
        "making",
    ),
    *("do", "does", "doing", "it", "them", "with", "on", "the", "their", "a", "bar", "barbell", "work", "works", "go", "goes"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """One load or height: of which movement (its key) or thing it is, where that is said."""

    of: str
    tok: Tok


@dataclass(frozen=True, slots=True)
class VersionLine:
    """What a line says of one version; `whose` says whose the two numbers of each are, where that is told."""

    name: str
    told: tuple[Told, ...]
    span: Span
    whose: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Instead:
    """In one version a movement in place of another, both by their keys; `old` is empty where of what is not said, `amount` and
    `load` are its own."""

    version: str
    old: str
    key: str
    name: str
    span: Span
    amount: Tok | None = None
    load: Tok | None = None


def version_line(text: str, toks: list[Tok], name: str = "", things: Collection[str] = ()) -> VersionLine | None:
    """The line of one version, by its name before a colon or the one it stands under; None where it is none. `things` are what
    the work that was told is done with, by a word in its name."""
    begins = next((place for place, tok in enumerate(toks) if tok.kind == "COLON"), None) if not name else -1
    if begins is None:
        begins = next((place for place, tok in enumerate(toks[1:2], 1) if toks[0].kind in NAMES), None)
        if begins is None:
            return None
        begins -= 1
    said, rest = toks[: begins + 1], toks[begins + 1 :]
    if said:
        words = [tok for tok in said if tok.kind != "COLON"]
        if not words or any(tok.kind not in OF_A_NAME or tok.key for tok in words):
            return None
        name = NAMES.get(words[0].kind, "") if len(words) == 1 else ""
        name = name or " ".join(text[words[0].start : words[-1].end].split())
        if len(name.split()) > MOST_WORDS:
            return None
    whose = next((tok.values for tok in rest if tok.kind == "VERSIONS"), ())
    told = _told([tok for tok in rest if tok.kind != "VERSIONS"], things)
    return VersionLine(name, tuple(told), Span(toks[0].start, toks[-1].end), whose) if told else None


def _idle(tok: Tok) -> bool:
    """Whether a word says no more than that something is lifted, or stands at a box."""
    said = set(tok.text.casefold().split())
    return tok.text.casefold() in BOXES or (tok.kind == "UNKNOWN" and not tok.key and said <= OF_LIFTING)


def _names(tok: Tok, things: Collection[str]) -> bool:
    """`Tyre 180 kg`: whether a word names what some work is done with."""
    return tok.kind == "UNKNOWN" and not tok.key and tok.text.casefold() in things


def _told(toks: list[Tok], things: Collection[str]) -> list[Told] | None:
    found: list[Told] = []
    move = ""
    for place, tok in enumerate(toks):
        follows = toks[place + 1] if place + 1 < len(toks) else None
        boxed = follows is not None and follows.text.casefold() in BOXES
        if tok.kind == "MOVE":
            if found and found[-1].of == "" and place and toks[place - 1] is found[-1].tok:
                found[-1] = replace(found[-1], of=tok.key)  # `30 kg thrusters`
            elif move:
                return None
            else:
                move = tok.key
        elif (tok.kind, len(tok.values)) in OF_LOADS:
            found.append(Told(move or tok.key, replace(tok, kind="LOAD")))
            move = ""
        elif tok.kind == "SIZE" and len(tok.values) <= MOST_NUMBERS:
            found.append(Told(move or tok.key, tok))
            move = ""
        elif tok.kind == "PRIMED" and tok.unit == "DPRIME" and boxed:
            found.append(Told("", replace(tok, kind="SIZE", unit="IN")))
        elif tok.kind == "BARE" and follows is not None and follows.text.casefold() in THE_BAR and len(tok.values) == 1:
            found.append(Told("bar", replace(tok, kind="LOAD", unit="")))  # `women have 35 on the bar`
        elif _names(tok, things) and follows is not None and follows.kind == "LOAD":
            move = tok.text.casefold()
        elif tok.kind not in BETWEEN and not _idle(tok):
            return None
    return None if move else found


def versions_in_turn(text: str, toks: list[Tok], things: Collection[str]) -> list[VersionLine]:
    """`Men deadlift 100 kg, women deadlift 70 kg`: a line that tells several versions one after another; none where one of them
    is no such line."""
    begins = [at for at, tok in enumerate(toks) if tok.kind in NAMES]
    if len(begins) < 2 or begins[0] or len({toks[at].kind for at in begins}) < len(begins):
        return []
    parts = [toks[at:end] for at, end in zip(begins, [*begins[1:], len(toks)], strict=True)]
    lines = [version_line(text, [tok for tok in part if tok.kind not in ENTRIES], "", things) for part in parts]
    return [line for line in lines if line is not None] if None not in lines else []
