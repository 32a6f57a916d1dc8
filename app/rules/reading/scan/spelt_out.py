"""Words of which one stands for several (`5 RFT` is five rounds, for time), and numbers that are said twice."""

from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, rewritten
from app.rules.reading.scan.units_beside import THINGS
from app.rules.workout.movements import library

LEAST_OF_A_SCHEME = 3  # numbers of one that is told without dashes
OF_A_LANDING = {"top", "touch", "land", "landing", "takeoff", "take", "together"}  # behind two feet that are somebody's
FOR_MOST = {"FORDIST": "T_DIST", "FORCAL": "T_CAL", "FORLOAD": "T_LOAD"}


def spelt_out(toks: list[Tok]) -> list[Tok]:
    """`5 RFT` is five rounds, for time; behind the first word the second has no letters of its own."""
    found: list[Tok] = []
    toks = rewritten(_scheme_of_blanks(toks), _two_feet)
    if [tok.kind for tok in toks] in (["ROUND", "COLON", "NUM"], ["SET", "COLON", "NUM"]):
        of, number = toks[0], toks[2]
        return [replace(number, start=of.start), replace(of, end=number.end)]  # `Rounds: 5`, alone in its line
    for at, tok in enumerate(toks):
        before = found[-1].kind if found else ""
        often = at > 1 and toks[at - 2].kind == "X"  # `x3 FT`
        if tok.kind == "FT" and tok.text.casefold() == "ft" and (before not in ("NUM", "CLOCK") or often):
            found.append(replace(tok, kind="FORTIME"))  # `30-20-10 … ft, tc 10`
        elif (
            tok.kind == "FORTIME"
            and tok.text.casefold() == "for the time"
            and [one.kind for one in toks[at + 1 : at + 2]] == ["TO"]
        ):
            found.append(replace(tok, kind="PROSE"))  # `over the line for the time to stop`
        elif tok.kind == "RFT" and _rounds_behind(toks, at):
            continue  # `RFT 5`: told with the number
        elif at and toks[at - 1].kind == "RFT" and _rounds_behind(toks, at - 1):
            found += [tok, replace(toks[at - 1], kind="ROUND"), replace(toks[at - 1], kind="FORTIME")]
        elif tok.kind in FOR_MOST:
            found += [replace(tok, kind="MAX"), replace(tok, kind=FOR_MOST[tok.kind])]
        elif tok.kind == "HANG":
            hang = library().movements["dead_hang"].name
            alone = not found and tok.text.casefold().startswith("hang ")  # `hang from the bar as long as you can`
            held = [] if alone else [replace(tok, kind="HOLD")]
            found += [*held, replace(tok, kind="MOVE", key="dead_hang", name=hang)]
        elif tok.kind == "RFT":
            found += [replace(tok, kind="ROUND"), replace(tok, kind="FORTIME")]
        elif tok.kind == "EVERYS":
            found += [replace(tok, kind="EVERY", values=()), replace(tok, kind="DUR")]
        else:
            found.append(tok)
    return found


def _scheme_of_blanks(toks: list[Tok]) -> list[Tok]:
    """`15 12 9 6 3 reps of`: a scheme whose dashes were not written."""
    end = next((at for at, tok in enumerate(toks) if tok.kind == "REP"), 0)
    begin = end
    while begin and toks[begin - 1].kind == "NUM" and toks[begin - 1].text.isdigit():
        begin -= 1
    numbers = [int(tok.text) for tok in toks[begin:end]]
    falls = all(one > two for one, two in pairwise(numbers)) or all(one < two for one, two in pairwise(numbers))
    if len(numbers) < LEAST_OF_A_SCHEME or not falls:
        return toks
    dashed = [part for tok in toks[begin:end] for part in (tok, replace(tok, kind="DASH", start=tok.end, values=(), text=""))]
    return [*toks[:begin], *dashed[:-1], *toks[end:]]


def _two_feet(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`Two feet on top`, `2-foot takeoff`: somebody's, and no length."""
    behind = [tok for tok in toks[at + 1 : at + 5] if tok.kind not in ("DASH", "ON")][:2]
    if toks[at].kind != "NUM" or toks[at].text.casefold() not in ("two", "2") or len(behind) < 2 or behind[0].kind != "FT":
        return None
    if behind[0].text.casefold() not in ("feet", "foot") or behind[1].text.casefold() not in OF_A_LANDING:
        return None
    end = toks.index(behind[0])
    return [toks[at].to(behind[0], "PROSE", values=(), text="feet")], end + 1


def _rounds_behind(toks: list[Tok], at: int) -> bool:
    """`RFT 5`: whether the number of rounds stands alone behind."""
    before, behind = toks[at - 1].kind if at else "", [tok.kind for tok in toks[at + 1 : at + 3]]
    alone = "".join(behind[1:]) in ("", "COMMA", "STOP", "COLON", "LPAR", "CAP")
    return before != "NUM" and behind[:1] == ["NUM"] and alone


def told_twice(toks: list[Tok]) -> list[Tok]:
    """`two (2) minutes`: the same number in words and in figures is one."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        four = toks[at : at + 4]
        bracketed = [tok.kind for tok in four] == ["NUM", "LPAR", "NUM", "RPAR"]
        if bracketed and four[0].values == four[2].values:
            found.append(four[0].to(four[3], "NUM"))
            at += 4
        elif bracketed and [tok.kind for tok in toks[at + 4 : at + 5]] in (["KG"], ["LB"]):  # `60 (40) kg`
            found.append(four[0].to(four[3], "NUM", values=four[0].values + four[2].values))
            at += 4
        elif _stuttered(four):
            at += 2
        else:
            found.append(toks[at])
            at += 1
    return found


def bells(toks: list[Tok]) -> list[Tok]:
    """`KBs 2x16 kg`, at the beginning: what the load is of, by its small s the plural, and no swings."""
    short = len(toks) > 1 and toks[0].kind == "MOVE" and toks[0].text == "KBs"
    loaded = short and any(tok.kind in ("KG", "LB", "POOD") for tok in toks) and not any(tok.kind == "MOVE" for tok in toks[1:])
    return [replace(toks[0], kind="GEAR_KETTLEBELL", key=""), *toks[1:]] if loaded else toks


def in_both_hands(toks: list[Tok]) -> list[Tok]:
    """`2x22.5/2x15 kg`, `2 x 17,5 kg / 2 x 12,5 kg`: one in each hand, of two versions."""
    return rewritten(toks, _hands) if any(tok.kind == "X" for tok in toks) else list(toks)


def _hands(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """The loads that begin there, without how many there are of each, and where they end."""
    kinds = [tok.kind for tok in toks[at : at + 6]]
    if kinds[:5] == ["NUM", "X", "NUM", "SLASH", "NUM"] and kinds[5:] in (["KG"], ["LB"]) and toks[at].values == ("2",):
        return toks[at + 2 : at + 6], at + 6  # `2x15/10 kg`
    made: list[Tok] = []
    for part in range(2):
        if [tok.kind for tok in toks[at : at + 3]] != ["NUM", "X", "NUM"] or toks[at].values != ("2",):
            return None
        made.append(toks[at].to(toks[at + 2], "NUM", values=toks[at + 2].values))
        at += 3
        if toks[at : at + 1] and toks[at].kind in ("KG", "LB"):
            made.append(toks[at])
            at += 1
        if not part:
            if not toks[at : at + 1] or toks[at].kind != "SLASH":
                return None
            made.append(toks[at])
            at += 1
    return made, at


def _stuttered(toks: list[Tok]) -> bool:
    """`nine, nine toes to bar`: the same number in words, said once more."""
    kinds = [tok.kind for tok in toks]
    words = kinds[:3] == ["NUM", "COMMA", "NUM"] and toks[0].text[:1].isalpha() and toks[2].text[:1].isalpha()
    return words and toks[0].values == toks[2].values and kinds[3:] in (["MOVE"], ["WORD"])


BEFORE_THINGS = ("SYNC", "UNBROKEN")


def adjectives(toks: list[Tok]) -> list[Tok]:
    """`20 synchro burpees`: the word stands behind its thing from here on."""
    found = list(toks)
    for at in range(len(found) - 1):
        if found[at].kind in BEFORE_THINGS and found[at + 1].kind in THINGS and (at == 0 or found[at - 1].kind in ("NUM", "MAX")):
            found[at], found[at + 1] = found[at + 1], found[at]
    return found


def in_hand(toks: list[Tok]) -> list[Tok]:
    """`32 kg per hand`, `20 kg in each hand`, `a 20 kg plate`: how a load is held; the last stands beside it as a note."""
    found: list[Tok] = []
    for tok in toks:
        loaded = bool(found) and found[-1].kind == "LOAD"
        said, carried = tok.text.casefold(), any(one.kind == "LENG" for one in toks)  # `8 snatches, 24 kg per hand` is asked
        if loaded and (said == "hand" or (tok.kind == "EACHSIDE" and carried and said.endswith("hand"))):
            continue
        plate = loaded and said == "plate" and "MOVE" in {one.kind for one in found[-5:]}
        found.append(replace(tok, kind="NOTE") if plate else tok)
    return found
