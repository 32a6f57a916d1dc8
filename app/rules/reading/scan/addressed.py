"""Whom a line speaks to, and what it asks: neither says anything of the workout."""

from app.rules.reading.scan.pieces import Tok

VERSIONS = ("MEN", "WOMEN")
WORK = ("MAX", "AMRAP", "FORTIME", "HEAVY")  # `how many pull-ups can you do?` says what is done
PARTS = ("COMMA", "STOP")
MOST_OF_A_HEADING = 2


def without_address(toks: list[Tok], versions_told: bool) -> list[Tok]:
    """`Ladies and gentlemen, …` speaks to everybody, and so does `Guys, …` where the text has no other version."""
    kinds = [tok.kind for tok in toks]
    both = len(toks) > 3 and {kinds[0], kinds[2]} == set(VERSIONS) and kinds[1] == "AND"
    behind = 3 if both else 1
    alone = len(toks) > 2 and kinds[0] in VERSIONS and not versions_told and toks[0].text.casefold() in ("guys", "gents", "lads")
    if not (both or alone) or kinds[behind] not in (*PARTS, "PROSE"):
        return toks
    return toks[behind + (kinds[behind] in PARTS) :]


def asked(sentence: list[Tok], asks: frozenset[str]) -> int | None:
    """Where behind a question (`How is it scored?`) its answer begins; None where none is asked, or it has a number. What asks
    for a yes or a no is none: the answer would say something."""
    first = sentence[0].text.casefold().split()[:1] if sentence else []
    at = next((place for place, tok in enumerate(sentence) if tok.kind in ("ASKS", "STOP") and tok.text == "?"), None)
    if at is None or not first or first[0] not in asks or any(tok.values or tok.key or tok.kind in WORK for tok in sentence[:at]):
        return None
    return at + 1


def is_heading(text: str, toks: list[Tok], heads: frozenset[str]) -> bool:
    """Whether a line is the heading of what stands below it, and no more: `Loads`, `Flow:`."""
    words = [text[tok.start : tok.end].casefold() for tok in toks if tok.kind not in ("COLON", "STOP", "DASH")]
    return len(words) == 1 and len(words[0].split()) <= MOST_OF_A_HEADING and words[0] in heads
