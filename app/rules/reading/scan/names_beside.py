"""Names of versions before their numbers (`M/F 40/27.5 kg`, `men's teams 50 kg`), heights behind what has one (`box 50 cm`)."""

from dataclasses import replace

from app.rules.reading.scan.pieces import BLIND, Tok, in_small, rewritten
from app.rules.reading.scan.units_beside import HIGHEST, THINGS, kind_at

NUMBERS = ("LOAD", "NUM", "SIZE", "CALS", "LENG")
NAMES = ("MEN", "WOMEN", "RX", "SCALED")
OF_SEXES = {
    **dict.fromkeys(("men's", "mens", "mens'", "male's", "males'"), "MEN"),
    **dict.fromkeys(("women's", "womens", "womens'", "female's", "females'", "ladies"), "WOMEN"),
}
TEAMS = ("team", "teams")
OF_A_NAME = ("PAIR", "TRIO", "COLON")
HIGH = ("box", "target")
BEGINS = ("", "COMMA", "STOP", "LPAR", "COLON", "AND", "PLUS", "SLASH")


def as_meant(toks: list[Tok]) -> list[Tok]:
    """`W/M` is women and men, in capitals; `w/ m` is something with another thing. `A single dumbbell, 20 kg` is one of them, and
    no heaviest single."""
    return [_meant(tok, kind_at(toks, at + 1)) for at, tok in enumerate(toks)]


def _meant(tok: Tok, follows: str) -> Tok:
    if tok.kind == "RM" and tok.text.casefold() == "single" and follows.startswith("GEAR_"):
        return replace(tok, kind="NUM", values=("1",))
    if tok.kind != "WOMENMEN":
        return tok
    both = tok.text.replace(" ", "") == "W/M"
    return replace(tok, kind="VERSIONS", values=("women", "men")) if both else replace(tok, kind="M")


def names_behind(toks: list[Tok]) -> list[Tok]:
    """`M/F 40/27.5 kg`, `M/F: 15/12 cal row`: whose two numbers are stands behind them, as everywhere else."""
    return rewritten(toks, _behind)


def _behind(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    if toks[at].kind != "VERSIONS" or len(toks[at].values) != 2 or _two(toks, at - 1):
        return None
    place = at + 1 + (kind_at(toks, at + 1) == "COLON")
    if not _two(toks, place) or kind_at(toks, place + 1) == "VERSIONS":
        return None
    thing = toks[place + 1 : place + 2] if kind_at(toks, place + 1) == "MOVE" and toks[place].kind != "LOAD" else []
    return [toks[place], *thing, toks[at]], place + 1 + len(thing)


def _two(toks: list[Tok], at: int) -> bool:
    return kind_at(toks, at) in NUMBERS and len(toks[at].values) == 2


def of_entries(toks: list[Tok]) -> list[Tok]:
    """`Men's teams 50 kg, women's teams 35 kg`: loads of versions that are called by who is in an entry. How many are in one
    (`men's pairs`) stands behind them."""
    places = [at for at, tok in enumerate(toks) if _sex(tok) and _number_behind(toks, at)]
    named = [_sex(toks[at]) for at in places]
    if len(places) != 2 or set(named) != {"MEN", "WOMEN"}:
        return toks
    found: list[Tok] = []
    entries: dict[str, Tok] = {}
    gone = {place for at in places for place in range(at + 1, _number_behind(toks, at))}
    for at, tok in enumerate(toks):
        if at in gone:
            entries.update({tok.kind: tok} if tok.kind in ("PAIR", "TRIO") else {})
        else:
            found.append(replace(tok, kind=_sex(tok)) if at in places else tok)
    if entries:
        last = _number_behind(toks, places[-1])
        ends = found.index(toks[last]) + 1
        found[ends:ends] = [one.to(one, "COMMA", values=()) for one in list(entries.values())[:1]] + list(entries.values())
    return found


def _sex(tok: Tok) -> str:
    if tok.kind in ("MEN", "WOMEN"):
        return tok.kind
    return OF_SEXES.get(in_small(tok.text), "") if tok.kind in BLIND else ""


def _number_behind(toks: list[Tok], at: int) -> int:
    """Where the one number of a name stands, behind what else the name has; 0 for none, or where nothing else is in it."""
    place = at + 1
    while kind_at(toks, place) in OF_A_NAME or (place < len(toks) and toks[place].text.casefold() in TEAMS):
        place += 1
    plain = toks[at].kind in ("MEN", "WOMEN") and not any(
        tok.kind in ("PAIR", "TRIO") or tok.text.casefold() in TEAMS for tok in toks[at + 1 : place]
    )
    one = kind_at(toks, place) in ("LOAD", "SIZE") and len(toks[place].values) == 1
    return place if one and not plain else 0


def heights_apart(toks: list[Tok]) -> list[Tok]:
    """`Target 10/9 ft`, `box 50 cm`, at the beginning of a clause: a height, and of what; so is `a 24 inch box` beside the names
    of versions."""
    named = any(tok.kind in NAMES for tok in toks)
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        tok, after = toks[at], toks[at + 1] if at + 1 < len(toks) else None
        before = kind_at(found, len(found) - 1)
        if _says_high(tok) and after is not None and before in BEGINS and (unit := _height(after, tok)):
            if kind_at(toks, at + 2) not in THINGS:
                found.append(replace(after, kind="SIZE", unit=unit, key=tok.text.casefold()))
                at += 2
                continue
        elif named and tok.kind == "SIZE" and after is not None and _says_high(after):
            found.append(replace(tok, key=after.text.casefold()))
            at += 2
            continue
        found.append(tok)
        at += 1
    return found


def _says_high(tok: Tok) -> bool:
    return tok.kind == "TARGET" and tok.text.casefold() in HIGH


def _height(tok: Tok, of: Tok) -> str:
    """The unit of a height; empty for another number."""
    if tok.kind == "SIZE":
        return tok.unit
    metres = tok.kind == "LENG" and tok.unit == "M" and all(float(value) <= HIGHEST for value in tok.values)
    return "M" if metres and of.text.casefold() == "target" else ""
