"""Points of the work, and moments of the clock, behind a tie: each is one word of the grammar, however it is said."""

import re
from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.scan.pieces import Tok
from app.rules.workout.points import ORDINALS, read_point

NTH = r"(?:\d{1,3}(?:st|nd|rd|th)|" + "|".join(ORDINALS) + ")"
OF_A_ROUND = rf"(?:\s+(?:in|of)\s+(?:(?:the\s+)?round\s+(?P<round>\d{{1,4}})|(?:the\s+)?(?P<nth>{NTH})\s+round))?"
IS_DONE = r"(?:\s+(?:is|are|was|were)\s+(?:finished|completed|complete|done|over))?"
# A point told by what is done there, # in its place: `time at the end of the 19 #`, `time when the # is done`.
BY_NAME = re.compile(
    r"(?:(?:the|your)\s+)?(?:split\s+)?(?:time|split)\s+(?:taken\s+)?(?:(?:at|after|when|to\s+complete|to\s+finish)\s+)(?:which\s+)?"
    r"(?:(?:the\s+)?(?:end|completion)\s+of\s+)?(?:(?:last\s+rep(?:etition)?\s+of|last|all|the|your)\s+)*(?P<first>first\s+)?#"
    + OF_A_ROUND
    + IS_DONE
    + r"\s*\.?",
    re.IGNORECASE,
)
# `Who finished their first round earlier`, `the one who was done first with the # is placed higher`.
FIRST = r"(?:first|earlier|sooner)"  # `faster` may be how long that alone took
WHO = re.compile(
    r"(?:(?:then|we|look|looks|at|it|is|goes|to|the|place|decided|by)\s+)*"
    r"(?:who|whoever|(?:one|athlete|pair|team|person)(?:\s+(?:who|that))?)\s+(?:(?:was|is|has|had|got|gets)\s+)*"
    rf"(?:finished|finishes|completed|completes|done|through)\s+(?P<before>{FIRST}\s+)?(?:with\s+)?"
    rf"(?:(?:(?:the|their|his|her|your)\s+)?(?P<which>{NTH})\s+(?:full\s+)?round|round\s+(?P<number>\d{{1,4}})|(?:(?:all|the|their)\s+)*#)"
    rf"(?P<behind>\s+{FIRST})?"
    r"(?:\s+(?:is|are|wins|gets|ranks|placed|ranked|stands|ahead|higher|better|first|the|place))*\s*\.?",
    re.IGNORECASE,
)
MOMENT = re.compile(
    r"(?:(?:the|your|more|most|total|number\s+of)\s+)*(?:reps?|repetitions?|work)\s+(?:(?:done|completed)\s+)?(?:at|by)\s+(?:the\s+)?"
    r"(?:(?P<m>\d{1,3}):(?P<s>[0-5]\d)|(?P<sec>\d{1,4})\s*(?:s|secs?|seconds)|(?P<min>\d{1,3})[\s-]*(?:mins?|minutes?)|minute\s+(?P<at>\d{1,3}))"
    r"(?:\s+mark)?\s*\.?",
    re.IGNORECASE,
)
# What says which is better: of a time that may be the sooner one, `time at the end of round 3, faster wins`, and no other.
WHICH = r"(?:(?:the|who|was|is|it|and|time|one)\s+)*(?:{})e[rs]t?(?:\s+(?:time|one))?" + (
    r"(?:\s+(?:wins|win|is|ranks|goes|placed|ahead|better|higher|first|counts))*\s*\.?"
)
SOONER = re.compile(WHICH.format("fast|quick|short|soon|earli|low"), re.IGNORECASE)
EITHER = re.compile(WHICH.format("fast|quick|short|soon|earli|low|few|slow|long|lat|high|larg|bigg|great|mor"), re.IGNORECASE)
COUNTED_BEFORE = ("COUNT", "CALS", "LENG", "REPS")
THINGS = ("MOVE", "UNKNOWN")  # a movement alone, or with words around it
THEIR_ROUND = "theirs"  # the unit of `who finished their first round earlier`
FIRST_ONE = "first"  # the unit of `the first burpee`: a repetition, unless the line is of one


def with_points(text: str, toks: list[Tok]) -> list[Tok]:
    """A line's words, those of a point of the work behind a tie as one: `tie: time at the end of the 15s`."""
    begun = next((place for place, tok in enumerate(toks) if tok.kind == "TIE"), len(toks)) + 1
    bounds = [place for place, tok in enumerate(toks) if place >= begun and tok.kind in ("COMMA", "THEN", "AND", "STOP")]
    found, at = toks[:begun], begun
    while at < len(toks):
        ends = [end for end in (*bounds, len(toks)) if end > at]
        made = next(((tok, end) for end in reversed(ends) if (tok := _point(text, toks[at:end], _until(text, toks, end)))), None)
        until = made and _which(text, toks, made[0], made[1], ends)
        found.append(made[0] if made and until is not None else toks[at])
        at = at + 1 if until is None else until
    return found


def _which(text: str, toks: Sequence[Tok], point: Tok, at: int, ends: Sequence[int]) -> int | None:
    """Where a point ends whose comma is followed by which is better; None where that is not what is better of such a point."""
    while at < len(toks) and toks[at].kind == "COMMA":
        until = next((end for end in ends if end > at), at)
        said = text[toks[at + 1].start : toks[until - 1].end] if until > at + 1 else ""
        if not EITHER.fullmatch(said):
            break
        if point.kind != "TIE_AT" or not SOONER.fullmatch(said):
            return None
        at = until
    return at


def _until(text: str, toks: Sequence[Tok], end: int) -> int:
    """Where the words end that carry nothing and stand behind the last of these: `… the sit-ups starts the next event`."""
    line = text.find("\n", toks[end - 1].end)
    until = toks[end].start if end < len(toks) else line if line >= 0 else len(text)
    behind = text[toks[end - 1].end : until]
    return toks[end - 1].end + (len(behind.rstrip()) if any(sign.isalnum() for sign in behind) else 0)


def _point(text: str, toks: Sequence[Tok], until: int) -> Tok | None:
    """A point or a moment as one word; None for what is none."""
    said = text[toks[0].start : until]
    if read_point(said):
        return _made(toks, "TIE_AT", said, tuple(re.findall(r"\d+", said)))
    if moment := MOMENT.fullmatch(" ".join(said.split())):
        told = {name: int(number) for name, number in moment.groupdict().items() if number}
        seconds = 60 * (told.get("m", 0) + told.get("min", 0) + told.get("at", 0)) + told.get("s", 0) + told.get("sec", 0)
        return _made(toks, "TIE_COUNT", said, (str(seconds),))
    return _named(text, toks, until)


def _made(toks: Sequence[Tok], kind: str, text: str, values: tuple[str, ...], key: str = "", unit: str = "") -> Tok:
    return replace(toks[0].to(toks[-1], kind), text=text, values=values, key=key, unit=unit)


def _named(text: str, toks: Sequence[Tok], until: int) -> Tok | None:
    """A point that is told by what is done there, how many of it where that is said, and in which round; or by who was there
    first."""
    moves = [place for place, tok in enumerate(toks) if tok.key]
    if len(moves) > 1 or any(toks[place].kind not in THINGS for place in moves):
        return None
    said, values = text[toks[0].start : until], tuple[str, ...]()
    if moves:
        place, tok = moves[0], toks[moves[0]]
        begins, ends = tok.within if tok.kind == "UNKNOWN" else (tok.start, tok.end)
        before = toks[place - 1] if place else None
        if before is not None and before.kind in COUNTED_BEFORE and len(before.values) == 1:
            begins, values = before.start, before.values
        said = f"{text[toks[0].start : begins]} # {text[ends:until]}"
    said = " ".join(said.split())
    key = toks[moves[0]].key if moves else ""
    if moves and (found := BY_NAME.fullmatch(said)):
        one = bool(found["first"]) and not values and not text[begins:ends].casefold().endswith("s")
        unit = FIRST_ONE if one else _round(found["round"] or found["nth"] or found["first"] or "")
        return _made(toks, "TIE_AT", said, values, key, unit)
    who = WHO.fullmatch(said)
    if who is None or bool(who["before"]) == bool(who["behind"]) or (not moves and "#" in said):
        return None
    if moves:
        return _made(toks, "TIE_AT", said, values, key)
    number = _round(who["which"] or who["number"])
    return _made(toks, "TIE_AT", f"the end of round {number}", (number,), unit=THEIR_ROUND)


def _round(told: str) -> str:
    """The number of a round: `third`, `3rd`, `3`; empty where none is told."""
    digits = "".join(sign for sign in told if sign.isdigit())
    return digits or (str(ORDINALS.index(told.strip().casefold()) + 1) if told else "")
