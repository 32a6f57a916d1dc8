"""Lines that tell the loads and heights of one version: `Masters 45+: 42.5 kg bar, 50 cm box`, `Scaled: thrusters 30 kg`."""

from dataclasses import dataclass, replace

from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span

NAMES = {"MEN": "Men", "WOMEN": "Women", "RX": "Rx", "SCALED": "Scaled"}
OF_A_NAME = {*NAMES, "UNKNOWN", "PROSE", "SCHEME", "BARE", "COUNT", "PLUS", "COMMA", "AND", "SPAN"}
BETWEEN = {"COMMA", "AND", "PLUS", "SLASH", "COLON", "PROSE", "AT", "TARGET", "STOP", "BAR"}
OF_LOADS = {("LOAD", 1), ("LOAD", 2), ("PAIRNUM", 2)}
MOST_WORDS = 6
BOXES = {"box", "boxes", "target"}


@dataclass(frozen=True, slots=True)
class Told:
    """One load or height: of which movement (its key) or thing it is, where that is said."""

    of: str
    tok: Tok


@dataclass(frozen=True, slots=True)
class VersionLine:
    """What a line says of one version."""

    name: str
    told: tuple[Told, ...]
    span: Span


def version_line(text: str, toks: list[Tok], name: str = "") -> VersionLine | None:
    """The line of one version, by its name before a colon or the one it stands under; None where it is none."""
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
    told = _told(rest)
    return VersionLine(name, tuple(told), Span(toks[0].start, toks[-1].end)) if told else None


def _told(toks: list[Tok]) -> list[Told] | None:
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
        elif tok.kind == "SIZE" and len(tok.values) in (1, 2):
            found.append(Told(move, tok))
            move = ""
        elif tok.kind == "PRIMED" and tok.unit == "DPRIME" and boxed:
            found.append(Told("", replace(tok, kind="SIZE", unit="IN")))
        elif tok.kind not in BETWEEN and tok.text.casefold() not in BOXES:
            return None
    return None if move else found
